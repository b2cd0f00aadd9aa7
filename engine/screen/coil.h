// Whether a cooling coil was wet or dry, and regimes that say otherwise. A surface never
// spans the two. Inside of Screen.
//
// Evidence, each with what its readings may be off by:
//   - humidity ratio of the entering less that of the leaving air;
//   - entering humidity ratio less that of air saturated at the leaving dry bulb: above 0
//     only if water condensed;
//   - latent part of total capacity, as latent_capacity or as total less sensible;
//   - moisture_removal or condensate_flow, as part of total capacity.
// A piece of evidence says *wet* where it lies above both its slack and its floor, *dry*
// where it lies below its floor and its slack is small enough to tell, else nothing. The
// coil is wet or dry where some evidence says so and none says the other.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_COIL_H_
#define RATEBOUND_ENGINE_SCREEN_COIL_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/points/stage_points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

enum class Coil { kUncertain, kWet, kDry };

// Below these nothing is called wet; with a slack above the second, nothing is called
// dry. Common practice, no source.
inline constexpr double kDryLatentFraction = 0.02;  // of total capacity
inline constexpr double kTellingLatentFraction = 0.10;
inline constexpr double kDryHumidityFall = 1e-4;  // kg/kg: 0.2 K of dew point at 10 degC
inline constexpr double kTellingHumidityFall = 6e-4;

// What a regime's name says: its word "wet" or "dry", as in "wet_coil".
Coil DeclaredCoil(std::string_view regime);

struct CoilJudgement {
  Coil coil = Coil::kUncertain;
  std::string wet_evidence;  // the first that says so, with its figures
  std::string dry_evidence;
  // Whether anything was measured that could tell.
  bool measured = false;
};

CoilJudgement JudgeCoil(const document::LineManifest& manifest,
                        const document::TestPoint& point);

// Points whose coil is not as their regime says, and points whose evidence disagrees.
// None in heating.
std::vector<Doubt> CheckCoil(const document::LineManifest& manifest,
                             const points::StagePoints& group);

// A failure for a group without a regime that holds both wet and dry points; a note on
// points that were measured and cannot be told.
void CheckRegime(const document::LineManifest& manifest, const points::StagePoints& group,
                 FindingList& findings);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_COIL_H_
