#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(ShapeKind::kAtMostOther) + 1 ==
              v1::SHAPE_KIND_AT_MOST_OTHER);
static_assert(static_cast<int>(ShapeOutcome::kNotJudged) == v1::SHAPE_OUTCOME_NOT_JUDGED);

static ShapeOutcome ReadOutcome(v1::ShapeOutcome outcome, const char* field,
                                base::FaultList& faults) {
  return ReadEnum<ShapeOutcome, Unspecified::kKept>(outcome, field, faults);
}

static v1::ShapeOutcome WriteOutcome(ShapeOutcome outcome) {
  return WriteEnum<v1::ShapeOutcome, Unspecified::kKept>(outcome);
}

void Read(const v1::ShapeFact& from, ShapeFact& to, base::FaultList& faults) {
  to.id = from.id();
  to.kind = ReadEnum<ShapeKind>(from.kind(), "ShapeFact.kind", faults);
  to.quantity = from.quantity();
  to.condition = from.condition();
  to.other_quantity = from.other_quantity();
  to.unit = from.unit();
  if (from.has_limit()) {
    to.limit = from.limit();
    to.limit_si = to.kind == ShapeKind::kAtMostOther
                      ? SiDifferenceOf(to.quantity, *to.limit, to.unit, faults)
                      : SiOf(to.quantity, *to.limit, to.unit, faults);
  }
  to.regime = from.regime();
  to.reason = from.reason();
}

void Write(const ShapeFact& from, v1::ShapeFact* to) {
  to->set_id(from.id);
  to->set_kind(WriteEnum<v1::ShapeKind>(from.kind));
  to->set_quantity(from.quantity);
  to->set_condition(from.condition);
  to->set_other_quantity(from.other_quantity);
  if (from.limit.has_value()) to->set_limit(*from.limit);
  to->set_unit(from.unit);
  to->set_regime(from.regime);
  to->set_reason(from.reason);
}

static void Read(const v1::BalanceTerm& from, BalanceTerm& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.factor = from.factor();
}

static void Write(const BalanceTerm& from, v1::BalanceTerm* to) {
  to->set_quantity(from.quantity);
  to->set_factor(from.factor);
}

void Read(const v1::EnergyBalance& from, EnergyBalance& to, base::FaultList& faults) {
  to.id = from.id();
  ReadAll(from.terms(), to.terms, faults);
  if (from.has_tolerance_fraction()) to.tolerance_fraction = from.tolerance_fraction();
  to.fit_jointly = from.fit_jointly();
}

void Write(const EnergyBalance& from, v1::EnergyBalance* to) {
  to->set_id(from.id);
  WriteAll(from.terms, to->mutable_terms());
  if (from.tolerance_fraction.has_value()) {
    to->set_tolerance_fraction(*from.tolerance_fraction);
  }
  to->set_fit_jointly(from.fit_jointly);
}

void Read(const v1::ShapeResult& from, ShapeResult& to, base::FaultList& faults) {
  Read(from.fact(), to.fact, faults);
  to.outcome = ReadOutcome(from.outcome(), "ShapeResult.outcome", faults);
  to.outcome_before_refit = ReadOutcome(from.outcome_before_refit(),
                                        "ShapeResult.outcome_before_refit", faults);
  to.reason = from.reason();
  to.worst_margin_si = from.worst_margin_si();
  to.worst_point_si = Plainly(from.worst_point_si());
  to.margin_bound_si = from.margin_bound_si();
  to.failing_fraction_low = from.failing_fraction_low();
  to.failing_fraction_high = from.failing_fraction_high();
  to.box_count = from.box_count();
}

void Write(const ShapeResult& from, v1::ShapeResult* to) {
  Write(from.fact, to->mutable_fact());
  to->set_outcome(WriteOutcome(from.outcome));
  to->set_outcome_before_refit(WriteOutcome(from.outcome_before_refit));
  to->set_reason(from.reason);
  to->set_worst_margin_si(from.worst_margin_si);
  Fill(from.worst_point_si, to->mutable_worst_point_si());
  to->set_margin_bound_si(from.margin_bound_si);
  to->set_failing_fraction_low(from.failing_fraction_low);
  to->set_failing_fraction_high(from.failing_fraction_high);
  to->set_box_count(from.box_count);
}

void Read(const v1::ShapeRefit& from, ShapeRefit& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.refusal = from.refusal();
  to.residual_sd_before_si = from.residual_sd_before_si();
  to.residual_sd_after_si = from.residual_sd_after_si();
  to.greatest_change_si = from.greatest_change_si();
  to.greatest_change_point = from.greatest_change_point();
  to.constraint_count = from.constraint_count();
  to.active_count = from.active_count();
  to.parts = from.parts();
  to.iterations = from.iterations();
  to.stationarity = from.stationarity();
  to.infeasibility = from.infeasibility();
  to.dual_infeasibility = from.dual_infeasibility();
  to.complementarity = from.complementarity();
}

