#include <cstdint>

#include "absl/strings/str_cat.h"
#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(SurfacePurpose::kProof) + 1 == v1::SURFACE_PURPOSE_PROOF);

// What evaluates a surface indexes by these sizes and exponents without looking again.
constexpr int kMostConditions = 16;
constexpr int kGreatestExponent = 16;

static_assert(static_cast<int>(ConditionTransform::kReciprocalAbsolute) + 1 ==
              v1::CONDITION_TRANSFORM_RECIPROCAL_ABSOLUTE);
static_assert(static_cast<int>(ResponseTransform::kCarnot) ==
              v1::RESPONSE_TRANSFORM_CARNOT);
static_assert(static_cast<int>(FitConcern::kAct) + 1 == v1::FIT_CONCERN_ACT);

static void Read(const v1::DegreeCandidate& from, DegreeCandidate& to, base::FaultList&) {
  to.degree = from.degree();
  to.term_count = from.term_count();
  to.leave_out_rms_si = from.leave_out_rms_si();
  to.residual_sd_si = from.residual_sd_si();
  to.refusal = from.refusal();
  to.model = from.model();
  to.leave_out_standard_error_si = from.leave_out_standard_error_si();
  to.chosen = from.chosen();
  to.reason = from.reason();
}

static void Write(const DegreeCandidate& from, v1::DegreeCandidate* to) {
  to->set_degree(from.degree);
  to->set_term_count(from.term_count);
  to->set_leave_out_rms_si(from.leave_out_rms_si);
  to->set_residual_sd_si(from.residual_sd_si);
  to->set_refusal(from.refusal);
  to->set_model(from.model);
  to->set_leave_out_standard_error_si(from.leave_out_standard_error_si);
  to->set_chosen(from.chosen);
  to->set_reason(from.reason);
}

static void Read(const v1::SurfaceForm& from, SurfaceForm& to, base::FaultList& faults) {
  for (int transform : from.condition_transforms()) {
    to.condition_transforms.push_back(ReadEnum<ConditionTransform>(
        transform, "SurfaceForm.condition_transforms", faults));
  }
  to.response_transform = ReadEnum<ResponseTransform, Unspecified::kKept>(
      from.response_transform(), "SurfaceForm.response_transform", faults);
  to.sink_condition = from.sink_condition();
  to.source_condition = from.source_condition();
  to.approach_k = from.approach_k();
  to.heating = from.heating();
}

static void Write(const SurfaceForm& from, v1::SurfaceForm* to) {
  for (ConditionTransform transform : from.condition_transforms) {
    to->add_condition_transforms(WriteEnum<v1::ConditionTransform>(transform));
  }
  to->set_response_transform(
      WriteEnum<v1::ResponseTransform, Unspecified::kKept>(from.response_transform));
  to->set_sink_condition(from.sink_condition);
  to->set_source_condition(from.source_condition);
  to->set_approach_k(from.approach_k);
  to->set_heating(from.heating);
}

static void Read(const v1::FitRemark& from, FitRemark& to, base::FaultList& faults) {
  to.concern = ReadEnum<FitConcern>(from.concern(), "FitRemark.concern", faults);
  to.diagnostic = from.diagnostic();
  to.subject = from.subject();
  to.text = from.text();
}

static void Write(const FitRemark& from, v1::FitRemark* to) {
  to->set_concern(WriteEnum<v1::FitConcern>(from.concern));
  to->set_diagnostic(from.diagnostic);
  to->set_subject(from.subject);
  to->set_text(from.text);
}

static void Read(const v1::PointDiagnostics& from, PointDiagnostics& to,
                 base::FaultList&) {
  to.point = from.point();
  to.residual = from.residual();
  to.leverage = from.leverage();
  to.internally_studentised = from.internally_studentised();
  if (from.has_externally_studentised())
    to.externally_studentised = from.externally_studentised();
  to.cooks_distance = from.cooks_distance();
  if (from.has_dffits()) to.dffits = from.dffits();
  if (from.has_robustness_weight()) to.robustness_weight = from.robustness_weight();
  to.weight = from.weight();
}

