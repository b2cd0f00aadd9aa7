#include "engine/claim/refuting_search.h"

#include <algorithm>
#include <limits>

#include "engine/claim/tested_alternative.h"
#include "engine/map/refuting_point.h"

namespace ratebound::claim {
namespace {

bool IsInRegion(const bound::Region& region, const std::vector<double>& z) {
  const std::vector<bound::Interval> x(z.begin(), z.end());
  return std::all_of(
      region.cuts.begin(), region.cuts.end(),
      [&](const bound::Polynomial& cut) { return cut.Evaluate(x).lo >= 0; });
}

// The side that an alternative misses by most of its own unit, `by` it.
std::optional<JudgedPoint> MostMissed(const Alternative& alternative, const Frame& frame,
                                      const std::vector<double>& z, double& by) {
  std::optional<JudgedPoint> missed;
  by = 0;
  if (!IsTestedAt(alternative, frame, z)) return missed;
  for (const SideMargin& side : alternative.sides) {
    if (!side.shortfall) continue;
    const double shortfall = bound::Evaluate(*side.shortfall, z).lo;
    if (!(shortfall > 0)) continue;
    const double in_unit = shortfall / MarginDivisor(side, z);
    if (in_unit <= by) continue;
    by = in_unit;
    missed = JudgedPoint{&alternative, &side, z, -shortfall};
  }
  return missed;
}

}  // namespace

double MarginDivisor(const SideMargin& side, const std::vector<double>& z) {
  return side.margin.has_denominator ? side.margin.denominator.Evaluate(z) : 1;
}

std::optional<JudgedPoint> FindMissedByAll(const Problem& problem, const Frame& frame,
                                           const bound::Region& region,
                                           std::vector<std::vector<double>> starts) {
  if (problem.lacks_a_stage) return std::nullopt;
  for (const auto& alternative : problem.alternatives) {
    for (const SideMargin& side : alternative->sides) {
      if (!side.shortfall || alternative->tested.size() != 1 ||
          !(FrameOf(*alternative->tested[0].surface) == frame)) {
        continue;
      }
      const auto point = map::FindRefutingPoint(*side.shortfall, region.box,
                                                alternative->tested[0].tested, starts);
      if (point) starts.push_back(*point);
    }
  }
  // The last found are the ones that a search has driven furthest.
  std::reverse(starts.begin(), starts.end());
  for (const std::vector<double>& z : starts) {
    if (!IsInRegion(region, z)) continue;
    std::optional<JudgedPoint> least_missed;
    double least = std::numeric_limits<double>::infinity();
    bool all_miss = true;
    for (const auto& alternative : problem.alternatives) {
      double by = 0;
      auto missed = MostMissed(*alternative, frame, z, by);
      if (!missed) {
        all_miss = false;
        break;
      }
      if (by < least) {
        least = by;
        least_missed = std::move(missed);
      }
    }
    if (all_miss && least_missed) return least_missed;
  }
  return std::nullopt;
}

}  // namespace ratebound::claim
