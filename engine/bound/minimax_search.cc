#include "engine/bound/minimax_search.h"

#include <algorithm>
#include <cmath>

#include "engine/bound/local_search.h"

namespace ratebound::bound {
namespace {

using Vector = BoxBounder::Vector;
using Matrix = BoxBounder::Matrix;

// Points of the starting grid along each variable, by the number of variables.
constexpr int kGridPoints[kMostVariables + 1] = {1, 17, 9, 5, 5, 3, 3, 2, 2};
constexpr int kMostStarts = 6;
constexpr int kMostPoints = 6;
// Penalties relative to the sizes of functions and cuts, and what a last multiplier is
// worth keeping.
constexpr double kPenalties[] = {1e-1, 1e-3, 1e-5, 1e-7};
constexpr double kLeastWeight = 1e-6;

class Search {
 public:
  Search(std::span<BoxBounder> alternatives, std::span<BoxBounder> cuts)
      : n_(alternatives[0].variables()),
        alternatives_(alternatives),
        cuts_(cuts),
        values_(alternatives.size()),
        cut_values_(cuts.size()),
        cut_size_(cuts.size(), 0.0),
        inside_(cuts.size(), 0.0) {}

  std::vector<MinimaxPoint> Run() {
    std::vector<MinimaxPoint> found;
    for (const Vector& start : Starts()) {
      const MinimaxPoint point = Follow(start);
      const bool known = std::any_of(found.begin(), found.end(), [&](const auto& other) {
        double apart = 0;
        for (int i = 0; i < n_; ++i) {
          apart = std::max(apart, std::fabs(point.at[i] - other.at[i]));
        }
        return apart < 1e-4;
      });
      if (!known) found.push_back(point);
    }
    std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) {
      const bool a_inside = a.least_cut >= 0;
      const bool b_inside = b.least_cut >= 0;
      return a_inside != b_inside ? a_inside : a.value < b.value;
    });
    if (found.size() > kMostPoints) found.resize(kMostPoints);
    return found;
  }

 private:
  double Largest(const Vector& v) {
    double largest = -kInfinity;
    for (BoxBounder& g : alternatives_) largest = std::max(largest, g.Value(v));
    return largest;
  }

  // Grid minima of the penalised function, after the sizes have been learnt from the same
  // grid; and the minima of each alternative.
  std::vector<Vector> Starts() {
    const BoxBounder& first = alternatives_[0];
    const int points = kGridPoints[n_];
    int count = 1;
    std::array<int, kMostVariables> stride{};
    for (int i = 0; i < n_; ++i) {
      stride[i] = count;
      if (first.Varies(i)) count *= points;
    }
    const auto digit = [&](int index, int i) { return index / stride[i] % points; };
    std::vector<Vector> grid(count);
    std::vector<double> value(count);
    std::vector<std::vector<double>> cut(count);
    double least = kInfinity;
    double greatest = -kInfinity;
    for (int index = 0; index < count; ++index) {
      for (int i = 0; i < n_; ++i) {
        if (first.Varies(i)) grid[index][i] = -1 + 2.0 * digit(index, i) / (points - 1);
      }
      value[index] = Largest(grid[index]);
      least = std::min(least, value[index]);
      greatest = std::max(greatest, value[index]);
      for (size_t c = 0; c < cuts_.size(); ++c) {
        cut[index].push_back(cuts_[c].Value(grid[index]));
        cut_size_[c] = std::max(cut_size_[c], std::fabs(cut[index][c]));
      }
    }
    size_ = greatest - least;
    if (!(size_ > 0)) size_ = std::max(1e-300, std::fabs(greatest));
    for (double& size : cut_size_) {
      if (!(size > 0)) size = 1;
    }
    for (int index = 0; index < count; ++index) {
      for (size_t c = 0; c < cuts_.size(); ++c) {
        value[index] += 10 * size_ * std::max(0.0, -cut[index][c] / cut_size_[c]);
      }
    }
    std::vector<int> lowest;
    for (int index = 0; index < count; ++index) {
      bool low = true;
      for (int i = 0; i < n_ && low; ++i) {
        if (!first.Varies(i)) continue;
        const int d = digit(index, i);
        if (d > 0) low = value[index] < value[index - stride[i]];
        if (low && d + 1 < points) low = value[index] <= value[index + stride[i]];
      }
      if (low) lowest.push_back(index);
    }
    std::stable_sort(lowest.begin(), lowest.end(),
                     [&value](int a, int b) { return value[a] < value[b]; });
    if (lowest.size() > kMostStarts) lowest.resize(kMostStarts);
    std::vector<Vector> starts;
    for (const int index : lowest) starts.push_back(grid[index]);
    for (BoxBounder& g : alternatives_) {
      starts.push_back(FindLocalMinima(g)[0].at);
    }
    return starts;
  }

