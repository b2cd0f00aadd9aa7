#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/document/region_pieces.h"
#include "engine/number/error_free.h"

namespace ratebound::document {
namespace {

using Corner = PolygonVertex;

// The exact sign of a sum: an expansion grown term by term (Shewchuk, Discrete &
// Computational Geometry 18 (1997) 305); its last component that is not 0 has the sign.
int SignOfSum(std::span<const double> terms) {
  std::vector<double> expansion;
  for (double term : terms) {
    double carry = term;
    std::vector<double> next;
    for (double part : expansion) {
      const auto [sum, error] = number::TwoSum(carry, part);
      if (error != 0) next.push_back(error);
      carry = sum;
    }
    if (carry != 0) next.push_back(carry);
    expansion = std::move(next);
  }
  if (expansion.empty()) return 0;
  return expansion.back() > 0 ? 1 : -1;
}

// 1 where a, b, c turn left, -1 where they turn right, 0 on one line. Exact.
int Turn(const Corner& a, const Corner& b, const Corner& c) {
  std::vector<double> terms;
  const auto add = [&](double x, double y, double sign) {
    const auto [value, error] = number::TwoProduct(x, y);
    terms.push_back(sign * value);
    terms.push_back(sign * error);
  };
  add(a.value, b.other_value, 1);
  add(a.other_value, b.value, -1);
  add(b.value, c.other_value, 1);
  add(b.other_value, c.value, -1);
  add(c.value, a.other_value, 1);
  add(c.other_value, a.value, -1);
  return SignOfSum(terms);
}

bool Between(double low, double x, double high) {
  return std::min(low, high) <= x && x <= std::max(low, high);
}

// Whether c lies on the segment from a to b.
bool OnSegment(const Corner& a, const Corner& b, const Corner& c) {
  return Turn(a, b, c) == 0 && Between(a.value, c.value, b.value) &&
         Between(a.other_value, c.other_value, b.other_value);
}

bool Meet(const Corner& a, const Corner& b, const Corner& c, const Corner& d) {
  const int c_side = Turn(a, b, c), d_side = Turn(a, b, d);
  const int a_side = Turn(c, d, a), b_side = Turn(c, d, b);
  if (c_side * d_side < 0 && a_side * b_side < 0) return true;
  return OnSegment(a, b, c) || OnSegment(a, b, d) || OnSegment(c, d, a) ||
         OnSegment(c, d, b);
}

absl::Status CheckSimple(std::span<const Corner> corners) {
  const size_t n = corners.size();
  for (size_t i = 0; i < n; ++i) {
    const Corner &a = corners[i], &b = corners[(i + 1) % n], &c = corners[(i + 2) % n];
    if (a == b) {
      return absl::InvalidArgumentError(absl::StrCat("corner ", i, " is given twice"));
    }
    // The way back along the edge before.
    if (Turn(a, b, c) == 0 && !OnSegment(a, c, b)) {
      return absl::InvalidArgumentError(
          absl::StrCat("the edges at corner ", (i + 1) % n, " lie on each other"));
    }
    for (size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j == n - 1) continue;
      if (Meet(a, b, corners[j], corners[(j + 1) % n])) {
        return absl::InvalidArgumentError(
            absl::StrCat("the edges after corners ", i, " and ", j, " cross or touch"));
      }
    }
  }
  return absl::OkStatus();
}

// Whether the corners go round to the left: at the lowest of the leftmost corners the
// polygon is convex.
bool GoesLeft(std::span<const Corner> corners) {
  const size_t n = corners.size();
  size_t least = 0;
  for (size_t i = 1; i < n; ++i) {
    if (std::pair(corners[i].value, corners[i].other_value) <
        std::pair(corners[least].value, corners[least].other_value)) {
      least = i;
    }
  }
  return Turn(corners[(least + n - 1) % n], corners[least], corners[(least + 1) % n]) > 0;
}

bool IsConvex(std::span<const Corner> corners, std::span<const size_t> piece) {
  const size_t n = piece.size();
  for (size_t i = 0; i < n; ++i) {
    if (Turn(corners[piece[i]], corners[piece[(i + 1) % n]],
             corners[piece[(i + 2) % n]]) < 0) {
      return false;
    }
  }
  return true;
}

// Ears cut off one by one; `ring` goes round to the left without corners on a line.
std::vector<std::vector<size_t>> Triangles(std::span<const Corner> corners,
                                           std::vector<size_t> ring) {
  std::vector<std::vector<size_t>> triangles;
  const auto is_ear = [&](size_t i) {
    const size_t n = ring.size();
    const Corner &a = corners[ring[(i + n - 1) % n]], &b = corners[ring[i]],
                 &c = corners[ring[(i + 1) % n]];
    if (Turn(a, b, c) <= 0) return false;
    for (size_t k : ring) {
      const Corner& p = corners[k];
      if (p == a || p == b || p == c) continue;
      if (Turn(a, b, p) >= 0 && Turn(b, c, p) >= 0 && Turn(c, a, p) >= 0) return false;
    }
    return true;
  };
  while (ring.size() > 3) {
    size_t i = 0;
    while (i < ring.size() && !is_ear(i)) ++i;
    if (i == ring.size()) {
      // Cut ears leave corners on a line: they bound no area.
      i = 0;
      while (i < ring.size() &&
             Turn(corners[ring[(i + ring.size() - 1) % ring.size()]], corners[ring[i]],
                  corners[ring[(i + 1) % ring.size()]]) != 0) {
        ++i;
      }
      if (i == ring.size()) break;
    } else {
      triangles.push_back({ring[(i + ring.size() - 1) % ring.size()], ring[i],
                           ring[(i + 1) % ring.size()]});
    }
    ring.erase(ring.begin() + static_cast<std::ptrdiff_t>(i));
  }
  if (Turn(corners[ring[0]], corners[ring[1]], corners[ring[2]]) > 0) {
    triangles.push_back(ring);
  }
  return triangles;
}

// The two pieces as one, where they share an edge and stay convex.
std::optional<std::vector<size_t>> Joined(std::span<const Corner> corners,
                                          std::span<const size_t> a,
                                          std::span<const size_t> b) {
  for (size_t i = 0; i < a.size(); ++i) {
    for (size_t j = 0; j < b.size(); ++j) {
      if (a[i] != b[(j + 1) % b.size()] || a[(i + 1) % a.size()] != b[j]) continue;
      std::vector<size_t> joined;
      for (size_t k = 0; k < a.size(); ++k) joined.push_back(a[(i + 1 + k) % a.size()]);
      for (size_t k = 2; k < b.size(); ++k) joined.push_back(b[(j + k) % b.size()]);
      if (IsConvex(corners, joined)) return joined;
    }
  }
  return std::nullopt;
}

// What lies to the left of the edge from a to b, and as much more as rounding can hide.
HalfPlane LeftOf(const Corner& a, const Corner& b) {
  HalfPlane plane{.factor = a.other_value - b.other_value,
                  .other_factor = b.value - a.value};
  const double x = plane.factor * a.value, y = plane.other_factor * a.other_value;
  constexpr double kRounding = 0x1p-50;
  const double extent =
      std::fabs(plane.factor) * std::max(std::fabs(a.value), std::fabs(b.value)) +
      std::fabs(plane.other_factor) *
          std::max(std::fabs(a.other_value), std::fabs(b.other_value));
  plane.constant = -(x + y) + kRounding * extent;
  return plane;
}

}  // namespace

