#include "engine/map/consistency.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/bound/prove_minimum.h"
#include "engine/map/consistency_covariance.h"
#include "engine/map/consistency_streams.h"
#include "engine/map/fit_line.h"
#include "engine/map/shape.h"
#include "engine/map/shape_change.h"
#include "engine/map/shape_judge.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::map {
namespace {

using bound::Polynomial;
using document::BalanceTerm;
using document::ConsistencyResult;
using document::EnergyBalance;
using document::ShapeOutcome;
using document::StageMap;
using document::Surface;
using document::TestPoint;

constexpr int64_t kMostBoxes = 20'000;
// Enclosures of the greatest mismatch, as a part of the size of the first term.
constexpr double kEnclosure = 1e-9;
constexpr int kMostIterations = 20;
// A mismatch of residuals below this part of their scatter is rounding.
constexpr double kNoScatter = 1e-18;

std::string Short(double value) { return absl::StrFormat("%.6g", value); }

std::string TextOf(const EnergyBalance& balance) {
  std::string text;
  for (const BalanceTerm& term : balance.terms) {
    const double size = std::fabs(term.factor);
    absl::StrAppend(
        &text,
        text.empty() ? (term.factor < 0 ? "-" : "") : (term.factor < 0 ? " - " : " + "),
        size == 1 ? "" : base::ShortestText(size) + " ", term.quantity);
  }
  return text + " = 0";
}

struct Balanced {
  std::vector<const Surface*> surfaces;
  Polynomial mismatch;
  Polynomial first;
};

absl::StatusOr<Balanced> MismatchOf(const EnergyBalance& balance, const StageMap& map) {
  Balanced balanced;
  for (const BalanceTerm& term : balance.terms) {
    ASSIGN_OR_RETURN(const Surface* surface, JudgedSurface(map, term.quantity));
    ASSIGN_OR_RETURN(const Polynomial value, ValuePolynomial(*surface));
    if (balanced.surfaces.empty()) {
      balanced.first = value;
      balanced.mismatch = value.Scale(term.factor);
    } else {
      const Surface* const first = balanced.surfaces[0];
      if (surface->centre_si != first->centre_si ||
          surface->half_range_si != first->half_range_si) {
        return absl::FailedPreconditionError(
            absl::StrCat("the surfaces of ", first->quantity, " and ", surface->quantity,
                         " are scaled to other ranges"));
      }
      ASSIGN_OR_RETURN(balanced.mismatch,
                       Sum(balanced.mismatch, value.Scale(term.factor)));
    }
    balanced.surfaces.push_back(surface);
  }
  return balanced;
}

double SizeOf(const Polynomial& p) {
  double size = 0;
  for (double coefficient : p.coefficients()) size += std::fabs(coefficient);
  return size;
}

struct Extreme {
  double value = 0;  // with its sign, where it was found
  double bound = 0;  // no larger in size than this
  std::vector<double> z;
  int64_t boxes = 0;
};

// The greatest size over a box.
absl::StatusOr<Extreme> GreatestSize(const Polynomial& p, const bound::Box& box,
                                     double tolerance) {
  Extreme extreme;
  for (const double sign : {1.0, -1.0}) {
    // The least of -|p| is the least of p and of -p.
    ASSIGN_OR_RETURN(
        const bound::MinimumEnclosure least,
        bound::EncloseMinimum({.f = p.Scale(sign)}, box, tolerance, kMostBoxes));
    extreme.boxes += least.boxes;
    extreme.bound = std::max(extreme.bound, -least.value.lo);
    const double value = p.Evaluate(least.location);
    if (extreme.z.empty() || std::fabs(value) > std::fabs(extreme.value)) {
      extreme.value = value;
      extreme.z = least.location;
    }
  }
  return extreme;
}

// The greatest |mismatch| / first over a box where the first is positive.
absl::StatusOr<Extreme> GreatestFraction(const Balanced& balanced, const bound::Box& box,
                                         const std::vector<double>& start) {
  Extreme extreme{.z = start};
  const auto fraction_at = [&](const std::vector<double>& z) {
    return std::fabs(balanced.mismatch.Evaluate(z)) / balanced.first.Evaluate(z);
  };
  extreme.value = fraction_at(start);
  const double tolerance = kEnclosure * SizeOf(balanced.first);
  for (int round = 0; round < kMostIterations; ++round) {
    bool higher = false;
    for (const double sign : {1.0, -1.0}) {
      ASSIGN_OR_RETURN(const Polynomial rest, Sum(balanced.first.Scale(extreme.value),
                                                  balanced.mismatch.Scale(sign)));
      ASSIGN_OR_RETURN(const bound::MinimumEnclosure least,
                       bound::EncloseMinimum({.f = rest}, box, tolerance, kMostBoxes));
      extreme.boxes += least.boxes;
      if (least.value.hi >= -tolerance) continue;
      const double fraction = fraction_at(least.location);
      if (fraction > extreme.value) {
        extreme.value = fraction;
        extreme.z = least.location;
        higher = true;
      }
    }
    if (!higher) break;
  }
  return extreme;
}

std::vector<double> Place(const StageMap& map, const Surface& surface,
                          const std::vector<double>& z) {
  std::vector<double> place = UnscaledPoint(surface, z);
  for (size_t i = 0; i < place.size(); ++i) {
    place[i] = std::clamp(place[i], map.tested_low_si[i], map.tested_high_si[i]);
  }
  return place;
}

absl::Status Judge(const EnergyBalance& balance, const StageMap& map,
                   ConsistencyResult& result) {
  ASSIGN_OR_RETURN(const Balanced balanced, MismatchOf(balance, map));
  const Surface& first = *balanced.surfaces[0];
  ASSIGN_OR_RETURN(const RegionJudge judge, RegionJudge::Create(map, first));
  const double tolerance = kEnclosure * SizeOf(balanced.first);
  ASSIGN_OR_RETURN(const Extreme greatest,
                   GreatestSize(balanced.mismatch, judge.ranges(), tolerance));
  result.greatest_mismatch_w = greatest.value;
  result.mismatch_bound_w = greatest.bound;
  result.greatest_mismatch_at_si = Place(map, first, greatest.z);
  result.box_count = greatest.boxes;

  // Within the tolerance: part * first - mismatch and part * first + mismatch.
  result.outcome = ShapeOutcome::kProven;
  std::string failing;
  for (const double sign : {1.0, -1.0}) {
    ASSIGN_OR_RETURN(const Polynomial rest,
                     Sum(balanced.first.Scale(result.tolerance_fraction),
                         balanced.mismatch.Scale(sign)));
    ASSIGN_OR_RETURN(const RegionVerdict verdict, judge.Judge(rest));
    result.box_count += verdict.boxes;
    if (verdict.outcome == ShapeOutcome::kRefuted) {
      result.outcome = ShapeOutcome::kRefuted;
      failing = absl::StrFormat(
          "beyond the tolerance over %.3g to %.3g %% of the tested region, ",
          100 * verdict.failing_low, 100 * verdict.failing_high);
    } else if (verdict.outcome != ShapeOutcome::kProven &&
               result.outcome == ShapeOutcome::kProven) {
      result.outcome = ShapeOutcome::kUndecided;
    }
  }
  ASSIGN_OR_RETURN(const bound::MinimumEnclosure least_first,
                   bound::EncloseMinimum({.f = balanced.first}, judge.ranges(),
                                         1e-6 * SizeOf(balanced.first), kMostBoxes));
  result.box_count += least_first.boxes;
  std::string part = "no part of the first term, which is not positive throughout";
  if (least_first.value.lo > 0) {
    ASSIGN_OR_RETURN(const Extreme fraction,
                     GreatestFraction(balanced, judge.ranges(), greatest.z));
    result.box_count += fraction.boxes;
    result.greatest_fraction = fraction.value;
    result.greatest_fraction_at_si = Place(map, first, fraction.z);
    part = absl::StrFormat("%.3g %% of %s at most", 100 * fraction.value, first.quantity);
  }
  const char* const stands = result.outcome == ShapeOutcome::kProven ? "closes: "
                             : result.outcome == ShapeOutcome::kRefuted
                                 ? "does not close: "
                                 : "not decided: ";
  result.reason = absl::StrCat(
      stands, failing, "the greatest mismatch is ", Short(result.greatest_mismatch_w),
      " W, at ", PlaceText(map, result.greatest_mismatch_at_si), "; ", part,
      ", against a tolerance of ", Short(100 * result.tolerance_fraction), " %");
  return absl::OkStatus();
}

Surface* TableSurface(StageMap& map, const std::string& quantity) {
  for (Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        surface.purpose == document::SurfacePurpose::kTable) {
      return &surface;
    }
  }
  return nullptr;
}

