#include "engine/map/refuting_point.h"

#include <algorithm>
#include <cmath>

namespace ratebound::map {
namespace {

constexpr int kMostGridStarts = 3000;
constexpr int kMostDescents = 8;
constexpr double kSmallestStep = 1e-4;  // of the box's width

double ValueAt(const bound::BandedFunction& g, std::span<const double> z) {
  double value = g.f.Evaluate(z);
  for (const auto& term : g.terms) {
    value -= term.weight * std::sqrt(std::max(0.0, term.square.Evaluate(z)));
  }
  return value;
}

// All points of a grid over the box, its vertices among them.
std::vector<std::vector<double>> Grid(const bound::Box& box) {
  const int variables = box.variables();
  int levels = 2;
  const auto count = [&](int n) {
    double product = 1;
    for (int i = 0; i < variables; ++i) product *= n;
    return product;
  };
  while (levels < 9 && count(levels + 1) <= kMostGridStarts) ++levels;
  std::vector<std::vector<double>> grid;
  std::vector<int> index(variables, 0);
  for (;;) {
    std::vector<double> z(variables);
    for (int i = 0; i < variables; ++i) {
      const double share = static_cast<double>(index[i]) / (levels - 1);
      z[i] = index[i] == levels - 1 ? box.hi[i]
                                    : box.lo[i] + share * (box.hi[i] - box.lo[i]);
    }
    grid.push_back(std::move(z));
    int i = 0;
    while (i < variables && ++index[i] == levels) index[i++] = 0;
    if (i == variables) return grid;
  }
}

// Climbs by steps along the axes, halving them where none leads up.
std::vector<double> Climb(const bound::BandedFunction& g, const bound::Box& box,
                          const TestedRegion& tested, std::vector<double> z) {
  double best = ValueAt(g, z);
  for (double step = 0.25; step >= kSmallestStep;) {
    bool moved = false;
    for (int i = 0; i < box.variables(); ++i) {
      for (const double direction : {-1.0, 1.0}) {
        std::vector<double> next = z;
        next[i] = std::clamp(z[i] + direction * step * (box.hi[i] - box.lo[i]), box.lo[i],
                             box.hi[i]);
        const double value = ValueAt(g, next);
        if (value > best && tested.Contains(next)) {
          z = std::move(next);
          best = value;
          moved = true;
        }
      }
    }
    if (!moved) step /= 2;
  }
  return z;
}

}  // namespace

std::optional<std::vector<double>> FindRefutingPoint(
    const bound::BandedFunction& shortfall, const bound::Box& box,
    const TestedRegion& tested, std::span<const std::vector<double>> starts) {
  std::vector<std::pair<double, std::vector<double>>> candidates;
  for (const std::vector<double>& z : starts)
    candidates.push_back({ValueAt(shortfall, z), z});
  for (std::vector<double>& z : Grid(box)) {
    candidates.push_back({ValueAt(shortfall, z), std::move(z)});
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::optional<std::vector<double>> best;
  double best_value = 0;
  int descents = 0;
  for (const auto& [value, z] : candidates) {
    if (descents == kMostDescents) break;
    if (!tested.Contains(z)) continue;
    ++descents;
    std::vector<double> top = Climb(shortfall, box, tested, z);
    // Only what holds in interval arithmetic refutes.
    if (!(bound::Evaluate(shortfall, top).lo > 0)) continue;
    const double top_value = ValueAt(shortfall, top);
    if (!best || top_value > best_value) {
      best = std::move(top);
      best_value = top_value;
    }
  }
  return best;
}

}  // namespace ratebound::map
