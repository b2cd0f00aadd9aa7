// A simple polygon as clauses of half-planes: a point is inside just where, in every
// clause, some half-plane holds it.
//
// Unlike convex pieces, clauses have no edges inside of the polygon, across which a point
// that is known but for its uncertainty would lie in no piece for sure. A convex polygon
// has one clause for each edge; a dent with k edges adds one clause of k half-planes.
//
// Method: the polygon is its convex hull less its pockets, each pocket is a polygon of
// its own, and so on (convex differences: Tor and Middleditch, ACM Transactions on
// Graphics 3 (1984) 244). What lies beyond a pocket's lid is outside the hull, so the lid
// is left out of what the pocket forbids. The formula is then multiplied out.
//
// Rounding: hulls are found in plain arithmetic, so corners that stand off a line by
// 1e-15 of its length may be taken to be on it.
// Errors: INVALID_ARGUMENT for a polygon that is not simple (ConvexPieces), or
// with more than kMostPolygonClauses clauses. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_DOCUMENT_POLYGON_CLAUSES_H_
#define RATEBOUND_ENGINE_DOCUMENT_POLYGON_CLAUSES_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim_region.h"

namespace ratebound::document {

inline constexpr size_t kMostPolygonClauses = 256;

// factor x + other_factor y + constant is not negative.
struct PolygonSide {
  double factor = 0;
  double other_factor = 0;
  double constant = 0;
  std::string edge;  // "the edge from (20, 80) to (60, 80)"
};
using PolygonClause = std::vector<PolygonSide>;

absl::StatusOr<std::vector<PolygonClause>> ClausesOf(
    std::span<const PolygonVertex> vertices);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_POLYGON_CLAUSES_H_
