#include "engine/fit/robust_start.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numeric>
#include <utility>

#include "engine/fit/robust_loss.h"

namespace ratebound::fit {
namespace {

constexpr int kFewestSubsets = 500;
constexpr int kMostSubsets = 5000;
constexpr double kClean = 0.75;         // share of points that are not gross
constexpr double kMissedChance = 6.91;  // -log(0.001)
constexpr int kImprovingSteps = 2;
constexpr size_t kFinalists = 5;
constexpr int kMostFinalSteps = 500;
constexpr double kFinalTolerance = 1e-11;  // of a residual's change, in scales

// The generator of Steele, Lea and Flood, OOPSLA 2014 (SplitMix64), by counter.
uint64_t RandomBits(uint64_t counter) {
  uint64_t bits = (counter + 1) * 0x9e3779b97f4a7c15ULL;
  bits = (bits ^ (bits >> 30)) * 0xbf58476d1ce4e5b9ULL;
  bits = (bits ^ (bits >> 27)) * 0x94d049bb133111ebULL;
  return bits ^ (bits >> 31);
}

// Calls `visit` with the rows of each subset, those to fall back on behind.
void ForEachSubset(int rows, int terms,
                   const std::function<void(std::span<const int>)>& visit) {
  double clean = 1, subsets = 1;
  for (int k = 0; k < terms; ++k) {
    clean *= kClean;
    subsets = subsets * (rows - k) / (k + 1);
  }
  const int count = static_cast<int>(std::clamp(std::ceil(kMissedChance / clean),
                                                static_cast<double>(kFewestSubsets),
                                                static_cast<double>(kMostSubsets)));
  if (subsets <= count) {
    std::vector<int> chosen(terms);
    std::iota(chosen.begin(), chosen.end(), 0);
    for (;;) {
      visit(chosen);
      int k = terms - 1;
      while (k >= 0 && chosen[k] == rows - terms + k) --k;
      if (k < 0) return;
      ++chosen[k];
      for (int m = k + 1; m < terms; ++m) chosen[m] = chosen[m - 1] + 1;
    }
  }
  std::vector<int> shuffled(rows);
  uint64_t counter = 0;
  for (int s = 0; s < count; ++s) {
    std::iota(shuffled.begin(), shuffled.end(), 0);
    for (int k = 0; k + 1 < rows; ++k) {
      const uint64_t left = static_cast<uint64_t>(rows - k);
      const uint64_t pick = ((RandomBits(counter++) >> 32) * left) >> 32;
      std::swap(shuffled[k], shuffled[k + static_cast<int>(pick)]);
    }
    visit(shuffled);
  }
}

class ScaleSearch {
 public:
  explicit ScaleSearch(RobustSystem& system)
      : system_(system),
        degrees_of_freedom_(system.rows() - system.terms()),
        weights_(system.rows()) {}

  void TryLeastSquares() {
    weights_.assign(weights_.size(), 1.0);
    if (system_.Solve(weights_, coefficients_)) Consider();
  }
  void TrySubset(std::span<const int> rows) {
    if (system_.SolveThrough(rows, coefficients_)) Consider();
  }
  HighBreakdownStart Best() {
    HighBreakdownStart best;
    for (size_t k = 0; k < finalists_.size(); ++k) {
      HighBreakdownStart& candidate = finalists_[k];
      Iterate(candidate);
      if (k == 0 || candidate.scale < best.scale) best = candidate;
    }
    return best;
  }

 private:
  // One step of iteratively reweighted least squares at `scale`; false where it fails.
  bool Reweight(double scale) {
    for (size_t i = 0; i < weights_.size(); ++i) {
      weights_[i] = RobustnessWeight(RobustLoss::kTukey, kHalfBreakdownTuning,
                                     residuals_[i] / scale);
    }
    return system_.Solve(weights_, coefficients_);
  }
  double SumOfRho(double scale) const {
    double sum = 0;
    for (const double residual : residuals_) {
      sum += BiweightRho(residual / scale, kHalfBreakdownTuning);
    }
    return sum;
  }

  void Consider() {
    system_.Residuals(coefficients_, residuals_);
    double scale = MedianScale(residuals_, memory_);
    for (int step = 0; step < kImprovingSteps && scale > 0; ++step) {
      scale *= std::sqrt(SumOfRho(scale) / (0.5 * degrees_of_freedom_));
      if (!Reweight(scale)) return;
      system_.Residuals(coefficients_, residuals_);
    }
    // Most candidates are told to be worse by one sum.
    if (finalists_.size() == kFinalists &&
        (finalists_.back().scale == 0 ||
         SumOfRho(finalists_.back().scale) >= 0.5 * degrees_of_freedom_)) {
      return;
    }
    scale = BiweightScale(residuals_, degrees_of_freedom_, scale);
    const auto place = std::upper_bound(
        finalists_.begin(), finalists_.end(), scale,
        [](double s, const HighBreakdownStart& other) { return s < other.scale; });
    finalists_.insert(place, {.coefficients = coefficients_, .scale = scale});
    if (finalists_.size() > kFinalists) finalists_.pop_back();
  }

  void Iterate(HighBreakdownStart& candidate) {
    system_.Residuals(candidate.coefficients, residuals_);
    for (int step = 0; step < kMostFinalSteps && candidate.scale > 0; ++step) {
      if (!Reweight(candidate.scale)) return;
      before_ = residuals_;
      system_.Residuals(coefficients_, residuals_);
      double change = 0;
      for (size_t i = 0; i < residuals_.size(); ++i) {
        change = std::max(change, std::fabs(residuals_[i] - before_[i]));
      }
      candidate.coefficients = coefficients_;
      candidate.scale = BiweightScale(residuals_, degrees_of_freedom_, candidate.scale);
      if (change <= kFinalTolerance * candidate.scale) return;
    }
  }

  RobustSystem& system_;
  int degrees_of_freedom_;
  std::vector<double> weights_, coefficients_, residuals_, before_, memory_;
  std::vector<HighBreakdownStart> finalists_;  // by scale
};

}  // namespace

HighBreakdownStart MinimiseScale(RobustSystem& system) {
  ScaleSearch search(system);
  search.TryLeastSquares();
  ForEachSubset(system.rows(), system.terms(),
                [&](std::span<const int> rows) { search.TrySubset(rows); });
  return search.Best();
}

}  // namespace ratebound::fit
