#include "engine/claim/level.h"

#include <algorithm>
#include <cmath>

#include "engine/number/distribution.h"

namespace ratebound::claim {

double LookLevel(double confidence, int look) {
  return (1 - confidence) / (static_cast<double>(look) * (look + 1));
}

double ServingLevel(double level, int stage_count, ServingRule rule) {
  return rule == ServingRule::kSome ? level / std::max(stage_count, 1) : level;
}

double RefutingLevel(double level, int stage_count) {
  return level / std::max(stage_count, 1);
}

double JointLevel(double level, int surface_count) {
  return level / std::max(surface_count, 1);
}

double ProvingFactor(double level, double degrees_of_freedom) {
  return -number::StudentTQuantile(level, degrees_of_freedom);
}

double BandDegrees(const document::Surface& surface) {
  if (!surface.cluster_robust) return surface.degrees_of_freedom;
  return (surface.block_count > 0 ? surface.block_count : surface.point_count) - 1;
}

std::optional<double> RefutingFactor(double level, int terms, double degrees_of_freedom,
                                     bool cluster_robust) {
  if (!cluster_robust) {
    return std::sqrt(terms * number::FUpperQuantile(level, terms, degrees_of_freedom));
  }
  const double below = degrees_of_freedom - terms + 1;
  if (below < 1) return {};
  return std::sqrt(terms * degrees_of_freedom / below *
                   number::FUpperQuantile(level, terms, below));
}

}  // namespace ratebound::claim