  MinimaxPoint Follow(const Vector& start) {
    Vector at = start;
    std::fill(inside_.begin(), inside_.end(), 0.0);
    for (const double penalty : kPenalties) {
      tau_ = penalty * size_;
      Descend(at);
    }
    Phi(at);
    MinimaxPoint point{.weights = Weights(), .multipliers = Multipliers()};
    double missing = 0;
    for (size_t c = 0; c < cuts_.size(); ++c) {
      missing -= point.multipliers[c] * cut_values_[c];
    }
    // Once more from a little inside the cuts that hold it back.
    for (size_t c = 0; c < cuts_.size(); ++c) {
      inside_[c] = 2 * point.multipliers[c] * CutTau(c) + 1e-9 * cut_size_[c];
    }
    Vector moved = at;
    Descend(moved);
    point.at = moved;
    point.value = Largest(moved);
    point.least_cut = kInfinity;
    for (size_t c = 0; c < cuts_.size(); ++c) {
      point.least_cut = std::min(point.least_cut, cuts_[c].Value(moved) / cut_size_[c]);
    }
    Clean(point.weights, 1);
    for (size_t c = 0; c < cuts_.size(); ++c) {
      const double least = kLeastWeight * size_ / cut_size_[c];
      if (!(point.multipliers[c] > least)) point.multipliers[c] = 0;
    }
    // Where the cuts exclude each other their sum with these multipliers is negative, and
    // enough of it outweighs any alternative.
    if (point.least_cut < 0 && missing > 0 && point.value < 0) {
      const double more = std::max(1.0, -2 * point.value / missing);
      for (double& multiplier : point.multipliers) multiplier *= more;
    }
    return point;
  }

  static void Clean(std::vector<double>& weights, double sum_wanted) {
    double sum = 0;
    for (double& weight : weights) {
      if (!(weight > kLeastWeight)) weight = 0;
      sum += weight;
    }
    for (double& weight : weights) weight *= sum_wanted / sum;
  }

  double CutTau(size_t c) const {
    return tau_ * (cut_size_[c] / size_) * (cut_size_[c] / size_);
  }

  // The penalised function; leaves values, level and cuts for what follows.
  double Phi(const Vector& v) {
    for (size_t k = 0; k < alternatives_.size(); ++k)
      values_[k] = alternatives_[k].Value(v);
    for (size_t c = 0; c < cuts_.size(); ++c) cut_values_[c] = cuts_[c].Value(v);
    return PhiOfValues();
  }

  double PhiOfValues() {
    // t such that the parts of the values above it add up to tau.
    std::vector<double> sorted = values_;
    std::sort(sorted.begin(), sorted.end(), [](double a, double b) { return a > b; });
    double sum = 0;
    for (size_t k = 0; k < sorted.size(); ++k) {
      sum += sorted[k];
      level_ = (sum - tau_) / static_cast<double>(k + 1);
      if (k + 1 == sorted.size() || level_ >= sorted[k + 1]) break;
    }
    double phi = level_;
    for (const double value : values_) {
      const double above = std::max(0.0, value - level_);
      phi += above * above / (2 * tau_);
    }
    for (size_t c = 0; c < cuts_.size(); ++c) {
      const double missing = std::max(0.0, inside_[c] - cut_values_[c]);
      phi += missing * missing / (2 * CutTau(c));
    }
    return phi;
  }

  std::vector<double> Weights() const {
    std::vector<double> weights;
    for (const double value : values_) {
      weights.push_back(std::max(0.0, value - level_) / tau_);
    }
    return weights;
  }

  std::vector<double> Multipliers() const {
    std::vector<double> multipliers;
    for (size_t c = 0; c < cuts_.size(); ++c) {
      multipliers.push_back(std::max(0.0, inside_[c] - cut_values_[c]) / CutTau(c));
    }
    return multipliers;
  }