// Fits a response by a higher degree, with what the map says of it kept.
absl::Status RaiseDegree(int degree, std::span<const TestPoint> points,
                         const StageMap& map, Surface& surface) {
  const WeightedQuantity alone[] = {{surface.quantity, 1}};
  ASSIGN_OR_RETURN(Surface raised, FitCombination(map, points, alone, degree,
                                                  document::SurfacePurpose::kTable));
  raised.candidates = std::move(surface.candidates);
  raised.systematic_fraction = surface.systematic_fraction;
  raised.systematic_absolute_si = surface.systematic_absolute_si;
  surface = std::move(raised);
  return absl::OkStatus();
}

absl::Status FitOne(const EnergyBalance& balance, std::span<const TestPoint> points,
                    StageMap& map, JointFit& joint) {
  ASSIGN_OR_RETURN(const Balanced before, MismatchOf(balance, map));
  ASSIGN_OR_RETURN(const RegionJudge judge,
                   RegionJudge::Create(map, *before.surfaces[0]));
  ASSIGN_OR_RETURN(
      const Extreme greatest,
      GreatestSize(before.mismatch, judge.ranges(), kEnclosure * SizeOf(before.first)));
  joint.mismatch_before_w = greatest.value;

  const size_t count = balance.terms.size();
  std::vector<Surface> fitted;  // replaced together, or not at all
  int degree = 0;
  for (const Surface* surface : before.surfaces) {
    fitted.push_back(*surface);
    degree = std::max(degree, surface->degree);
  }
  const bool alike =
      std::all_of(fitted.begin(), fitted.end(), [&fitted](const Surface& surface) {
        return surface.exponents == fitted[0].exponents &&
               FittedTerms(surface) == FittedTerms(fitted[0]);
      });
  if (!alike) {
    for (Surface& surface : fitted) {
      RETURN_IF_ERROR(RaiseDegree(degree, points, map, surface));
    }
  }

  std::vector<double> factors;
  for (const BalanceTerm& term : balance.terms) factors.push_back(term.factor);
  ASSIGN_OR_RETURN(const std::vector<double> covariance,
                   ResidualCovariance(map, points, fitted));
  std::vector<double> share(count);  // S f
  double whole = 0;                  // f' S f
  double scatter = 0;
  for (size_t k = 0; k < count; ++k) {
    for (size_t l = 0; l < count; ++l) {
      share[k] += covariance[k * count + l] * factors[l];
    }
    whole += factors[k] * share[k];
    scatter += factors[k] * factors[k] * covariance[k * count + k];
  }
  if (!(whole > kNoScatter * scatter)) {
    // The data close the balance by themselves: what is left is rounding, and goes to
    // each alike.
    whole = 0;
    for (size_t k = 0; k < count; ++k) {
      share[k] = factors[k];
      whole += factors[k] * factors[k];
    }
  }
  const size_t terms = fitted[0].coefficients_si.size();
  std::vector<std::vector<double>> joined(count);
  for (size_t k = 0; k < count; ++k) joined[k] = fitted[k].coefficients_si;
  // A second time takes off what rounding left of the first.
  for (int round = 0; round < 2; ++round) {
    for (size_t t = 0; t < terms; ++t) {
      double mismatch = 0;
      for (size_t k = 0; k < count; ++k) mismatch += factors[k] * joined[k][t];
      for (size_t k = 0; k < count; ++k) joined[k][t] -= mismatch * share[k] / whole;
    }
  }
  for (size_t k = 0; k < count; ++k) {
    const SurfaceChange change =
        ReplaceCoefficients(map, std::move(joined[k]), fitted[k]);
    joint.changes.push_back({.quantity = fitted[k].quantity,
                             .residual_sd_before_si = before.surfaces[k]->residual_sd_si,
                             .residual_sd_after_si = change.residual_sd_after_si,
                             .greatest_change_si = change.greatest_change_si,
                             .greatest_change_point = change.greatest_change_point,
                             .degree = degree});
  }
  for (Surface& surface : fitted) {
    const std::string quantity = surface.quantity;
    *TableSurface(map, quantity) = std::move(surface);
  }
  return absl::OkStatus();
}

}  // namespace

