// A way of measuring as data. See proto/ratebound/v1/method.proto for what each field
// means. Numbers stay in the method's own units; tolerances are turned into SI.
#ifndef RATEBOUND_ENGINE_DOCUMENT_METHOD_H_
#define RATEBOUND_ENGINE_DOCUMENT_METHOD_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"

namespace ratebound::document {

enum class MethodKind {
  kAirEnthalpy,
  kNozzleAirFlow,
  kLiquidHeat,
  kFanPumpCorrection,
  kSteadiness
};

struct ToleranceFigure {
  std::optional<double> relative_fraction;
  std::optional<double> absolute;
  std::string unit;
  double absolute_si = 0;
  friend bool operator==(const ToleranceFigure&, const ToleranceFigure&) = default;
};

struct TestTolerance {
  std::string quantity;
  std::optional<ToleranceFigure> greatest_spread;
  std::optional<ToleranceFigure> greatest_deviation;
  std::optional<ToleranceFigure> greatest_standard_deviation;
  std::optional<ToleranceFigure> mean_deviation;
  Citation citation;
  friend bool operator==(const TestTolerance&, const TestTolerance&) = default;
};

struct MethodNumber {
  std::string name;
  CitedValue value;
  friend bool operator==(const MethodNumber&, const MethodNumber&) = default;
};

struct MethodRule {
  std::string name;
  CitedText choice;
  friend bool operator==(const MethodRule&, const MethodRule&) = default;
};

struct MeasurementMethod {
  std::string id;
  std::string title;
  std::string document;
  std::string edition;
  MethodKind kind = MethodKind::kAirEnthalpy;
  std::vector<MethodNumber> numbers;
  std::vector<MethodRule> rules;
  std::vector<TestTolerance> tolerances;
  std::vector<RequiredInput> required_inputs;
  std::vector<std::string> notes;
  friend bool operator==(const MeasurementMethod&, const MeasurementMethod&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_METHOD_H_
