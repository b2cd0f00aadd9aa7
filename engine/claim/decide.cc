#include "engine/claim/decide.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/prove_minimum.h"
#include "engine/claim/level.h"
#include "engine/map/refuting_point.h"
#include "engine/map/surface_polynomials.h"
#include "engine/map/tested_region.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::claim {
namespace {

using bound::Proof;
using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using map::TestedRegion;
using map::TestedShare;

std::string Short(double value) { return absl::StrFormat("%.6g", value); }

std::string Percent(double fraction) {
  return absl::StrFormat("%.1f %%", 100 * fraction);
}

std::string ModelText(const document::Surface& surface, const document::StageMap& map) {
  std::string text = absl::StrCat("full polynomial of degree ", surface.degree, " in ",
                                  surface.centre_si.size(), " conditions (",
                                  surface.coefficients_si.size(), " terms)");
  // What the surface does not follow holds only as it was held.
  if (!map.held_conditions.empty()) {
    absl::StrAppend(&text,
                    "; as held in the tests: ", absl::StrJoin(map.held_conditions, ", "));
  }
  return text;
}

// Why a proof has no surface to stand on; empty where it has one.
std::string SurfaceFault(const document::StageMap& map, const document::Surface* surface,
                         const std::string& quantity) {
  if (surface == nullptr) {
    for (const std::string& refusal : map.refusals) {
      if (refusal.find(quantity) != std::string::npos) return refusal;
    }
    return absl::StrCat("there is no surface of ", quantity, " that a proof could use",
                        map.refusals.empty() ? "" : ": " + map.refusals.front());
  }
  if (surface->covariance_si.empty() && surface->block_count == 0) {
    return absl::StrCat("the uncertainty of ", quantity,
                        " cannot be estimated: a single point decides some term; test "
                        "more points, or declare a smaller model");
  }
  if (surface->covariance_si.empty()) {
    return absl::StrCat("the uncertainty of ", quantity,
                        " cannot be estimated: ", surface->block_count,
                        " blocks do not carry ", surface->coefficients_si.size(),
                        " terms; test on more days, or declare a smaller model");
  }
  return "";
}

// What speaks against the form of what is proven itself; empty where nothing does.
std::string FormFault(const document::Surface& surface) {
  if (!surface.lack_of_fit_probability ||
      *surface.lack_of_fit_probability >= kLackOfFitLevel) {
    return "";
  }
  return absl::StrCat(
      "repeats agree better with each other than with the surface (probability ",
      absl::StrFormat("%.2g", *surface.lack_of_fit_probability),
      " under the model): its form is not good enough");
}

const document::Surface* FindProofSurface(const document::StageMap& map,
                                          const std::string& quantity) {
  for (const document::Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        surface.purpose == document::SurfacePurpose::kProof) {
      return &surface;
    }
  }
  return nullptr;
}

class Decision {
 public:
  Decision(const document::Claim& claim, const ClaimInputs& inputs, quantity::Unit unit)
      : claim_(claim), inputs_(inputs), unit_(unit) {
    verdict_.claim = claim.id;
    verdict_.text = claim;
    verdict_.unit = claim.limit_unit;
    verdict_.data_digest = inputs.data_digest;
    if (inputs.earlier != nullptr) {
      const bool same_data = inputs.earlier->data_digest == inputs.data_digest;
      verdict_.look = inputs.earlier->look + (same_data ? 0 : 1);
    }
    verdict_.level = LookLevel(claim.confidence, verdict_.look);
  }

  absl::StatusOr<Verdict> Run() {
    for (const std::string& condition : inputs_.map.conditions) {
      const auto range = std::find_if(
          claim_.region.begin(), claim_.region.end(),
          [&](const document::MeasureRange& r) { return r.quantity == condition; });
      if (range == claim_.region.end()) {
        return absl::InvalidArgumentError(
            absl::StrCat("claim ", claim_.id, ": region has no ", condition));
      }
      if (!(range->low_si <= range->high_si)) {
        return absl::InvalidArgumentError(absl::StrCat(
            "claim ", claim_.id, ": the range of ", condition, " ends before it starts"));
      }
      ranges_.push_back(*range);
      low_si_.push_back(range->low_si);
      high_si_.push_back(range->high_si);
    }
    // A range over what the surface does not follow would promise what nobody looks at.
    for (const document::MeasureRange& range : claim_.region) {
      const std::vector<std::string>& known = inputs_.map.conditions;
      if (std::find(known.begin(), known.end(), range.quantity) == known.end()) {
        return absl::InvalidArgumentError(absl::StrCat(
            "claim ", claim_.id, ": ", range.quantity, " is no condition of the map"));
      }
    }
    std::vector<std::string> rests_on = {claim_.quantity};
    if (IsEfficiency(claim_.quantity)) {
      rests_on = {inputs_.mode.capacity_quantity, inputs_.mode.power_quantity};
    }
    // The model of a combination holds the models of its parts.
    int degree = 0;
    for (const std::string& quantity : rests_on) {
      const document::Surface* const surface = FindProofSurface(inputs_.map, quantity);
      const std::string fault = SurfaceFault(inputs_.map, surface, quantity);
      if (!fault.empty()) return NotShown(NotShownReason::kModel, fault);
      degree = std::max(degree, surface->degree);
    }
    auto margin =
        MakeMargin(claim_, inputs_.manifest, inputs_.mode, inputs_.map,
                   *FindProofSurface(inputs_.map, rests_on[0]), degree, inputs_.fit);
    if (margin.status().code() == absl::StatusCode::kFailedPrecondition) {
      return NotShown(NotShownReason::kModel, std::string(margin.status().message()));
    }
    RETURN_IF_ERROR(margin.status());
    for (const OneSide* side : {&margin->taken, &margin->granted}) {
      const std::string fault = FormFault(side->surface);
      if (!fault.empty()) return NotShown(NotShownReason::kModel, fault);
    }
    return Decide(*margin);
  }

