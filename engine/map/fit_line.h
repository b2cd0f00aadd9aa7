// The performance maps of a line: for every unit, mode, stage and regime with accepted
// points, surfaces of capacity, power and the mode's other responses.
//
// Each response gets a surface for tables (fit_response.h says how its model is chosen)
// and one for proofs, always a full polynomial in the conditions: of the mode's
// declared_proof_degree or, where none is declared, of one degree above the highest of
// the table's terms and of those of the candidate with the least error, because a band at
// the chosen degree ignores that the same points chose it; at most kGreatestDegree. What
// the points cannot carry is no error but a sentence in StageMap::refusals.
//
// Where every point of a stage has a random uncertainty of a response, points count by it
// and what days differ by (model_weights.h), in tables, proofs and combinations alike;
// the parts of a combination are taken for independent.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<document::StageMap> maps,
//                    FitLine(manifest, points, {.thread_count = 2}));
//
// Errors: INVALID_ARGUMENT as points::GroupPoints and points::CheckPooling; CANCELLED
// when `stop` said so. Determinism: the same bits for any number of threads; for any
// order of rows and files where the points come from ReadAllPoints. Thread-safety: pure;
// `stop` is called from several threads.
#ifndef RATEBOUND_ENGINE_MAP_FIT_LINE_H_
#define RATEBOUND_ENGINE_MAP_FIT_LINE_H_

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/map.h"
#include "engine/document/points.h"
#include "engine/map/combination.h"

namespace ratebound::map {

struct FitOptions {
  std::string only_unit;  // empty: every unit
  int thread_count = 1;
  std::function<bool()> stop;  // asked before each response; may be empty
  // Sets Surface::diagnostics; several times the work of the fits.
  bool diagnose = false;
};

// In the order of the manifest, regimes by name.
absl::StatusOr<std::vector<document::StageMap>> FitLine(
    const document::LineManifest& manifest, std::span<const document::TestPoint> points,
    const FitOptions& options = {});

// The surface of a linear combination of measured quantities over the points of a fitted
// stage, such as capacity - L * power for a claim on a ratio (Fieller; see engine/claim).
// `points` holds at least the points that `map` names. The surface's quantity is
// "total_capacity -3 power_input". Without blocks enough for a covariance the surface has
// none.
//
// Errors: INVALID_ARGUMENT where a point is missing or has no such quantity;
// FAILED_PRECONDITION where the points cannot carry the degree.
absl::StatusOr<document::Surface> FitCombination(
    const document::StageMap& map, std::span<const document::TestPoint> points,
    std::span<const WeightedQuantity> combination, int degree,
    document::SurfacePurpose purpose = document::SurfacePurpose::kProof);

// The surface of a quantity; null where the map has none.
const document::Surface* FindSurface(const document::StageMap& map,
                                     std::string_view quantity,
                                     document::SurfacePurpose purpose);

// The highest degree of the proof surfaces of these quantities: what a proof on their
// combination takes. Empty where one of them has no proof surface.
std::optional<int> ProofDegree(const document::StageMap& map,
                               std::span<const std::string> quantities);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_FIT_LINE_H_