absl::StatusOr<std::vector<std::vector<HalfPlane>>> ConvexPieces(
    std::span<const PolygonVertex> vertices) {
  if (vertices.size() < 3 || vertices.size() > kMostPolygonVertices) {
    return absl::InvalidArgumentError(absl::StrCat(
        "a polygon of ", vertices.size(), " corners; give 3 to ", kMostPolygonVertices));
  }
  std::vector<Corner> corners(vertices.begin(), vertices.end());
  if (absl::Status simple = CheckSimple(corners); !simple.ok()) return simple;
  if (!GoesLeft(corners)) std::reverse(corners.begin(), corners.end());
  std::vector<size_t> ring;
  const size_t n = corners.size();
  for (size_t i = 0; i < n; ++i) {
    if (Turn(corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]) != 0) {
      ring.push_back(i);
    }
  }
  std::vector<std::vector<size_t>> pieces;
  if (IsConvex(corners, ring)) {
    pieces = {ring};
  } else {
    pieces = Triangles(corners, ring);
  }
  for (size_t i = 0; i < pieces.size(); ++i) {
    for (size_t j = i + 1; j < pieces.size();) {
      const auto joined = Joined(corners, pieces[i], pieces[j]);
      if (!joined) {
        ++j;
        continue;
      }
      pieces[i] = *joined;
      pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(j));
      j = i + 1;
    }
  }
  std::vector<std::vector<HalfPlane>> planes;
  for (const std::vector<size_t>& piece : pieces) {
    std::vector<HalfPlane>& of_piece = planes.emplace_back();
    for (size_t k = 0; k < piece.size(); ++k) {
      of_piece.push_back(
          LeftOf(corners[piece[k]], corners[piece[(k + 1) % piece.size()]]));
    }
  }
  return planes;
}

}  // namespace ratebound::document
