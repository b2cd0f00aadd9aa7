// The performance map of a unit as plain data, in SI. See proto/ratebound/v1/map.proto.
// engine/map evaluates it.
#ifndef RATEBOUND_ENGINE_DOCUMENT_MAP_H_
#define RATEBOUND_ENGINE_DOCUMENT_MAP_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/shape.h"

namespace ratebound::document {

enum class SurfacePurpose { kTable, kProof };

struct DegreeCandidate {
  int degree = 0;
  int term_count = 0;
  double leave_out_rms_si = 0;
  double residual_sd_si = 0;
  std::string refusal;  // empty where the degree can be estimated
  std::string model;    // empty where only degrees were tried, as is the reason
  double leave_out_standard_error_si = 0;
  bool chosen = false;
  std::string reason;
  friend bool operator==(const DegreeCandidate&, const DegreeCandidate&) = default;
};

enum class ConditionTransform { kNone, kReciprocalAbsolute };
enum class ResponseTransform { kNone, kLog, kCarnot };

// What the polynomial of a surface is one of, and what it gives.
struct SurfaceForm {
  std::vector<ConditionTransform> condition_transforms;  // empty: all kNone
  ResponseTransform response_transform = ResponseTransform::kNone;
  std::string sink_condition;  // of kCarnot
  std::string source_condition;
  double approach_k = 0;
  bool heating = false;
  friend bool operator==(const SurfaceForm&, const SurfaceForm&) = default;
};

enum class FitConcern { kLook, kAct };

struct FitRemark {
  FitConcern concern = FitConcern::kLook;
  std::string diagnostic;
  std::string subject;  // point or condition
  std::string text;
  friend bool operator==(const FitRemark&, const FitRemark&) = default;
};

struct PointDiagnostics {
  std::string point;
  double residual = 0;
  double leverage = 0;
  double internally_studentised = 0;
  std::optional<double> externally_studentised = {};
  double cooks_distance = 0;
  std::optional<double> dffits = {};
  std::optional<double> robustness_weight = {};
  double weight = 1;
  friend bool operator==(const PointDiagnostics&, const PointDiagnostics&) = default;
};

struct SurfaceDiagnostics {
  std::vector<double> condition_inflation;
  std::string most_inflated_condition;
  std::string leverage_point;
  std::optional<double> greatest_studentised;
  std::string studentised_point;
  double greatest_cooks_distance = 0;
  std::string cooks_point;
  std::optional<double> greatest_dffits;
  std::string dffits_point;
  double press = 0;
  std::optional<double> predicted_r_squared;
  double adjusted_r_squared = 0;
  std::optional<double> normality_probability;
  std::optional<double> block_error_ratio;
  std::optional<double> robust_difference_fraction;
  std::string robust_point;
  std::string no_robust_fit;
  std::vector<FitRemark> remarks;
  std::vector<PointDiagnostics> points;
  std::vector<double> ten_coefficients_si;
  friend bool operator==(const SurfaceDiagnostics&, const SurfaceDiagnostics&) = default;
};

// A polynomial in z = (x - centre) / half_range. With n conditions and m terms: exponents
// hold m rows of n, coefficients m, covariance and leverage matrix the lower triangle of
// m x m. With a form, x and what the polynomial gives are as that says.
struct Surface {
  std::string quantity;
  SurfacePurpose purpose = SurfacePurpose::kTable;
  int degree = 0;
  std::vector<double> centre_si;
  std::vector<double> half_range_si;
  std::vector<int> exponents;
  std::vector<double> coefficients_si;
  std::vector<double> covariance_si;  // empty where it cannot be estimated
  std::vector<double> leverage_matrix;
  double greatest_leverage = 0;
  double degrees_of_freedom = 0;
  bool cluster_robust = false;
  int point_count = 0;
  int block_count = 0;
  double residual_sd_si = 0;
  double r_squared = 0;
  double leave_out_rms_si = 0;
  double mean_si = 0;
  std::string worst_point;
  std::optional<double> lack_of_fit_probability;
  std::vector<DegreeCandidate> candidates;
  double condition_number = 0;
  // Expanded systematic uncertainty of the points, from the instruments: the greatest
  // part of the value; for temperatures, in SI.
  double systematic_fraction = 0;
  double systematic_absolute_si = 0;
  bool weighted = false;
  std::optional<SurfaceForm> form = {};
  std::vector<int> condition_degrees = {};  // empty: `degree` for all
  int fitted_term_count = 0;                // 0: as many as coefficients
  std::string model = {};                   // empty where only degrees were tried
  std::vector<std::string> joint_stages = {};
  std::optional<SurfaceDiagnostics> diagnostics = {};
  friend bool operator==(const Surface&, const Surface&) = default;
};

struct StageMap {
  std::string unit;
  std::string mode;
  std::string stage;
  std::string regime;
  std::vector<std::string> conditions;
  std::vector<double> tested_low_si;
  std::vector<double> tested_high_si;
  std::vector<double> point_conditions_si;  // point by point
  std::vector<std::string> point_ids;
  std::vector<std::string> held_conditions;
  std::vector<double> held_values_si;
  std::vector<double> held_tolerances_si;
  std::vector<Surface> surfaces;
  double nearest_point_fraction = 0.5;
  std::vector<std::string> refusals;
  std::string capacity_quantity;
  std::string power_quantity;
  bool heating = false;
  std::vector<double> condition_systematic_si;  // empty where no condition has one
  std::vector<ShapeResult> shapes;
  std::vector<ConsistencyResult> consistencies;
  std::vector<ResponseCovariance> response_covariances;
  std::vector<ShapeRefit> shape_refits;
  friend bool operator==(const StageMap&, const StageMap&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_MAP_H_