static void Write(const PointDiagnostics& from, v1::PointDiagnostics* to) {
  to->set_point(from.point);
  to->set_residual(from.residual);
  to->set_leverage(from.leverage);
  to->set_internally_studentised(from.internally_studentised);
  if (from.externally_studentised.has_value())
    to->set_externally_studentised(*from.externally_studentised);
  to->set_cooks_distance(from.cooks_distance);
  if (from.dffits.has_value()) to->set_dffits(*from.dffits);
  if (from.robustness_weight.has_value())
    to->set_robustness_weight(*from.robustness_weight);
  to->set_weight(from.weight);
}

static void Read(const v1::SurfaceDiagnostics& from, SurfaceDiagnostics& to,
                 base::FaultList& faults) {
  to.condition_inflation = Plainly(from.condition_inflation());
  to.most_inflated_condition = from.most_inflated_condition();
  to.leverage_point = from.leverage_point();
  if (from.has_greatest_studentised())
    to.greatest_studentised = from.greatest_studentised();
  to.studentised_point = from.studentised_point();
  to.greatest_cooks_distance = from.greatest_cooks_distance();
  to.cooks_point = from.cooks_point();
  if (from.has_greatest_dffits()) to.greatest_dffits = from.greatest_dffits();
  to.dffits_point = from.dffits_point();
  to.press = from.press();
  if (from.has_predicted_r_squared()) to.predicted_r_squared = from.predicted_r_squared();
  to.adjusted_r_squared = from.adjusted_r_squared();
  if (from.has_normality_probability())
    to.normality_probability = from.normality_probability();
  if (from.has_block_error_ratio()) to.block_error_ratio = from.block_error_ratio();
  if (from.has_robust_difference_fraction())
    to.robust_difference_fraction = from.robust_difference_fraction();
  to.robust_point = from.robust_point();
  to.no_robust_fit = from.no_robust_fit();
  ReadAll(from.remarks(), to.remarks, faults);
  ReadAll(from.points(), to.points, faults);
  to.ten_coefficients_si = Plainly(from.ten_coefficients_si());
}

static void Write(const SurfaceDiagnostics& from, v1::SurfaceDiagnostics* to) {
  Fill(from.condition_inflation, to->mutable_condition_inflation());
  to->set_most_inflated_condition(from.most_inflated_condition);
  to->set_leverage_point(from.leverage_point);
  if (from.greatest_studentised.has_value())
    to->set_greatest_studentised(*from.greatest_studentised);
  to->set_studentised_point(from.studentised_point);
  to->set_greatest_cooks_distance(from.greatest_cooks_distance);
  to->set_cooks_point(from.cooks_point);
  if (from.greatest_dffits.has_value()) to->set_greatest_dffits(*from.greatest_dffits);
  to->set_dffits_point(from.dffits_point);
  to->set_press(from.press);
  if (from.predicted_r_squared.has_value())
    to->set_predicted_r_squared(*from.predicted_r_squared);
  to->set_adjusted_r_squared(from.adjusted_r_squared);
  if (from.normality_probability.has_value())
    to->set_normality_probability(*from.normality_probability);
  if (from.block_error_ratio.has_value())
    to->set_block_error_ratio(*from.block_error_ratio);
  if (from.robust_difference_fraction.has_value())
    to->set_robust_difference_fraction(*from.robust_difference_fraction);
  to->set_robust_point(from.robust_point);
  to->set_no_robust_fit(from.no_robust_fit);
  WriteAll(from.remarks, to->mutable_remarks());
  WriteAll(from.points, to->mutable_points());
  Fill(from.ten_coefficients_si, to->mutable_ten_coefficients_si());
}

