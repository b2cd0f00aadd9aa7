#include "engine/bound/local_search.h"

#include <algorithm>
#include <cmath>

namespace ratebound::bound {
namespace {

using Vector = BoxBounder::Vector;
using Matrix = BoxBounder::Matrix;

// Points of the starting grid along each variable, by the number of variables.
constexpr int kGridPoints[kMostVariables + 1] = {1, 9, 5, 3, 3, 3, 2, 2, 2};
constexpr int kMostStarts = 4;

}  // namespace

bool NewtonStep(int size, const int* free, const Matrix& hessian, double lambda,
                const Vector& g, Vector& d) {
  Matrix l{};
  Vector y{};
  for (int i = 0; i < size; ++i) {
    for (int j = 0; j <= i; ++j) {
      double entry = hessian[free[i]][free[j]] + (i == j ? lambda : 0);
      for (int k = 0; k < j; ++k) entry -= l[i][k] * l[j][k];
      if (i == j) {
        if (!(entry > 1e-14 * (std::fabs(hessian[free[i]][free[i]]) + lambda)))
          return false;
        l[i][i] = std::sqrt(entry);
      } else {
        l[i][j] = entry / l[j][j];
      }
    }
    y[i] = -g[free[i]];
    for (int k = 0; k < i; ++k) y[i] -= l[i][k] * y[k];
    y[i] /= l[i][i];
  }
  for (int i = size - 1; i >= 0; --i) {
    for (int k = i + 1; k < size; ++k) y[i] -= l[k][i] * d[free[k]];
    d[free[i]] = y[i] / l[i][i];
  }
  return true;
}

LocalMinimum Descend(BoxBounder& bounder, const Vector& start) {
  constexpr int kMostSteps = 60;
  const int n = bounder.variables();
  LocalMinimum best{.at = start, .value = bounder.Value(start)};
  Vector gradient;
  Matrix hessian;
  for (int step = 0; step < kMostSteps; ++step) {
    bounder.Expand(best.at, gradient, hessian);
    std::array<int, kMostVariables> free{};
    int size = 0;
    double steepest = 0;
    double curvature = 0;
    for (int i = 0; i < n; ++i) {
      const bool held = !bounder.Varies(i) || (best.at[i] == -1 && gradient[i] >= 0) ||
                        (best.at[i] == 1 && gradient[i] <= 0);
      if (held) continue;
      free[size++] = i;
      steepest = std::max(steepest, std::fabs(gradient[i]));
      curvature = std::max(curvature, std::fabs(hessian[i][i]));
    }
    if (!(steepest > 1e-15 * std::fabs(best.value)) || !(steepest < kInfinity)) break;
    Vector d{};
    double lambda = 0;
    const double first = 1e-3 * curvature + 1e-3 * steepest;
    while (!NewtonStep(size, free.data(), hessian, lambda, gradient, d)) {
      lambda = lambda == 0 ? first : 8 * lambda;
      if (!(lambda < 1e300)) return best;
    }
    bool moved = false;
    double fraction = 1;
    for (int halving = 0; halving < 40; ++halving, fraction *= 0.5) {
      Vector next = best.at;
      double slope = 0;
      for (int i = 0; i < size; ++i) {
        const int v = free[i];
        next[v] = std::clamp(best.at[v] + fraction * d[v], -1.0, 1.0);
        slope += gradient[v] * (next[v] - best.at[v]);
      }
      const double value = bounder.Value(next);
      if (value < best.value + 1e-4 * std::min(0.0, slope)) {
        const double gain = best.value - value;
        best = {next, value};
        moved = gain > 1e-15 * std::fabs(value);
        break;
      }
      if (-slope < 1e-16 * std::fabs(best.value)) break;
    }
    if (!moved) break;
  }
  return best;
}

std::vector<LocalMinimum> FindLocalMinima(BoxBounder& bounder) {
  const int n = bounder.variables();
  const int points = kGridPoints[n];
  int count = 1;
  std::array<int, kMostVariables> stride{};
  for (int i = 0; i < n; ++i) {
    stride[i] = count;
    if (bounder.Varies(i)) count *= points;
  }
  const auto digit = [&](int index, int i) {
    return bounder.Varies(i) ? index / stride[i] % points : 0;
  };
  std::vector<LocalMinimum> grid(count);
  for (int index = 0; index < count; ++index) {
    for (int i = 0; i < n; ++i) {
      if (bounder.Varies(i))
        grid[index].at[i] = -1 + 2.0 * digit(index, i) / (points - 1);
    }
    grid[index].value = bounder.Value(grid[index].at);
  }
  std::vector<LocalMinimum> starts;
  for (int index = 0; index < count; ++index) {
    bool lowest = true;
    for (int i = 0; i < n && lowest; ++i) {
      if (!bounder.Varies(i)) continue;
      const int d = digit(index, i);
      // Of equal neighbours the first counts.
      if (d > 0) lowest = grid[index].value < grid[index - stride[i]].value;
      if (lowest && d + 1 < points) {
        lowest = grid[index].value <= grid[index + stride[i]].value;
      }
    }
    if (lowest) starts.push_back(grid[index]);
  }
  if (points % 2 == 0) starts.push_back({.at = {}, .value = bounder.Value({})});
  if (starts.empty()) starts.push_back(grid[0]);
  std::stable_sort(
      starts.begin(), starts.end(),
      [](const LocalMinimum& a, const LocalMinimum& b) { return a.value < b.value; });
  if (starts.size() > kMostStarts) starts.resize(kMostStarts);

  std::vector<LocalMinimum> minima;
  for (const LocalMinimum& start : starts) {
    const LocalMinimum found = Descend(bounder, start.at);
    const bool known =
        std::any_of(minima.begin(), minima.end(), [&found, n](const LocalMinimum& other) {
          double apart = 0;
          for (int i = 0; i < n; ++i) {
            apart = std::max(apart, std::fabs(found.at[i] - other.at[i]));
          }
          return apart < 1e-4;
        });
    if (!known) minima.push_back(found);
  }
  std::stable_sort(
      minima.begin(), minima.end(),
      [](const LocalMinimum& a, const LocalMinimum& b) { return a.value < b.value; });
  return minima;
}

}  // namespace ratebound::bound