void Write(const ShapeRefit& from, v1::ShapeRefit* to) {
  to->set_quantity(from.quantity);
  to->set_refusal(from.refusal);
  to->set_residual_sd_before_si(from.residual_sd_before_si);
  to->set_residual_sd_after_si(from.residual_sd_after_si);
  to->set_greatest_change_si(from.greatest_change_si);
  to->set_greatest_change_point(from.greatest_change_point);
  to->set_constraint_count(from.constraint_count);
  to->set_active_count(from.active_count);
  to->set_parts(from.parts);
  to->set_iterations(from.iterations);
  to->set_stationarity(from.stationarity);
  to->set_infeasibility(from.infeasibility);
  to->set_dual_infeasibility(from.dual_infeasibility);
  to->set_complementarity(from.complementarity);
}

static void Read(const v1::JointChange& from, JointChange& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.residual_sd_before_si = from.residual_sd_before_si();
  to.residual_sd_after_si = from.residual_sd_after_si();
  to.greatest_change_si = from.greatest_change_si();
  to.greatest_change_point = from.greatest_change_point();
  to.degree = from.degree();
}

static void Write(const JointChange& from, v1::JointChange* to) {
  to->set_quantity(from.quantity);
  to->set_residual_sd_before_si(from.residual_sd_before_si);
  to->set_residual_sd_after_si(from.residual_sd_after_si);
  to->set_greatest_change_si(from.greatest_change_si);
  to->set_greatest_change_point(from.greatest_change_point);
  to->set_degree(from.degree);
}

void Read(const v1::ConsistencyResult& from, ConsistencyResult& to,
          base::FaultList& faults) {
  to.id = from.id();
  to.text = from.text();
  to.outcome = ReadOutcome(from.outcome(), "ConsistencyResult.outcome", faults);
  to.reason = from.reason();
  to.at_points_only = from.at_points_only();
  to.tolerance_fraction = from.tolerance_fraction();
  to.greatest_mismatch_w = from.greatest_mismatch_w();
  to.mismatch_bound_w = from.mismatch_bound_w();
  to.greatest_mismatch_at_si = Plainly(from.greatest_mismatch_at_si());
  to.greatest_fraction = from.greatest_fraction();
  to.greatest_fraction_at_si = Plainly(from.greatest_fraction_at_si());
  to.box_count = from.box_count();
  to.fitted_jointly = from.fitted_jointly();
  to.joint_refusal = from.joint_refusal();
  ReadAll(from.joint_changes(), to.joint_changes, faults);
  to.mismatch_before_w = from.mismatch_before_w();
}

void Write(const ConsistencyResult& from, v1::ConsistencyResult* to) {
  to->set_id(from.id);
  to->set_text(from.text);
  to->set_outcome(WriteOutcome(from.outcome));
  to->set_reason(from.reason);
  to->set_at_points_only(from.at_points_only);
  to->set_tolerance_fraction(from.tolerance_fraction);
  to->set_greatest_mismatch_w(from.greatest_mismatch_w);
  to->set_mismatch_bound_w(from.mismatch_bound_w);
  Fill(from.greatest_mismatch_at_si, to->mutable_greatest_mismatch_at_si());
  to->set_greatest_fraction(from.greatest_fraction);
  Fill(from.greatest_fraction_at_si, to->mutable_greatest_fraction_at_si());
  to->set_box_count(from.box_count);
  to->set_fitted_jointly(from.fitted_jointly);
  to->set_joint_refusal(from.joint_refusal);
  WriteAll(from.joint_changes, to->mutable_joint_changes());
  to->set_mismatch_before_w(from.mismatch_before_w);
}

void Read(const v1::ResponseCovariance& from, ResponseCovariance& to, base::FaultList&) {
  to.first = from.first();
  to.second = from.second();
  to.degree = from.degree();
  to.residual_covariance_si = from.residual_covariance_si();
  to.residual_correlation = from.residual_correlation();
  to.coefficient_covariance_si = Plainly(from.coefficient_covariance_si());
}

void Write(const ResponseCovariance& from, v1::ResponseCovariance* to) {
  to->set_first(from.first);
  to->set_second(from.second);
  to->set_degree(from.degree);
  to->set_residual_covariance_si(from.residual_covariance_si);
  to->set_residual_correlation(from.residual_correlation);
  Fill(from.coefficient_covariance_si, to->mutable_coefficient_covariance_si());
}

}  // namespace ratebound::document