static void Read(const v1::Surface& from, Surface& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.purpose = ReadEnum<SurfacePurpose>(from.purpose(), "Surface.purpose", faults);
  to.degree = from.degree();
  to.centre_si = Plainly(from.centre_si());
  to.half_range_si = Plainly(from.half_range_si());
  to.exponents = Plainly(from.exponents());
  to.coefficients_si = Plainly(from.coefficients_si());
  to.covariance_si = Plainly(from.covariance_si());
  to.leverage_matrix = Plainly(from.leverage_matrix());
  to.greatest_leverage = from.greatest_leverage();
  to.degrees_of_freedom = from.degrees_of_freedom();
  to.cluster_robust = from.cluster_robust();
  to.point_count = from.point_count();
  to.block_count = from.block_count();
  to.residual_sd_si = from.residual_sd_si();
  to.r_squared = from.r_squared();
  to.leave_out_rms_si = from.leave_out_rms_si();
  to.mean_si = from.mean_si();
  to.worst_point = from.worst_point();
  if (from.has_lack_of_fit_probability()) {
    to.lack_of_fit_probability = from.lack_of_fit_probability();
  }
  ReadAll(from.candidates(), to.candidates, faults);
  to.condition_number = from.condition_number();
  to.systematic_fraction = from.systematic_fraction();
  to.systematic_absolute_si = from.systematic_absolute_si();
  to.weighted = from.weighted();
  if (from.has_form()) Read(from.form(), to.form.emplace(), faults);
  to.condition_degrees = Plainly(from.condition_degrees());
  to.fitted_term_count = from.fitted_term_count();
  to.model = from.model();
  to.joint_stages = Plainly(from.joint_stages());
  if (from.has_diagnostics()) Read(from.diagnostics(), to.diagnostics.emplace(), faults);
}

static void Write(const Surface& from, v1::Surface* to) {
  to->set_quantity(from.quantity);
  to->set_purpose(WriteEnum<v1::SurfacePurpose>(from.purpose));
  to->set_degree(from.degree);
  Fill(from.centre_si, to->mutable_centre_si());
  Fill(from.half_range_si, to->mutable_half_range_si());
  Fill(from.exponents, to->mutable_exponents());
  Fill(from.coefficients_si, to->mutable_coefficients_si());
  Fill(from.covariance_si, to->mutable_covariance_si());
  Fill(from.leverage_matrix, to->mutable_leverage_matrix());
  to->set_greatest_leverage(from.greatest_leverage);
  to->set_degrees_of_freedom(from.degrees_of_freedom);
  to->set_cluster_robust(from.cluster_robust);
  to->set_point_count(from.point_count);
  to->set_block_count(from.block_count);
  to->set_residual_sd_si(from.residual_sd_si);
  to->set_r_squared(from.r_squared);
  to->set_leave_out_rms_si(from.leave_out_rms_si);
  to->set_mean_si(from.mean_si);
  to->set_worst_point(from.worst_point);
  if (from.lack_of_fit_probability.has_value()) {
    to->set_lack_of_fit_probability(*from.lack_of_fit_probability);
  }
  WriteAll(from.candidates, to->mutable_candidates());
  to->set_condition_number(from.condition_number);
  to->set_systematic_fraction(from.systematic_fraction);
  to->set_systematic_absolute_si(from.systematic_absolute_si);
  to->set_weighted(from.weighted);
  if (from.form.has_value()) Write(*from.form, to->mutable_form());
  Fill(from.condition_degrees, to->mutable_condition_degrees());
  to->set_fitted_term_count(from.fitted_term_count);
  to->set_model(from.model);
  Fill(from.joint_stages, to->mutable_joint_stages());
  if (from.diagnostics.has_value()) Write(*from.diagnostics, to->mutable_diagnostics());
}

static void CheckSizes(const Surface& surface, size_t condition_count,
                       base::FaultList& faults) {
  const size_t terms = surface.coefficients_si.size();
  const size_t triangle = terms * (terms + 1) / 2;
  RequireSize(surface.centre_si.size(), condition_count, "Surface.centre_si", faults);
  RequireSize(surface.half_range_si.size(), condition_count, "Surface.half_range_si",
              faults);
  RequireSize(surface.exponents.size(), terms * condition_count, "Surface.exponents",
              faults);
  RequireSize(surface.leverage_matrix.size(), triangle, "Surface.leverage_matrix",
              faults);
  if (!surface.covariance_si.empty()) {
    RequireSize(surface.covariance_si.size(), triangle, "Surface.covariance_si", faults);
  }
  if (!surface.condition_degrees.empty()) {
    RequireSize(surface.condition_degrees.size(), condition_count,
                "Surface.condition_degrees", faults);
  }
  if (surface.form && !surface.form->condition_transforms.empty()) {
    RequireSize(surface.form->condition_transforms.size(), condition_count,
                "SurfaceForm.condition_transforms", faults);
  }
  if (terms == 0) {
    faults.Add({.field = "Surface.coefficients_si", .message = "is missing"});
  }
  for (int exponent : surface.exponents) {
    if (exponent >= 0 && exponent <= kGreatestExponent) continue;
    faults.Add(
        {.field = "Surface.exponents",
         .message = absl::StrCat(exponent, " is outside 0 to ", kGreatestExponent)});
  }
  for (double half_range : surface.half_range_si) {
    if (half_range > 0) continue;
    faults.Add({.field = "Surface.half_range_si", .message = "is not above zero"});
  }
}

