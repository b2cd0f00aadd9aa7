#include "engine/claim/refuting_band.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/base/status_macros.h"
#include "engine/claim/level.h"
#include "engine/claim/regional_constant.h"
#include "engine/map/proof_spread.h"

namespace ratebound::claim {
namespace {

// Whether the margin is below 0 by more than bands of a single place take.
bool MayBeRefuted(const OneSide& side, const Frame& frame,
                  const document::ConditionBox& box, double level) {
  const bound::Box in_z = BoxIn(frame, box);
  Factors factors;
  for (const document::Surface& surface : side.surfaces) {
    factors.push_back(ProvingFactor(level, BandDegrees(surface)));
  }
  for (const std::vector<double>& z : map::PlacesToLookAt(in_z.lo, in_z.hi, {})) {
    double taken = SystematicAt(side, z, factors);
    for (size_t k = 0; k < factors.size(); ++k) {
      taken += factors[k] * std::sqrt(std::max(0.0, side.variances[k].Evaluate(z)));
    }
    if (-side.value.Evaluate(z) > taken) return true;
  }
  return false;
}

}  // namespace

absl::StatusOr<std::optional<Factors>> RefutingFactorsOver(
    const OneSide& side, const Frame& frame, const document::ConditionBox& box,
    const RefutingSearch& search) {
  const double of_stage = RefutingLevel(search.level, search.stages);
  const bool combined = std::any_of(side.parts.begin(), side.parts.end(),
                                    [](const auto& parts) { return parts.size() > 1; });
  const std::optional<Factors> everywhere =
      RefutingFactors(side, combined ? of_stage / search.parts : of_stage);
  const int count = static_cast<int>(side.surfaces.size());
  const double level = JointLevel(of_stage / (search.parts * search.sides), count);
  for (const StageInputs* stage : side.stages) {
    if (!stage->ratios) return everywhere;
  }
  if (count == 0 || !MayBeRefuted(side, frame, box, level)) return everywhere;
  Factors factors;
  for (int k = 0; k < count; ++k) {
    const document::Surface& surface = side.surfaces[k];
    std::optional<double> factor;
    if (everywhere) factor = (*everywhere)[k];
    auto ratios =
        side.stages[k]->ratios(side.parts[k], surface.degree, box.low_si, box.high_si);
    if (ratios.ok()) {
      factor = LesserRefutingFactor(
          factor, *ratios, static_cast<int>(surface.coefficients_si.size()), level);
    } else if (ratios.status().code() != absl::StatusCode::kFailedPrecondition) {
      return ratios.status();
    }
    if (!factor) return everywhere;
    factors.push_back(*factor);
  }
  return factors;
}

}  // namespace ratebound::claim