 private:
  absl::StatusOr<Verdict> Decide(const Margin& margin) {
    const document::Surface& surface = margin.taken.surface;
    verdict_.model = ModelText(surface, inputs_.map);
    verdict_.degrees_of_freedom = surface.degrees_of_freedom;
    verdict_.coverage_factor = ProvingFactor(verdict_.level, surface.degrees_of_freedom);
    verdict_.allowance = quantity::DifferenceFromSi(margin.allowance_si, unit_);
    ASSIGN_OR_RETURN(const TestedRegion tested,
                     TestedRegion::Create(inputs_.map, surface));
    ASSIGN_OR_RETURN(const TestedShare share, tested.Share(low_si_, high_si_));
    RecordTested(share);
    if (!share.inside) {
      return NotShown(NotShownReason::kUntested, "no part of the region was tested");
    }
    if (!margin.capacity_and_power.empty()) {
      ASSIGN_OR_RETURN(const auto power,
                       bound::EncloseRange(margin.capacity_and_power[1], *share.inside));
      if (!(power.range.lo > 0)) {
        return NotShown(NotShownReason::kModel,
                        "the fitted power is not positive over the whole region");
      }
    }
    ASSIGN_OR_RETURN(const bound::BandedFunction pessimistic,
                     Pessimistic(margin, verdict_.coverage_factor));
    ASSIGN_OR_RETURN(const Proof proof,
                     bound::ProveNonNegative(pessimistic, *share.inside, {}));
    verdict_.box_count = proof.boxes;
    RecordWorst(margin, margin.taken, proof.worst_point, proof.value_at_worst.lo);
    ASSIGN_OR_RETURN(const bool refuted, TryRefute(margin, *share.inside, tested, proof));
    if (refuted) return Finish(Outcome::kRefuted);
    const bool holds = proof.outcome == Proof::kHolds;
    if (share.tested_fraction < 1) {
      return NotShown(
          NotShownReason::kUntested,
          absl::StrCat(Percent(1 - share.tested_fraction),
                       " of the region was never tested; the part inside the tested "
                       "ranges ",
                       holds ? "would hold" : "is not shown either"));
    }
    if (holds) return Finish(Outcome::kProven);
    if (proof.outcome == Proof::kUndecided) {
      return NotShown(NotShownReason::kBudget,
                      absl::StrCat("bound and limit are too close to tell apart within ",
                                   proof.boxes, " boxes"));
    }
    return NotShown(
        NotShownReason::kUncertain,
        absl::StrCat("the confidence band straddles the limit: the estimate there is ",
                     Short(verdict_.estimate), ", its bound ", Short(verdict_.bound), " ",
                     verdict_.unit));
  }

  void RecordTested(const TestedShare& share) {
    verdict_.tested_fraction = share.tested_fraction;
    for (const map::UntestedBox& box : share.untested) {
      document::UntestedPart part{.region_fraction = box.region_fraction};
      for (size_t i = 0; i < ranges_.size(); ++i) {
        part.region.push_back({ranges_[i].quantity, InUnit(i, box.low_si[i]),
                               InUnit(i, box.high_si[i]), ranges_[i].unit, box.low_si[i],
                               box.high_si[i]});
      }
      if (box.condition >= 0) {
        const size_t i = box.condition;
        part.why = absl::StrCat(ranges_[i].quantity, " was tested from ",
                                Short(InUnit(i, inputs_.map.tested_low_si[i])), " to ",
                                Short(InUnit(i, inputs_.map.tested_high_si[i])), " ",
                                ranges_[i].unit, " (", Percent(box.region_fraction),
                                " of the region is outside)");
      } else {
        part.why =
            absl::StrCat("inside the tested ranges, but too far from the tested points (",
                         Percent(box.region_fraction), " of the region)");
      }
      verdict_.untested.push_back(std::move(part));
    }
  }

  // A condition in the unit of the claim; the ends of the region as they were written.
  double InUnit(size_t i, double value_si) const {
    if (value_si == ranges_[i].low_si) return ranges_[i].low;
    if (value_si == ranges_[i].high_si) return ranges_[i].high;
    const auto unit = quantity::FindUnit(ranges_[i].unit);
    return unit.ok() ? quantity::FromSi(value_si, *unit) : value_si;
  }

