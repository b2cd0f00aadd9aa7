// A unit of a line, rated from the performance maps of its stages.
//
// Example:
//   ASSIGN_OR_RETURN(RatedUnit rated, MapRatedUnit(unit, models, procedure.mode_kind));
//   ASSIGN_OR_RETURN(document::Rating rating, RateUnit(procedure, rated));
#ifndef RATEBOUND_ENGINE_RATING_MAP_RATED_UNIT_H_
#define RATEBOUND_ENGINE_RATING_MAP_RATED_UNIT_H_

#include <span>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/map/stage_model.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

// Takes the unit's first mode of `kind` and, of `models`, those of this unit and mode;
// models of other units and modes are passed over, so that all of a line can be given.
// Without such a mode the result has a mode of the other kind, which RateUnit refuses by
// scope.
//
// Figures are capacity, power and the other responses of the mode, as far as the maps
// have them. Where a stage has maps of several regimes (wet and dry coil), the one whose
// footing at the conditions is best answers; none does where two are equally good, since
// a surface never speaks for another regime.
//
// The models must outlive the result. INVALID_ARGUMENT for a unit without modes.
absl::StatusOr<RatedUnit> MapRatedUnit(const document::Unit& unit,
                                       std::span<const map::StageModel> models,
                                       document::ModeKind kind);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_MAP_RATED_UNIT_H_
