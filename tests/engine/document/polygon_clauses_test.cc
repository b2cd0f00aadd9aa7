#include "engine/document/polygon_clauses.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "engine/document/region_pieces.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::document {
namespace {

using Polygon = std::vector<PolygonVertex>;
using ::testing::HasSubstr;

bool Holds(const std::vector<PolygonClause>& clauses, double x, double y) {
  return std::all_of(clauses.begin(), clauses.end(), [&](const PolygonClause& clause) {
    return std::any_of(clause.begin(), clause.end(), [&](const PolygonSide& side) {
      return side.factor * x + side.other_factor * y + side.constant >= 0;
    });
  });
}

// By how often a ray to the right crosses the edges.
bool IsInside(const Polygon& polygon, double x, double y) {
  bool inside = false;
  for (size_t i = 0; i < polygon.size(); ++i) {
    const auto &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
    if ((a.other_value > y) == (b.other_value > y)) continue;
    const double at = a.value + (b.value - a.value) * (y - a.other_value) /
                                    (b.other_value - a.other_value);
    if (at > x) inside = !inside;
  }
  return inside;
}

double DistanceToEdges(const Polygon& polygon, double x, double y) {
  double least = 1e9;
  for (size_t i = 0; i < polygon.size(); ++i) {
    const auto &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
    const double ux = b.value - a.value, uy = b.other_value - a.other_value;
    const double along = std::clamp(
        ((x - a.value) * ux + (y - a.other_value) * uy) / (ux * ux + uy * uy), 0.0, 1.0);
    least = std::min(
        least, std::hypot(x - a.value - along * ux, y - a.other_value - along * uy));
  }
  return least;
}

void ExpectSameSet(const Polygon& polygon, testing::Random& random) {
  ASSERT_OK_AND_ASSIGN(const auto clauses, ClausesOf(polygon));
  for (int i = 0; i < 400; ++i) {
    const double x = random.Uniform(-1, 11), y = random.Uniform(-1, 11);
    if (DistanceToEdges(polygon, x, y) < 1e-9) continue;
    EXPECT_EQ(Holds(clauses, x, y), IsInside(polygon, x, y)) << x << ", " << y;
  }
}

TEST(PolygonClauses, AConvexPolygonHasOneForEachEdge) {
  ASSERT_OK_AND_ASSIGN(const auto clauses, ClausesOf(Polygon{{0, 0}, {4, 0}, {2, 3}}));
  ASSERT_EQ(clauses.size(), 3u);
  for (const PolygonClause& clause : clauses) EXPECT_EQ(clause.size(), 1u);
  EXPECT_TRUE(Holds(clauses, 2, 3));
  EXPECT_FALSE(Holds(clauses, 2, 3.0001));
}

TEST(PolygonClauses, ADentAddsOneWithAllItsEdges) {
  const Polygon ell = {{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}};
  ASSERT_OK_AND_ASSIGN(const auto clauses, ClausesOf(ell));
  ASSERT_EQ(clauses.size(), 6u);
  EXPECT_EQ(std::count_if(clauses.begin(), clauses.end(),
                          [](const PolygonClause& clause) { return clause.size() == 2; }),
            1);
  EXPECT_TRUE(Holds(clauses, 9, 3.999));
  EXPECT_TRUE(Holds(clauses, 3.999, 9));
  EXPECT_FALSE(Holds(clauses, 4.001, 4.001));
  // Either way round, and with a corner in the middle of an edge, the same.
  Polygon other(ell.rbegin(), ell.rend());
  other.push_back({0, -0.0});
  other.pop_back();
  other.insert(other.begin() + 1, {2, 10});
  ASSERT_OK_AND_ASSIGN(const auto same, ClausesOf(other));
  EXPECT_EQ(same.size(), 6u);
}

// Pockets in pockets: a spiral of squares.
TEST(PolygonClauses, ASpiralIsTheSameSet) {
  testing::Random random("SPIRAL");
  ExpectSameSet({{0, 0},
                 {10, 0},
                 {10, 10},
                 {2, 10},
                 {2, 4},
                 {6, 4},
                 {6, 6},
                 {4, 6},
                 {4, 8},
                 {8, 8},
                 {8, 2},
                 {0, 2}},
                random);
}

TEST(PolygonClauses, RandomSimplePolygonsAreTheSameSet) {
  testing::Random random("POLYGON_CLAUSES");
  int bent = 0, made = 0;
  for (int run = 0; run < 150; ++run) {
    const int corners = random.Integer(3, 11);
    // On a grid, so that corners on one line occur.
    const bool grid = run % 2 == 0;
    Polygon polygon;
    for (int i = 0; i < corners; ++i) {
      polygon.push_back(
          grid ? PolygonVertex{1.0 * random.Integer(0, 10), 1.0 * random.Integer(0, 10)}
               : PolygonVertex{random.Uniform(0, 10), random.Uniform(0, 10)});
    }
    // Edges that cross are turned round until none do: each turn shortens the way.
    for (int turn = 0; turn < 2000; ++turn) {
      const size_t n = polygon.size();
      double gain = 0;
      size_t from = 0, to = 0;
      for (size_t i = 0; i < n; ++i) {
        for (size_t j = i + 2; j < n; ++j) {
          const auto length = [&](size_t a, size_t b) {
            return std::hypot(polygon[a % n].value - polygon[b % n].value,
                              polygon[a % n].other_value - polygon[b % n].other_value);
          };
          const double saved =
              length(i, i + 1) + length(j, j + 1) - length(i, j) - length(i + 1, j + 1);
          if (saved > gain + 1e-9) {
            gain = saved;
            from = i + 1;
            to = j + 1;
          }
        }
      }
      if (gain == 0) break;
      std::reverse(polygon.begin() + static_cast<std::ptrdiff_t>(from),
                   polygon.begin() + static_cast<std::ptrdiff_t>(to));
    }
    const auto pieces = ConvexPieces(polygon);
    if (!pieces.ok()) continue;
    ++made;
    bent += pieces->size() > 1;
    ExpectSameSet(polygon, random);
  }
  EXPECT_GT(made, 80);
  EXPECT_GT(bent, 50);
}

TEST(PolygonClauses, RefusesWhatIsNoSimplePolygonOrTooBent) {
  EXPECT_THAT(ClausesOf(Polygon{{0, 0}, {4, 4}, {4, 0}, {0, 4}}),
              testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("cross")));
  // A comb in a dent: many teeth, each with two sides of its own.
  Polygon comb = {{0, 0}, {30, 0}, {30, 10}, {26, 10}, {26, 3.44}};
  for (int i = 0; i < 12; ++i) {
    const double x = 24.0 - 2 * i;
    comb.push_back({x + 1, 8});
    comb.push_back({x, 2 + 0.01 * (x - 14) * (x - 14)});  // no two teeth share a lid
  }
  comb.push_back({1, 10});
  comb.push_back({0, 10});
  ASSERT_TRUE(ConvexPieces(comb).ok());
  EXPECT_THAT(ClausesOf(comb), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                 HasSubstr("bent inwards too often")));
}

}  // namespace
}  // namespace ratebound::document
