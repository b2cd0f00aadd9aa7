#include "engine/document/region_pieces.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::document {
namespace {

bool InPieces(const std::vector<std::vector<HalfPlane>>& pieces, double x, double y) {
  return std::any_of(pieces.begin(), pieces.end(), [&](const auto& piece) {
    return std::all_of(piece.begin(), piece.end(), [&](const HalfPlane& plane) {
      return plane.factor * x + plane.other_factor * y + plane.constant >= 0;
    });
  });
}

// By the number of edges that a ray crosses.
bool InPolygon(const std::vector<PolygonVertex>& polygon, double x, double y) {
  bool inside = false;
  for (size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const PolygonVertex &a = polygon[i], &b = polygon[j];
    if ((a.other_value > y) == (b.other_value > y)) continue;
    const double at = a.value + (y - a.other_value) / (b.other_value - a.other_value) *
                                    (b.value - a.value);
    if (x < at) inside = !inside;
  }
  return inside;
}

TEST(ConvexPieces, OfAConvexPolygonAreOne) {
  const std::vector<PolygonVertex> square = {{0, 0}, {2, 0}, {2, 2}, {1, 2}, {0, 2}};
  ASSERT_OK_AND_ASSIGN(const auto pieces, ConvexPieces(square));
  ASSERT_EQ(pieces.size(), 1u);
  EXPECT_EQ(pieces[0].size(), 4u) << "the corner on an edge bounds nothing";
}

TEST(ConvexPieces, OfAnLAreTwoWhicheverWayRound) {
  std::vector<PolygonVertex> shape = {{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 3}, {0, 3}};
  for (int way = 0; way < 2; ++way) {
    ASSERT_OK_AND_ASSIGN(const auto pieces, ConvexPieces(shape));
    EXPECT_EQ(pieces.size(), 2u);
    std::reverse(shape.begin(), shape.end());
  }
}

// Star-shaped polygons with random radii: bent inwards as often as not.
TEST(ConvexPieces, HoldWhatThePolygonHolds) {
  testing::Random random("STARS");
  for (int round = 0; round < 50; ++round) {
    const int n = random.Integer(3, 14);
    std::vector<PolygonVertex> star;
    for (int i = 0; i < n; ++i) {
      const double angle = 2 * M_PI * (i + 0.1) / n;
      const double radius = random.Uniform(0.3, 1);
      star.push_back({radius * std::cos(angle), radius * std::sin(angle)});
    }
    ASSERT_OK_AND_ASSIGN(const auto pieces, ConvexPieces(star));
    for (int k = 0; k < 500; ++k) {
      const double x = random.Uniform(-1, 1), y = random.Uniform(-1, 1);
      EXPECT_EQ(InPieces(pieces, x, y), InPolygon(star, x, y)) << round;
    }
    for (const PolygonVertex& corner : star) {
      EXPECT_TRUE(InPieces(pieces, corner.value, corner.other_value)) << round;
    }
  }
}

TEST(ConvexPieces, EdgesThatCrossTouchOrTurnBackAreRefused) {
  for (const std::vector<PolygonVertex>& polygon :
       {std::vector<PolygonVertex>{{0, 0}, {2, 2}, {2, 0}, {0, 2}},
        std::vector<PolygonVertex>{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}},
        std::vector<PolygonVertex>{{0, 0}, {4, 0}, {2, 0}, {2, 4}},
        std::vector<PolygonVertex>{{0, 0}, {0, 0}, {2, 4}},
        std::vector<PolygonVertex>{{0, 0}, {1, 1}}}) {
    EXPECT_FALSE(ConvexPieces(polygon).ok());
  }
}

// By hand: on the diagonal of the unit square x + y <= 1, x >= y and y >= c meet while
// c <= 1 / 2.
TEST(IsEmpty, IsDecidedTogether) {
  const ConditionBox box{.low_si = {0, 0}, .high_si = {1, 1}};
  const auto empty = [&](double c) {
    const HalfSpace parts[] = {{.factors = {-1, -1}, .constant = 1},
                               {.factors = {1, -1}, .constant = 0},
                               {.factors = {0, 1}, .constant = -c}};
    return IsEmpty(box, parts);
  };
  EXPECT_FALSE(empty(0.49));
  EXPECT_FALSE(empty(0.5));
  EXPECT_TRUE(empty(0.5 + 1e-9));
}

// Against a dense grid: what the grid finds is never called empty.
TEST(IsEmpty, NeverOfWhatHoldsAPoint) {
  testing::Random random("EMPTY");
  const ConditionBox box{.low_si = {-2, 3, 0}, .high_si = {1, 9, 0}};
  int empty = 0;
  for (int round = 0; round < 300; ++round) {
    std::vector<HalfSpace> parts;
    for (int k = random.Integer(1, 4); k > 0; --k) {
      parts.push_back({.factors = {random.Uniform(-1, 1), random.Uniform(-1, 1),
                                   random.Uniform(-1, 1)},
                       .constant = random.Uniform(-5, 5)});
    }
    bool found = false;
    for (int i = 0; i <= 60 && !found; ++i) {
      for (int j = 0; j <= 60 && !found; ++j) {
        const double x = -2 + 3.0 * i / 60, y = 3 + 6.0 * j / 60;
        found = std::all_of(parts.begin(), parts.end(), [&](const HalfSpace& h) {
          return h.factors[0] * x + h.factors[1] * y + h.constant >= 0;
        });
      }
    }
    if (found) {
      EXPECT_FALSE(IsEmpty(box, parts)) << round;
    }
    empty += IsEmpty(box, parts);
  }
  EXPECT_GT(empty, 50);
  EXPECT_LT(empty, 250);
}

TEST(Uncovered, NamesTheGap) {
  RegionPieces region{.box = {.low_si = {0, 0}, .high_si = {4, 4}}, .pieces = {{}}};
  const std::vector<ConditionBox> covers = {{{0, 0}, {2, 4}}, {{2, 0}, {4, 3}}};
  const auto gap = Uncovered(region, covers);
  ASSERT_TRUE(gap);
  EXPECT_EQ(*gap, (ConditionBox{{2, 3}, {4, 4}}));
  // A cut that takes the gap away leaves none.
  region.pieces = {{{.factors = {0, -1}, .constant = 2.9}}};
  EXPECT_FALSE(Uncovered(region, covers));
}

}  // namespace
}  // namespace ratebound::document
