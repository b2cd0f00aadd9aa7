// How far off the points of a stage may all be together: the systematic part of the
// uncertainty that instruments give them, in the form that proofs take off.
//
// Example:
//   SystematicPart part = SystematicOfPoints(group.points, "total_capacity");
//   part.fraction;      // 0.031: of the value, the greatest over the points
//
// Temperatures and other quantities whose parts mean nothing have an absolute figure, the
// greatest over the points, in SI. A quantity that no point has an uncertainty of has
// neither.
//
// Taking the greatest over the points is conservative between them; where a claim's
// region goes beyond the points, the verdict says so on its own. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_SYSTEMATIC_H_
#define RATEBOUND_ENGINE_MAP_SYSTEMATIC_H_

#include <span>
#include <string_view>

#include "engine/document/line.h"
#include "engine/document/map.h"
#include "engine/document/points.h"

namespace ratebound::map {

struct SystematicPart {
  double fraction = 0;
  double absolute_si = 0;
};

SystematicPart SystematicOfPoints(std::span<const document::TestPoint* const> points,
                                  std::string_view quantity);

// Of a response of a stage: what its surfaces carry from the instruments or, without
// instruments, what the manifest states outright.
SystematicPart SystematicOfResponse(const document::LineManifest& manifest,
                                    const document::StageMap& map,
                                    std::string_view quantity);
// Of a condition of the map, likewise, in SI; a stated part is taken of the greatest
// tested value.
double SystematicOfCondition(const document::LineManifest& manifest,
                             const document::StageMap& map, size_t condition);

// Sets those of the map's conditions and surfaces.
void SetSystematic(std::span<const document::TestPoint* const> points,
                   document::StageMap& map);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SYSTEMATIC_H_