std::vector<EnergyBalance> BalancesOf(const document::Mode& mode, const StageMap& map) {
  if (!mode.energy_balances.empty()) return mode.energy_balances;
  const bool cooling = mode.kind == document::ModeKind::kCooling;
  const std::string other = cooling ? "heat_rejection" : "heat_absorbed";
  const auto has = [&map](const std::string& quantity) {
    return FindSurface(map, quantity, document::SurfacePurpose::kTable) != nullptr;
  };
  // The balance of the whole unit: only of what counts the fan.
  const std::string whole = cooling ? "total_capacity" : "heating_capacity";
  if (mode.capacity_quantity != whole || mode.power_quantity != "power_input" ||
      !has(whole) || !has("power_input") || !has(other)) {
    return {};
  }
  return {
      {.id = "whole_unit",
       .terms =
           cooling
               ? std::vector<BalanceTerm>{{other, 1}, {whole, -1}, {"power_input", -1}}
               : std::vector<BalanceTerm>{{whole, 1}, {other, -1}, {"power_input", -1}}}};
}

std::vector<JointFit> FitTogether(const document::Mode& mode,
                                  std::span<const TestPoint> points, StageMap& map) {
  std::vector<JointFit> fits;
  std::vector<std::string> taken;
  for (const EnergyBalance& balance : BalancesOf(mode, map)) {
    if (!balance.fit_jointly) continue;
    JointFit& joint = fits.emplace_back(JointFit{.balance = balance});
    for (const BalanceTerm& term : balance.terms) {
      if (std::find(taken.begin(), taken.end(), term.quantity) != taken.end()) {
        joint.refusal = absl::StrCat(term.quantity,
                                     " is fitted together with others for a balance "
                                     "before this one");
      }
    }
    if (!joint.refusal.empty()) continue;
    const absl::Status status = FitOne(balance, points, map, joint);
    if (!status.ok()) {
      joint.refusal = std::string(status.message());
      continue;
    }
    for (const BalanceTerm& term : balance.terms) taken.push_back(term.quantity);
  }
  return fits;
}

