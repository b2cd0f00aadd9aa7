#include <cstdint>

#include "absl/strings/str_cat.h"
#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(SurfacePurpose::kProof) + 1 == v1::SURFACE_PURPOSE_PROOF);

// What evaluates a surface indexes by these sizes and exponents without looking again.
constexpr int kMostConditions = 16;
constexpr int kGreatestExponent = 16;

static void Read(const v1::DegreeCandidate& from, DegreeCandidate& to, base::FaultList&) {
  to.degree = from.degree();
  to.term_count = from.term_count();
  to.leave_out_rms_si = from.leave_out_rms_si();
  to.residual_sd_si = from.residual_sd_si();
  to.refusal = from.refusal();
}

static void Write(const DegreeCandidate& from, v1::DegreeCandidate* to) {
  to->set_degree(from.degree);
  to->set_term_count(from.term_count);
  to->set_leave_out_rms_si(from.leave_out_rms_si);
  to->set_residual_sd_si(from.residual_sd_si);
  to->set_refusal(from.refusal);
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