void Read(const v1::StageMap& from, StageMap& to, base::FaultList& faults) {
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.regime = from.regime();
  to.conditions = Plainly(from.conditions());
  to.tested_low_si = Plainly(from.tested_low_si());
  to.tested_high_si = Plainly(from.tested_high_si());
  to.point_conditions_si = Plainly(from.point_conditions_si());
  to.point_ids = Plainly(from.point_ids());
  to.held_conditions = Plainly(from.held_conditions());
  to.held_values_si = Plainly(from.held_values_si());
  to.held_tolerances_si = Plainly(from.held_tolerances_si());
  ReadAll(from.surfaces(), to.surfaces, faults);
  to.nearest_point_fraction = from.nearest_point_fraction();
  to.refusals = Plainly(from.refusals());
  to.capacity_quantity = from.capacity_quantity();
  to.power_quantity = from.power_quantity();
  to.heating = from.heating();
  to.condition_systematic_si = Plainly(from.condition_systematic_si());
  ReadAll(from.shapes(), to.shapes, faults);
  ReadAll(from.consistencies(), to.consistencies, faults);
  ReadAll(from.response_covariances(), to.response_covariances, faults);
  ReadAll(from.shape_refits(), to.shape_refits, faults);

  const size_t conditions = to.conditions.size();
  const size_t held = to.held_conditions.size();
  if (conditions > kMostConditions) {
    faults.Add({.field = "StageMap.conditions",
                .message = absl::StrCat("has more than ", kMostConditions, " values")});
    return;
  }
  RequireSize(to.tested_low_si.size(), conditions, "StageMap.tested_low_si", faults);
  RequireSize(to.tested_high_si.size(), conditions, "StageMap.tested_high_si", faults);
  RequireSize(to.point_conditions_si.size(), to.point_ids.size() * conditions,
              "StageMap.point_conditions_si", faults);
  RequireSize(to.held_values_si.size(), held, "StageMap.held_values_si", faults);
  RequireSize(to.held_tolerances_si.size(), held, "StageMap.held_tolerances_si", faults);
  if (!to.condition_systematic_si.empty()) {
    RequireSize(to.condition_systematic_si.size(), conditions,
                "StageMap.condition_systematic_si", faults);
  }
  for (const Surface& surface : to.surfaces) CheckSizes(surface, conditions, faults);
}

void Write(const StageMap& from, v1::StageMap* to) {
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  to->set_regime(from.regime);
  Fill(from.conditions, to->mutable_conditions());
  Fill(from.tested_low_si, to->mutable_tested_low_si());
  Fill(from.tested_high_si, to->mutable_tested_high_si());
  Fill(from.point_conditions_si, to->mutable_point_conditions_si());
  Fill(from.point_ids, to->mutable_point_ids());
  Fill(from.held_conditions, to->mutable_held_conditions());
  Fill(from.held_values_si, to->mutable_held_values_si());
  Fill(from.held_tolerances_si, to->mutable_held_tolerances_si());
  WriteAll(from.surfaces, to->mutable_surfaces());
  to->set_nearest_point_fraction(from.nearest_point_fraction);
  Fill(from.refusals, to->mutable_refusals());
  to->set_capacity_quantity(from.capacity_quantity);
  to->set_power_quantity(from.power_quantity);
  to->set_heating(from.heating);
  Fill(from.condition_systematic_si, to->mutable_condition_systematic_si());
  WriteAll(from.shapes, to->mutable_shapes());
  WriteAll(from.consistencies, to->mutable_consistencies());
  WriteAll(from.response_covariances, to->mutable_response_covariances());
  WriteAll(from.shape_refits, to->mutable_shape_refits());
}

}  // namespace ratebound::document