void JudgeConsistency(const document::Mode& mode, std::span<const TestPoint> points,
                      std::vector<JointFit> joint_fits, StageMap& map) {
  for (const EnergyBalance& balance : BalancesOf(mode, map)) {
    ConsistencyResult result{
        .id = balance.id,
        .text = TextOf(balance),
        .tolerance_fraction = balance.tolerance_fraction.value_or(kBalanceTolerance)};
    for (JointFit& joint : joint_fits) {
      if (joint.balance.id != balance.id) continue;
      result.fitted_jointly = joint.refusal.empty();
      result.joint_refusal = joint.refusal;
      result.joint_changes = std::move(joint.changes);
      result.mismatch_before_w = joint.mismatch_before_w;
    }
    const absl::Status status = Judge(balance, map, result);
    if (!status.ok()) {
      result.outcome = ShapeOutcome::kNotJudged;
      result.reason = std::string(status.message());
    }
    map.consistencies.push_back(std::move(result));
  }
  for (ConsistencyResult& stream : JudgeStreams(mode, map)) {
    map.consistencies.push_back(std::move(stream));
  }
  auto covariance =
      CovarianceBetween(mode.capacity_quantity, mode.power_quantity, points, map);
  if (covariance.ok()) map.response_covariances.push_back(*std::move(covariance));
}

}  // namespace ratebound::map
