// The accepted points of a line, sorted into what may be fitted together: one unit, mode,
// stage and regime, as columns of numbers.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<StagePoints> groups, GroupPoints(manifest, points, ""));
//   groups[0].columns[1];             // the second condition of the mode, point by
//   point, SI
//
// Thread-safety: pure; a StagePoints refers to manifest and points, which must outlive
// it.
#ifndef RATEBOUND_ENGINE_POINTS_STAGE_POINTS_H_
#define RATEBOUND_ENGINE_POINTS_STAGE_POINTS_H_

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::points {

struct StagePoints {
  const document::Unit* unit = nullptr;
  const document::Mode* mode = nullptr;
  std::string stage;
  std::string regime;
  // Accepted points with capacity and power measured; in the order of `points`.
  std::vector<const document::TestPoint*> points;
  std::vector<std::vector<double>> columns;  // of the mode's conditions
  // Number of each point's block, from 0, in the order of first appearance. Empty where
  // no point names one; points without a name then share a block.
  std::vector<int> blocks;
  std::vector<std::string> block_names;
  std::vector<std::string> specimens;  // each once; "" for points that name none
  // Accepted points left out because capacity or power was not measured.
  std::vector<std::string> incomplete_point_ids;
};

// Groups in the order of the manifest, regimes by name; stages without points have none.
// `only_unit` empty means every unit. INVALID_ARGUMENT, all faults together: an unknown
// `only_unit`; a point without one of its mode's conditions.
absl::StatusOr<std::vector<StagePoints>> GroupPoints(
    const document::LineManifest& manifest, std::span<const document::TestPoint> points,
    std::string_view only_unit);

// INVALID_ARGUMENT naming two points of unlike specimens, in a group of a unit that does
// not say pool_specimens.
absl::Status CheckPooling(const StagePoints& group);

// "hall-46/cooling/s" or "hall-46/cooling/s/wet_coil", for messages.
std::string NameOf(const StagePoints& group);

// How many values are told apart: a value starts a new level where it lies more than
// kLevelWidth of the whole range above the start of the level before. Set points that
// scatter by less count as one level.
inline constexpr double kLevelWidth = 0.05;
int CountLevels(std::span<const double> values);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_STAGE_POINTS_H_
