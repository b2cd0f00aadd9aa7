#include "engine/claim/tested_alternative.h"

#include <utility>

#include "engine/base/status_macros.h"
#include "engine/claim/tested_part.h"

namespace ratebound::claim {

using document::ConditionBox;
using document::RegionPieces;

absl::StatusOr<AlternativeTested> TestedOver(const Alternative& alternative,
                                             const Frame& frame,
                                             const RegionPieces& region,
                                             const ConditionBox& box) {
  AlternativeTested result{.fraction = 1};
  ConditionBox inside = box;
  for (const TestedStage& stage : alternative.tested) {
    ASSIGN_OR_RETURN(map::TestedShare share,
                     TestedOver(stage.tested, *stage.map, *stage.surface, region, box));
    if (share.tested_fraction <= result.fraction) {
      result.fraction = share.tested_fraction;
      result.untested = std::move(share.untested);
    }
    if (!share.inside) return AlternativeTested{.untested = result.untested};
    const auto ranges = InsideRanges(*stage.map, inside);
    if (!ranges) return AlternativeTested{.untested = result.untested};
    inside = *ranges;
    if (alternative.tested.size() == 1 && FrameOf(*stage.surface) == frame) {
      result.inside = share.inside;
      return result;
    }
  }
  result.inside = BoxIn(frame, inside);
  return result;
}

bool IsTestedAt(const Alternative& alternative, const Frame& frame,
                const std::vector<double>& z) {
  for (const TestedStage& stage : alternative.tested) {
    std::vector<double> own = z;
    if (!(FrameOf(*stage.surface) == frame)) {
      const std::vector<double> x = PointOf(frame, z);
      for (size_t i = 0; i < x.size(); ++i) {
        own[i] = (x[i] - stage.surface->centre_si[i]) / stage.surface->half_range_si[i];
      }
    }
    if (!stage.tested.Contains(own)) return false;
  }
  return true;
}

std::vector<ConditionBox> DivideByTestedRanges(const Problem& problem,
                                               const RegionPieces& region) {
  constexpr size_t kMostParts = 64;
  std::vector<ConditionBox> parts = {problem.box};
  for (const auto& alternative : problem.alternatives) {
    for (const TestedStage& stage : alternative->tested) {
      for (size_t i = 0; i < problem.box.low_si.size(); ++i) {
        for (double end : {stage.map->tested_low_si[i], stage.map->tested_high_si[i]}) {
          std::vector<ConditionBox> next;
          for (const ConditionBox& part : parts) {
            if (!(part.low_si[i] < end && end < part.high_si[i])) {
              next.push_back(part);
              continue;
            }
            next.push_back(part);
            next.back().high_si[i] = end;
            next.push_back(part);
            next.back().low_si[i] = end;
          }
          if (next.size() <= kMostParts) parts = std::move(next);
        }
      }
    }
  }
  std::erase_if(
      parts, [&](const ConditionBox& part) { return document::IsEmptyIn(region, part); });
  return parts;
}

}  // namespace ratebound::claim