  // With verdict_.coverage_factor set to what the margin was computed with.
  void RecordWorst(const Margin& margin, const OneSide& side,
                   const std::vector<double>& z, double margin_si) {
    verdict_.worst_point.clear();
    const std::vector<double> x = map::UnscaledPoint(side.surface, z);
    for (size_t i = 0; i < x.size(); ++i) {
      // z is widened by rounding, so an end of the region may come back a step outside
      // it.
      double value_si = std::clamp(x[i], low_si_[i], high_si_[i]);
      const double slack = 1e-12 * side.surface.half_range_si[i];
      if (std::fabs(value_si - low_si_[i]) <= slack) value_si = low_si_[i];
      if (std::fabs(value_si - high_si_[i]) <= slack) value_si = high_si_[i];
      verdict_.worst_point.push_back(
          {ranges_[i].quantity, InUnit(i, value_si), ranges_[i].unit, value_si});
    }
    // What is proven of an efficiency is in watts of capacity.
    double per = 1;
    double estimate_si;
    const double sign = claim_.relation == document::Relation::kAtLeast ? 1 : -1;
    if (margin.capacity_and_power.empty()) {
      estimate_si =
          sign * (margin.taken.value.Evaluate(z) + margin.allowance_si) + claim_.limit_si;
    } else {
      per = margin.capacity_and_power[1].Evaluate(z);
      estimate_si = margin.capacity_and_power[0].Evaluate(z) / per;
    }
    verdict_.estimate = quantity::FromSi(estimate_si, unit_);
    verdict_.standard_error =
        quantity::DifferenceFromSi(StandardErrorAt(side, z) / per, unit_);
    verdict_.systematic = quantity::DifferenceFromSi(
        SystematicAt(side, z, verdict_.coverage_factor) / per, unit_);
    verdict_.margin = quantity::DifferenceFromSi(margin_si / per, unit_);
    verdict_.bound = claim_.limit + sign * verdict_.margin;
  }

  absl::StatusOr<bool> TryRefute(const Margin& margin, const bound::Box& inside,
                                 const TestedRegion& tested, const Proof& proof) {
    if (proof.outcome == Proof::kHolds) return false;
    const auto factor = RefutingFactor(
        verdict_.level, static_cast<int>(margin.granted.surface.coefficients_si.size()),
        BandDegrees(margin.granted.surface), margin.granted.surface.cluster_robust);
    if (!factor) return false;
    ASSIGN_OR_RETURN(const bound::BandedFunction shortfall, Shortfall(margin, *factor));
    const std::vector<double> starts[] = {proof.worst_point};
    const auto point = map::FindRefutingPoint(shortfall, inside, tested, starts);
    if (!point) return false;
    verdict_.coverage_factor = *factor;
    RecordWorst(margin, margin.granted, *point, -bound::Evaluate(shortfall, *point).lo);
    return true;
  }

  Verdict Finish(Outcome outcome) {
    verdict_.outcome = outcome;
    const char* const side =
        claim_.relation == document::Relation::kAtLeast ? "at least " : "at most ";
    if (outcome == Outcome::kProven) {
      verdict_.explanation = absl::StrCat(
          "shown at every point of the region with ", Percent(1 - verdict_.level),
          " one-sided confidence, for surfaces of this "
          "form within the allowance; closest by ",
          absl::StrFormat("%.3g", verdict_.margin), " ", verdict_.unit);
    } else {
      verdict_.explanation = absl::StrCat(
          "fails: ", side, Short(claim_.limit), " ", verdict_.unit,
          " is promised, and at this point the "
          "simultaneous confidence band with every allowance granted still misses it by ",
          Short(-verdict_.margin), " ", verdict_.unit);
    }
    return verdict_;
  }

  Verdict NotShown(NotShownReason reason, std::string why) {
    verdict_.outcome = Outcome::kNotShown;
    verdict_.reason = reason;
    verdict_.explanation = std::move(why);
    return verdict_;
  }

  const document::Claim& claim_;
  const ClaimInputs& inputs_;
  const quantity::Unit unit_;
  std::vector<document::MeasureRange> ranges_;  // in the order of the map's conditions
  std::vector<double> low_si_;
  std::vector<double> high_si_;
  Verdict verdict_;
};

}  // namespace

absl::StatusOr<Verdict> DecideClaim(const document::Claim& claim,
                                    const ClaimInputs& inputs) {
  ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(claim.limit_unit));
  if (unit.reciprocal) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": ", claim.limit_unit,
                     " falls where efficiency rises; state the limit in W/W or Btu/Wh"));
  }
  ASSIGN_OR_RETURN(const auto* const quantity, quantity::FindQuantity(claim.quantity));
  if (quantity->dimension == quantity::Dimension::kTemperature &&
      claim.allowance.relative_fraction > 0) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id,
                     ": a part of a temperature depends on where its scale starts; state "
                     "the allowance as a difference"));
  }
  return Decision(claim, inputs, unit).Run();
}

}  // namespace ratebound::claim
