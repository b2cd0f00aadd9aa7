#include "engine/map/shape_judge.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/bound/banded_function.h"
#include "engine/bound/cover_region.h"
#include "engine/bound/prove_minimum.h"
#include "engine/bound/range_bounder.h"
#include "engine/map/refuting_point.h"

namespace ratebound::map {
namespace {

using bound::Box;
using bound::Membership;
using bound::Polynomial;
using bound::Proof;
using document::ShapeOutcome;

// Of the absolute sum of the terms.
constexpr double kGrazing = 1e-9;
constexpr int kMostHalvings = 30;

double AbsoluteSum(const Polynomial& g) {
  double sum = 0;
  for (double coefficient : g.coefficients()) sum += std::fabs(coefficient);
  return sum;
}

}  // namespace

absl::StatusOr<RegionJudge> RegionJudge::Create(const document::StageMap& map,
                                                const document::Surface& surface) {
  ASSIGN_OR_RETURN(TestedRegion tested, TestedRegion::Create(map, surface));
  ASSIGN_OR_RETURN(TestedShare share,
                   tested.Share(map.tested_low_si, map.tested_high_si));
  if (!share.inside) {
    return absl::FailedPreconditionError("the tested ranges are empty");
  }
  RegionJudge judge(std::move(tested), std::move(share));
  const size_t n = map.conditions.size();
  for (size_t k = 0; k < map.point_ids.size(); ++k) {
    std::vector<double>& z = judge.points_z_.emplace_back();
    for (size_t i = 0; i < n; ++i) {
      z.push_back((map.point_conditions_si[k * n + i] - surface.centre_si[i]) /
                  surface.half_range_si[i]);
    }
  }
  return judge;
}

void RegionJudge::LeastAtPoints(const Polynomial& g, RegionVerdict& verdict) const {
  verdict.worst_z.clear();
  for (const std::vector<double>& z : points_z_) {
    const double value = g.Evaluate(z);
    if (!verdict.worst_z.empty() && !(value < verdict.worst_value)) continue;
    verdict.worst_value = value;
    verdict.worst_z = z;
  }
}

absl::Status RegionJudge::Cover(const Polynomial& g, int64_t max_boxes,
                                RegionVerdict& verdict) const {
  ASSIGN_OR_RETURN(bound::RangeBounder range, bound::RangeBounder::Create(g, ranges()));
  ASSIGN_OR_RETURN(bound::RangeBounder leverage, tested_.LeverageOver(ranges()));
  const bool all_tested = share_.tested_fraction == 1;
  std::vector<double> failing_z;
  const auto classify = [&](const Box& box) {
    const bound::Interval values = range.Range(box);
    if (values.lo >= 0) return Membership::kIn;
    const Membership tested =
        all_tested ? Membership::kIn : tested_.Classify(box, leverage);
    if (tested == Membership::kOut) return Membership::kIn;
    if (!(values.hi < 0) || tested != Membership::kIn) return Membership::kUnknown;
    if (failing_z.empty()) {
      for (int i = 0; i < box.variables(); ++i) {
        failing_z.push_back(0.5 * box.lo[i] + 0.5 * box.hi[i]);
      }
    }
    return Membership::kOut;
  };
  ASSIGN_OR_RETURN(
      const bound::Cover cover,
      bound::CoverRegion(
          ranges(), classify,
          {.max_boxes = max_boxes, .max_halvings = kMostHalvings, .max_out_boxes = 0}));
  verdict.boxes += cover.boxes;
  const double tested_high =
      std::min(1.0, share_.tested_fraction + share_.unknown_fraction);
  const double tested_low = share_.tested_fraction;
  verdict.failing_low = tested_high > 0 ? cover.out / tested_high : 0;
  verdict.failing_high =
      tested_low > 0 ? std::min(1.0, (cover.out + cover.unknown) / tested_low) : 1;
  if (cover.in == 1) verdict.outcome = ShapeOutcome::kProven;
  if (cover.out > 0) {
    verdict.outcome = ShapeOutcome::kRefuted;
    verdict.worst_z = failing_z;
    verdict.worst_value = g.Evaluate(failing_z);
  }
  return absl::OkStatus();
}

absl::StatusOr<RegionVerdict> RegionJudge::Judge(const Polynomial& g) const {
  const bound::BandedFunction margin{.f = g};
  ASSIGN_OR_RETURN(const Proof proof,
                   bound::ProveNonNegative(
                       margin, ranges(), {.max_boxes = kProofBoxes, .max_undecided = 0}));
  RegionVerdict verdict{.worst_value = proof.value_at_worst.Middle(),
                        .worst_z = proof.worst_point,
                        .lower_bound = proof.lower_bound,
                        .boxes = proof.boxes};
  if (proof.outcome == Proof::kHolds) {
    verdict.outcome = ShapeOutcome::kProven;
    return verdict;
  }
  verdict.grazes = proof.outcome == Proof::kUndecided &&
                   proof.lower_bound >= -kGrazing * AbsoluteSum(g);
  RETURN_IF_ERROR(Cover(g, verdict.grazes ? kGrazingBoxes : kCoverBoxes, verdict));
  if (verdict.outcome == ShapeOutcome::kProven) {
    verdict.grazes = false;
    // What the prover found lies where nothing was tested.
    if (proof.outcome == Proof::kViolated) LeastAtPoints(g, verdict);
    return verdict;
  }
  // The lowest point that anyone found in the tested region.
  const auto adopt = [&](const std::vector<double>& z) {
    std::vector<bound::Interval> x(z.begin(), z.end());
    const bound::Interval value = g.Evaluate(x);
    if (!(value.hi < 0)) return;
    if (verdict.outcome == ShapeOutcome::kRefuted &&
        !(value.Middle() < verdict.worst_value)) {
      return;
    }
    verdict.outcome = ShapeOutcome::kRefuted;
    verdict.worst_value = value.Middle();
    verdict.worst_z = z;
  };
  if (tested_.Contains(proof.worst_point)) {
    adopt(proof.worst_point);
  } else if (proof.outcome == Proof::kViolated) {
    const bound::BandedFunction shortfall{.f = g.Scale(-1)};
    const std::vector<std::vector<double>> starts = {proof.worst_point};
    const auto found = FindRefutingPoint(shortfall, ranges(), tested_, starts);
    if (found) adopt(*found);
  }
  if (verdict.outcome == ShapeOutcome::kRefuted) verdict.grazes = false;
  return verdict;
}

}  // namespace ratebound::map