  double Expand(const Vector& v, Vector& gradient, Matrix& hessian) {
    std::vector<Vector> slopes(alternatives_.size() + cuts_.size());
    std::vector<Matrix> bends(slopes.size());
    for (size_t k = 0; k < alternatives_.size(); ++k) {
      values_[k] = alternatives_[k].Expand(v, slopes[k], bends[k]);
    }
    for (size_t c = 0; c < cuts_.size(); ++c) {
      const size_t at = alternatives_.size() + c;
      cut_values_[c] = cuts_[c].Expand(v, slopes[at], bends[at]);
    }
    const double phi = PhiOfValues();
    const std::vector<double> weights = Weights();
    const std::vector<double> multipliers = Multipliers();
    gradient.fill(0);
    for (Vector& row : hessian) row.fill(0);
    const auto add = [&](size_t at, double factor, double stiffness) {
      for (int i = 0; i < n_; ++i) {
        gradient[i] += factor * slopes[at][i];
        for (int j = 0; j < n_; ++j) {
          hessian[i][j] +=
              factor * bends[at][i][j] + stiffness * slopes[at][i] * slopes[at][j];
        }
      }
    };
    Vector mean{};
    int active = 0;
    for (size_t k = 0; k < alternatives_.size(); ++k) {
      if (!(weights[k] > 0)) continue;
      ++active;
      add(k, weights[k], 1 / tau_);
      for (int i = 0; i < n_; ++i) mean[i] += slopes[k][i];
    }
    for (int i = 0; i < n_; ++i) {
      for (int j = 0; j < n_; ++j) hessian[i][j] -= mean[i] * mean[j] / (active * tau_);
    }
    for (size_t c = 0; c < cuts_.size(); ++c) {
      if (multipliers[c] > 0) {
        add(alternatives_.size() + c, -multipliers[c], 1 / CutTau(c));
      }
    }
    return phi;
  }

  void Descend(Vector& at) {
    constexpr int kMostSteps = 40;
    Vector gradient;
    Matrix hessian;
    for (int step = 0; step < kMostSteps; ++step) {
      const double phi = Expand(at, gradient, hessian);
      std::array<int, kMostVariables> free{};
      int size = 0;
      double steepest = 0;
      double curvature = 0;
      for (int i = 0; i < n_; ++i) {
        if (!alternatives_[0].Varies(i) || (at[i] == -1 && gradient[i] >= 0) ||
            (at[i] == 1 && gradient[i] <= 0)) {
          continue;
        }
        free[size++] = i;
        steepest = std::max(steepest, std::fabs(gradient[i]));
        curvature = std::max(curvature, std::fabs(hessian[i][i]));
      }
      if (!(steepest > 1e-13 * size_) || !(steepest < kInfinity)) return;
      Vector d{};
      double lambda = 0;
      while (!NewtonStep(size, free.data(), hessian, lambda, gradient, d)) {
        lambda = lambda == 0 ? 1e-6 * curvature + 1e-3 * steepest : 8 * lambda;
        if (!(lambda < 1e300)) return;
      }
      bool moved = false;
      double fraction = 1;
      for (int halving = 0; halving < 30 && !moved; ++halving, fraction *= 0.5) {
        Vector next = at;
        double slope = 0;
        for (int i = 0; i < size; ++i) {
          const int v = free[i];
          next[v] = std::clamp(at[v] + fraction * d[v], -1.0, 1.0);
          slope += gradient[v] * (next[v] - at[v]);
        }
        const double lower = Phi(next);
        if (lower < phi + 1e-4 * std::min(0.0, slope)) {
          at = next;
          moved = phi - lower > 1e-14 * size_;
          if (!moved) return;
        }
      }
      if (!moved) return;
    }
  }

  int n_;
  std::span<BoxBounder> alternatives_;
  std::span<BoxBounder> cuts_;
  std::vector<double> values_;
  std::vector<double> cut_values_;
  double level_ = 0;
  double size_ = 1;
  std::vector<double> cut_size_;
  std::vector<double> inside_;
  double tau_ = 1;
};

}  // namespace

std::vector<MinimaxPoint> FindMinimaxPoints(std::span<BoxBounder> alternatives,
                                            std::span<BoxBounder> cuts) {
  return Search(alternatives, cuts).Run();
}

}  // namespace ratebound::bound
