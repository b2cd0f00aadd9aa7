// Figures measured beside capacity, asked for and fitted. See
// proto/ratebound/v1/curve.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CURVE_H_
#define RATEBOUND_ENGINE_DOCUMENT_CURVE_H_

#include <optional>
#include <string>
#include <vector>

namespace ratebound::document {

enum class CurveKind { kLiquidPressureDrop, kFan };

struct CurveRequest {
  std::string id;
  CurveKind kind = CurveKind::kLiquidPressureDrop;
  std::string flow;
  std::string pressure_drop;
  std::string temperature;
  std::string liquid;
  std::optional<double> concentration_fraction;
  friend bool operator==(const CurveRequest&, const CurveRequest&) = default;
};

struct TestedSpan {
  std::string quantity;
  double low_si = 0;
  double high_si = 0;
  friend bool operator==(const TestedSpan&, const TestedSpan&) = default;
};

struct CurveFit {
  std::string unit;
  std::string id;
  CurveKind kind = CurveKind::kLiquidPressureDrop;
  std::vector<std::string> points;
  std::vector<double> coefficients;
  std::vector<double> standard_errors;
  std::string form;
  double residual_fraction = 0;
  std::vector<TestedSpan> tested;
  std::vector<std::string> warnings;
  double reference_density = 0;
  double reference_viscosity = 0;
  std::vector<double> power_coefficients;
  double power_residual_fraction = 0;
  friend bool operator==(const CurveFit&, const CurveFit&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CURVE_H_
