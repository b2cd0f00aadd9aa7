#include "engine/document/polygon_clauses.h"

#include <algorithm>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/document/region_pieces.h"

namespace ratebound::document {
namespace {

using Corner = PolygonVertex;
using Clauses = std::vector<PolygonClause>;

// Above 0 where c lies to the left of the line from a to b.
double Turn(const Corner& a, const Corner& b, const Corner& c) {
  return (b.value - a.value) * (c.other_value - a.other_value) -
         (b.other_value - a.other_value) * (c.value - a.value);
}

// The left of the line from a to b.
PolygonSide LeftOf(const Corner& a, const Corner& b) {
  PolygonSide side{.factor = a.other_value - b.other_value,
                   .other_factor = b.value - a.value};
  side.constant = -(side.factor * a.value + side.other_factor * a.other_value);
  side.edge = absl::StrFormat("the edge from (%g, %g) to (%g, %g)", a.value,
                              a.other_value, b.value, b.other_value);
  return side;
}

PolygonSide Beyond(PolygonSide side) {
  side.factor = -side.factor;
  side.other_factor = -side.other_factor;
  side.constant = -side.constant;
  return side;
}

// Indices of the corners of the convex hull, in the order of the ring, which goes round
// to the left; by Andrew's monotone chains.
std::vector<size_t> Hull(const std::vector<Corner>& ring) {
  std::vector<size_t> order(ring.size());
  for (size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(), [&](size_t a, size_t b) {
    return std::pair(ring[a].value, ring[a].other_value) <
           std::pair(ring[b].value, ring[b].other_value);
  });
  std::vector<size_t> hull;
  const auto chain = [&](auto begin, auto end) {
    const size_t start = hull.size();
    for (auto at = begin; at != end; ++at) {
      while (hull.size() >= start + 2 &&
             Turn(ring[hull[hull.size() - 2]], ring[hull.back()], ring[*at]) <= 0) {
        hull.pop_back();
      }
      hull.push_back(*at);
    }
    hull.pop_back();
  };
  chain(order.begin(), order.end());
  chain(order.rbegin(), order.rend());
  // A simple ring meets the corners of its hull in its own order.
  std::sort(hull.begin(), hull.end());
  return hull;
}

absl::StatusOr<Clauses> Product(const Clauses& a, const Clauses& b) {
  Clauses product;
  for (const PolygonClause& left : a) {
    for (const PolygonClause& right : b) {
      if (product.size() >= kMostPolygonClauses) {
        return absl::InvalidArgumentError(
            "the polygon is bent inwards too often; leave out its smallest dents on the "
            "inner side");
      }
      PolygonClause& both = product.emplace_back(left);
      both.insert(both.end(), right.begin(), right.end());
    }
  }
  return product;
}

absl::StatusOr<Clauses> Inside(const std::vector<Corner>& ring, bool has_lid);

// What a polygon forbids that goes round to the left and whose last edge is its lid.
absl::StatusOr<Clauses> Outside(const std::vector<Corner>& ring);

// The pocket between two neighbours on the hull, turned round so that it goes to the
// left, with its lid last.
std::vector<Corner> Pocket(const std::vector<Corner>& ring, size_t from, size_t to) {
  std::vector<Corner> pocket;
  for (size_t i = from; i != to; i = (i + 1) % ring.size()) pocket.push_back(ring[i]);
  pocket.push_back(ring[to]);
  std::reverse(pocket.begin(), pocket.end());
  return pocket;
}

absl::StatusOr<Clauses> Inside(const std::vector<Corner>& ring, bool has_lid) {
  const std::vector<size_t> hull = Hull(ring);
  Clauses clauses;
  for (size_t k = 0; k < hull.size(); ++k) {
    const size_t from = hull[k], to = hull[(k + 1) % hull.size()];
    // The lid goes from the last corner to the first.
    if (has_lid && from == ring.size() - 1 && to == 0) continue;
    clauses.push_back({LeftOf(ring[from], ring[to])});
    if ((from + 1) % ring.size() == to) continue;
    ASSIGN_OR_RETURN(const Clauses pocket, Outside(Pocket(ring, from, to)));
    clauses.insert(clauses.end(), pocket.begin(), pocket.end());
  }
  if (clauses.size() > kMostPolygonClauses) return Product(clauses, {{}});
  return clauses;
}

absl::StatusOr<Clauses> Outside(const std::vector<Corner>& ring) {
  const std::vector<size_t> hull = Hull(ring);
  // Some edge is violated, or the point lies in a pocket of this one.
  Clauses clauses = {{}};
  for (size_t k = 0; k < hull.size(); ++k) {
    const size_t from = hull[k], to = hull[(k + 1) % hull.size()];
    if (from == ring.size() - 1 && to == 0) continue;
    ASSIGN_OR_RETURN(clauses, Product(clauses, {{Beyond(LeftOf(ring[from], ring[to]))}}));
    if ((from + 1) % ring.size() == to) continue;
    ASSIGN_OR_RETURN(const Clauses inner, Inside(Pocket(ring, from, to), true));
    ASSIGN_OR_RETURN(clauses, Product(clauses, inner));
  }
  return clauses;
}

double TwiceArea(const std::vector<Corner>& ring) {
  double area = 0;
  for (size_t i = 1; i + 1 < ring.size(); ++i)
    area += Turn(ring[0], ring[i], ring[i + 1]);
  return area;
}

}  // namespace

absl::StatusOr<std::vector<PolygonClause>> ClausesOf(
    std::span<const PolygonVertex> vertices) {
  RETURN_IF_ERROR(ConvexPieces(vertices).status());
  std::vector<Corner> ring(vertices.begin(), vertices.end());
  if (TwiceArea(ring) < 0) std::reverse(ring.begin(), ring.end());
  // Corners in the middle of an edge.
  for (size_t i = 0; i < ring.size() && ring.size() > 3;) {
    const size_t n = ring.size();
    if (Turn(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]) == 0) {
      ring.erase(ring.begin() + static_cast<std::ptrdiff_t>(i));
    } else {
      ++i;
    }
  }
  return Inside(ring, false);
}

}  // namespace ratebound::document
