// What physics says of the surfaces for tables: facts judged, and, where asked for, the
// surfaces bent to them.
//
// A fact (document::ShapeFact) is a polynomial margin that must be nowhere negative: a
// value less its limit, a slope with its sign, a difference of two surfaces plus an
// offset. It is PROVEN or REFUTED for every condition of the tested region
// (shape_judge.h); what is judged is the surface as it stands, without its band.
//
// With Mode::constrain_to_shape_facts, surfaces that break a fact, or leave one
// undecided, are fitted again under linear inequalities that are enough for all their
// facts over all tested ranges (shape_refit.h), and judged again. A surface that obeys is
// not touched, to the last bit. Surfaces for proofs are never bent.
//
// Balances are judged and, where asked for, surfaces fitted together (consistency.h).
//
// Example:
//   JudgeShape(manifest, mode, points, map);
//   map.shapes[0].outcome;          // document::ShapeOutcome::kProven
//   map.shape_refits[0].residual_sd_after_si;
//
// Only plain polynomials are judged: a surface of another form (Surface::form) is
// NOT_JUDGED, and says so. Thread-safety: pure, but for `map`. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_SHAPE_H_
#define RATEBOUND_ENGINE_MAP_SHAPE_H_

#include <span>
#include <string>

#include "absl/status/statusor.h"
#include "engine/bound/polynomial.h"
#include "engine/document/line.h"
#include "engine/document/map.h"
#include "engine/document/points.h"

namespace ratebound::map {

// Fills map.shapes, consistencies, response_covariances and shape_refits of a fitted
// stage, and replaces surfaces for tables where the mode asks for it. `points` holds at
// least the points that `map` names.
void JudgeShape(const document::LineManifest& manifest, const document::Mode& mode,
                std::span<const document::TestPoint> points, document::StageMap& map);

// One fact on the surfaces as they are.
document::ShapeResult JudgeFact(const document::ShapeFact& fact,
                                const document::StageMap& map);

// Whether the fact speaks of this map's regime.
bool Applies(const document::ShapeFact& fact, const document::StageMap& map);

// The surface for tables that a fact or balance can be judged on; FAILED_PRECONDITION
// with the reason where there is none, or where it is no plain polynomial.
absl::StatusOr<const document::Surface*> JudgedSurface(const document::StageMap& map,
                                                       const std::string& quantity);

// The margin of a fact in the scaled conditions of its surface, in SI of the quantity (a
// slope for the half range of the condition).
absl::StatusOr<bound::Polynomial> MarginOf(const document::ShapeFact& fact,
                                           const document::StageMap& map);

// Place of a condition of the map; -1 where it has none of that name.
int ConditionIndex(const document::StageMap& map, const std::string& condition);

// "entering_air_wb 14 degC, entering_water_temp 20 degC".
std::string PlaceText(const document::StageMap& map, const std::vector<double>& point_si);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SHAPE_H_
