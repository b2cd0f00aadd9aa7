// The region of a claim in SI: a box, cut by half-spaces into convex pieces.
//
// Example:
//   ASSIGN_OR_RETURN(RegionPieces region,
//                    PiecesOf(map.conditions, claim.region, claim.cuts));
//   for (const std::vector<HalfSpace>& piece : region.pieces) ...
//
// A cut in the unit of the claim becomes one in SI with coefficients rounded once, and
// this is what the engine takes the region to be. A polygon is divided at its corners
// alone, by exact tests of orientation, into triangles that are then joined to convex
// pieces as long as they stay convex (Hertel and Mehlhorn, Foundations of Computation
// Theory, LNCS 158 (1983) 207). The edges of its pieces are moved outwards by their
// rounding, so that no point of the polygon is lost between two of them.
//
// Errors: INVALID_ARGUMENT naming the cut: a condition that is not among those given, a
// unit that measures something else, a polygon whose edges cross or touch. Checks of
// documents report the same with their place.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_DOCUMENT_REGION_PIECES_H_
#define RATEBOUND_ENGINE_DOCUMENT_REGION_PIECES_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim_region.h"
#include "engine/document/measure.h"

namespace ratebound::document {

inline constexpr int kMostPolygonVertices = 64;
inline constexpr int kMostRegionPieces = 256;

// sum of factors[i] x_i + constant is not negative.
struct HalfSpace {
  std::vector<double> factors;
  double constant = 0;
  friend bool operator==(const HalfSpace&, const HalfSpace&) = default;
};

struct ConditionBox {
  std::vector<double> low_si;
  std::vector<double> high_si;
  friend bool operator==(const ConditionBox&, const ConditionBox&) = default;
};

struct RegionPieces {
  ConditionBox box;
  // The region is the part of the box where all half-spaces of any one piece hold; one
  // piece without any where nothing is cut.
  std::vector<std::vector<HalfSpace>> pieces;
};

// In the order of `conditions`, each of which needs one range.
absl::StatusOr<RegionPieces> PiecesOf(std::span<const std::string> conditions,
                                      std::span<const MeasureRange> ranges,
                                      std::span<const RegionCut> cuts);

// Half-planes over two coordinates, piece by piece: {factor, other factor, constant}.
struct HalfPlane {
  double factor = 0;
  double other_factor = 0;
  double constant = 0;
};
absl::StatusOr<std::vector<std::vector<HalfPlane>>> ConvexPieces(
    std::span<const PolygonVertex> vertices);

// Whether no point of the box keeps all half-spaces, by more than rounding (a part of
// 1e-12 of their own extent over the box). Decided by linear programming.
bool IsEmpty(const ConditionBox& box, std::span<const HalfSpace> half_spaces);
// Whether no piece has a point in `part`, a box inside the region's.
bool IsEmptyIn(const RegionPieces& region, const ConditionBox& part);

// The box of the region with some of its ranges replaced; empty where the two have no
// point in common. Ranges of other conditions are INVALID_ARGUMENT.
absl::StatusOr<std::optional<ConditionBox>> Within(
    std::span<const std::string> conditions, const ConditionBox& box,
    std::span<const MeasureRange> ranges);

// A part of the region that none of `covers` holds; empty where they hold all of it.
std::optional<ConditionBox> Uncovered(const RegionPieces& region,
                                      std::span<const ConditionBox> covers);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_REGION_PIECES_H_
