// Physical facts of fitted surfaces and balances between them, declared and judged. See
// proto/ratebound/v1/shape.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_SHAPE_H_
#define RATEBOUND_ENGINE_DOCUMENT_SHAPE_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace ratebound::document {

enum class ShapeKind { kAtLeast, kRises, kFalls, kAtMostOther };

struct ShapeFact {
  std::string id;
  ShapeKind kind = ShapeKind::kAtLeast;
  std::string quantity;
  std::string condition;
  std::string other_quantity;
  std::optional<double> limit;
  std::string unit;
  double limit_si = 0;  // of an offset, a difference
  std::string regime;
  std::string reason;
  friend bool operator==(const ShapeFact&, const ShapeFact&) = default;
};

struct BalanceTerm {
  std::string quantity;
  double factor = 0;
  friend bool operator==(const BalanceTerm&, const BalanceTerm&) = default;
};

struct EnergyBalance {
  std::string id;
  std::vector<BalanceTerm> terms;
  std::optional<double> tolerance_fraction;
  bool fit_jointly = false;
  friend bool operator==(const EnergyBalance&, const EnergyBalance&) = default;
};

enum class ShapeOutcome { kUnspecified, kProven, kRefuted, kUndecided, kNotJudged };

// "PROVEN", "REFUTED", "UNDECIDED", "NOT_JUDGED"; "" for kUnspecified.
std::string ShapeOutcomeName(ShapeOutcome outcome);

struct ShapeResult {
  ShapeFact fact;
  ShapeOutcome outcome = ShapeOutcome::kUnspecified;
  ShapeOutcome outcome_before_refit = ShapeOutcome::kUnspecified;
  std::string reason;
  double worst_margin_si = 0;
  std::vector<double> worst_point_si;
  double margin_bound_si = 0;
  double failing_fraction_low = 0;
  double failing_fraction_high = 0;
  int64_t box_count = 0;
  friend bool operator==(const ShapeResult&, const ShapeResult&) = default;
};

struct ShapeRefit {
  std::string quantity;
  std::string refusal;
  double residual_sd_before_si = 0;
  double residual_sd_after_si = 0;
  double greatest_change_si = 0;
  std::string greatest_change_point;
  int constraint_count = 0;
  int active_count = 0;
  int parts = 0;
  int iterations = 0;
  double stationarity = 0;
  double infeasibility = 0;
  double dual_infeasibility = 0;
  double complementarity = 0;
  friend bool operator==(const ShapeRefit&, const ShapeRefit&) = default;
};

struct JointChange {
  std::string quantity;
  double residual_sd_before_si = 0;
  double residual_sd_after_si = 0;
  double greatest_change_si = 0;
  std::string greatest_change_point;
  int degree = 0;
  friend bool operator==(const JointChange&, const JointChange&) = default;
};

struct ConsistencyResult {
  std::string id;
  std::string text;
  ShapeOutcome outcome = ShapeOutcome::kUnspecified;
  std::string reason;
  bool at_points_only = false;
  double tolerance_fraction = 0;
  double greatest_mismatch_w = 0;
  double mismatch_bound_w = 0;
  std::vector<double> greatest_mismatch_at_si;
  double greatest_fraction = 0;
  std::vector<double> greatest_fraction_at_si;
  int64_t box_count = 0;
  bool fitted_jointly = false;
  std::string joint_refusal;
  std::vector<JointChange> joint_changes;
  double mismatch_before_w = 0;
  friend bool operator==(const ConsistencyResult&, const ConsistencyResult&) = default;
};

struct ResponseCovariance {
  std::string first;
  std::string second;
  int degree = 0;
  double residual_covariance_si = 0;
  double residual_correlation = 0;
  std::vector<double> coefficient_covariance_si;
  friend bool operator==(const ResponseCovariance&, const ResponseCovariance&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_SHAPE_H_
