#include "engine/map/proof_spread.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

#include "engine/base/status_macros.h"

namespace ratebound::map {
namespace {

constexpr size_t kMostForMiddles = 4;    // conditions: 81 places
constexpr size_t kMostForVertices = 7;   // 128 places
constexpr size_t kMostPoints = 200;      // evenly over them where there are more
constexpr size_t kMostDescents = 4;      // from the lowest places
constexpr int kHalvings = 12;            // towards the middle, where there is too much
constexpr double kFirstStep = 0.25;      // of the box's width
constexpr double kSmallestStep = 0.015;  // the figure changes slowly
constexpr double kRounding = 1e-9;       // of the greatest leverage

// All places whose coordinates are among `levels` evenly spaced ones.
void AddGrid(std::span<const double> low, std::span<const double> high, int levels,
             std::vector<std::vector<double>>& places) {
  std::vector<int> index(low.size(), 0);
  for (;;) {
    std::vector<double> place(low.size());
    for (size_t i = 0; i < low.size(); ++i) {
      const double share = static_cast<double>(index[i]) / (levels - 1);
      place[i] = index[i] == levels - 1 ? high[i] : low[i] + share * (high[i] - low[i]);
    }
    places.push_back(std::move(place));
    size_t i = 0;
    while (i < low.size() && ++index[i] == levels) index[i++] = 0;
    if (i == low.size()) return;
  }
}

// Whether places have more leverage than the points.
class Leverage {
 public:
  Leverage(const std::vector<double>& unscaled_covariance,
           const fit::CandidateBasis& basis, double greatest)
      : unscaled_(unscaled_covariance),
        basis_(basis),
        greatest_(greatest),
        full_row_(basis.full().terms()),
        row_(basis.terms()) {}

  // Leaves the place in row().
  bool Tested(std::span<const double> place) {
    Load(place);
    double leverage = 0;
    for (size_t a = 0; a < row_.size(); ++a) {
      double sum = 0;
      for (size_t b = 0; b < row_.size(); ++b) {
        sum += unscaled_[a * row_.size() + b] * row_[b];
      }
      leverage += row_[a] * sum;
    }
    return leverage <= greatest_ * (1 + kRounding);
  }

  // The last place of no more leverage than the points on the way from `middle`.
  std::vector<double> Drawn(std::span<const double> middle, std::vector<double> place) {
    if (Tested(place) || !Tested(middle)) return place;
    double in = 0, out = 1;
    std::vector<double> at(place.size());
    for (int n = 0; n < kHalvings; ++n) {
      const double share = (in + out) / 2;
      for (size_t i = 0; i < at.size(); ++i) {
        at[i] = middle[i] + share * (place[i] - middle[i]);
      }
      (Tested(at) ? in : out) = share;
    }
    for (size_t i = 0; i < at.size(); ++i) {
      at[i] = middle[i] + in * (place[i] - middle[i]);
    }
    return at;
  }

  void Load(std::span<const double> place) {
    basis_.full().Row(place, full_row_);
    for (size_t k = 0; k < row_.size(); ++k) row_[k] = full_row_[basis_.kept()[k]];
  }
  const std::vector<double>& row() const { return row_; }

 private:
  const std::vector<double>& unscaled_;
  const fit::CandidateBasis& basis_;
  const double greatest_;
  std::vector<double> full_row_;
  std::vector<double> row_;
};

class Search {
 public:
  Search(const fit::BlockIntervals& intervals, Leverage& leverage)
      : intervals_(intervals), leverage_(leverage) {}

  // Infinite where the place has more leverage than the points.
  double At(std::span<const double> place) {
    if (!leverage_.Tested(place)) return std::numeric_limits<double>::infinity();
    return intervals_.DegreesOfFreedomAt(leverage_.row());
  }

  // Downhill by steps along the axes.
  double Descend(std::span<const double> low, std::span<const double> high,
                 std::vector<double> place, double best) {
    for (double step = kFirstStep; step >= kSmallestStep;) {
      bool moved = false;
      for (size_t i = 0; i < place.size(); ++i) {
        for (const double direction : {-1.0, 1.0}) {
          std::vector<double> next = place;
          next[i] = std::clamp(place[i] + direction * step * (high[i] - low[i]), low[i],
                               high[i]);
          if (next[i] == place[i]) continue;
          const double value = At(next);
          if (value < best) {
            place = std::move(next);
            best = value;
            moved = true;
          }
        }
      }
      if (!moved) step /= 2;
    }
    return best;
  }

 private:
  const fit::BlockIntervals& intervals_;
  Leverage& leverage_;
};

std::vector<double> Middle(std::span<const double> low, std::span<const double> high) {
  std::vector<double> middle(low.size());
  for (size_t i = 0; i < low.size(); ++i) middle[i] = 0.5 * (low[i] + high[i]);
  return middle;
}

std::vector<double> PointsOf(const ModelFit& fitted) {
  std::vector<double> points;
  for (size_t k = 0; k < fitted.target.size(); ++k) {
    for (const std::vector<double>& column : fitted.columns) points.push_back(column[k]);
  }
  return points;
}

// Of a point that counts 1.
double GreatestLeverage(const ModelFit& fitted) {
  double greatest = 0;
  for (size_t k = 0; k < fitted.target.size(); ++k) {
    const double weight = fitted.weights.empty() ? 1 : fitted.weights[k];
    greatest = std::max(greatest, fitted.fit.leverages[k] / weight);
  }
  return greatest;
}

}  // namespace

std::vector<std::vector<double>> PlacesToLookAt(std::span<const double> low,
                                                std::span<const double> high,
                                                std::span<const double> points) {
  std::vector<std::vector<double>> places;
  const size_t conditions = low.size();
  if (conditions <= kMostForMiddles) {
    AddGrid(low, high, 3, places);
  } else {
    if (conditions <= kMostForVertices) AddGrid(low, high, 2, places);
    std::vector<double> middle(conditions);
    for (size_t i = 0; i < conditions; ++i) middle[i] = 0.5 * (low[i] + high[i]);
    places.push_back(std::move(middle));
  }
  std::vector<size_t> inside;
  const size_t count = conditions == 0 ? 0 : points.size() / conditions;
  for (size_t k = 0; k < count; ++k) {
    bool within = true;
    for (size_t i = 0; i < conditions; ++i) {
      const double x = points[k * conditions + i];
      within = within && low[i] <= x && x <= high[i];
    }
    if (within) inside.push_back(k);
  }
  const size_t taken = std::min(inside.size(), kMostPoints);
  for (size_t n = 0; n < taken; ++n) {
    const size_t k = inside[n * inside.size() / taken];
    places.emplace_back(
        points.begin() + static_cast<std::ptrdiff_t>(k * conditions),
        points.begin() + static_cast<std::ptrdiff_t>((k + 1) * conditions));
  }
  return places;
}

double LeastDegrees(const fit::BlockIntervals& intervals,
                    const fit::CandidateBasis& basis, std::span<const double> low,
                    std::span<const double> high, std::span<const double> points,
                    double greatest_leverage) {
  Leverage leverage(intervals.fit().unscaled_covariance, basis, greatest_leverage);
  Search search(intervals, leverage);
  const std::vector<double> middle = Middle(low, high);
  std::vector<std::pair<double, std::vector<double>>> places;
  for (std::vector<double>& place : PlacesToLookAt(low, high, points)) {
    place = leverage.Drawn(middle, std::move(place));
    const double value = search.At(place);
    if (std::isfinite(value)) places.emplace_back(value, std::move(place));
  }
  if (places.empty()) {
    leverage.Load(middle);
    return intervals.DegreesOfFreedomAt(leverage.row());
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  double least = places.front().first;
  for (size_t n = 0; n < std::min(places.size(), kMostDescents); ++n) {
    least = std::min(least, search.Descend(low, high, places[n].second, places[n].first));
  }
  return least;
}

std::vector<std::vector<double>> TestedPlaces(const ModelFit& fitted,
                                              std::span<const double> low,
                                              std::span<const double> high) {
  std::vector<std::vector<double>> places = PlacesToLookAt(low, high, PointsOf(fitted));
  constexpr int kLevels[] = {33, 13, 7, 5};  // for 1, 2, 3 and 4 conditions
  if (!low.empty() && low.size() <= std::size(kLevels)) {
    AddGrid(low, high, kLevels[low.size() - 1], places);
  }
  Leverage leverage(fitted.fit.unscaled_covariance, fitted.basis,
                    GreatestLeverage(fitted));
  const std::vector<double> middle = Middle(low, high);
  std::vector<std::vector<double>> tested;
  for (std::vector<double>& place : places) {
    place = leverage.Drawn(middle, std::move(place));
    if (leverage.Tested(place)) tested.push_back(std::move(place));
  }
  if (tested.empty()) tested.push_back(middle);
  return tested;
}

absl::StatusOr<ModelFit::OfProof> SpreadForProof(const ModelFit& fitted) {
  ASSIGN_OR_RETURN(const fit::BlockIntervals intervals,
                   fit::BlockIntervals::Create(fitted.Problem(), {}, &fitted.fit));
  std::vector<double> low, high;
  for (const fit::ScaledRange& range : fitted.basis.full().ranges()) {
    low.push_back(range.centre - range.half_range);
    high.push_back(range.centre + range.half_range);
  }
  return ModelFit::OfProof{
      .covariance = intervals.Covariance(),
      .degrees_of_freedom = LeastDegrees(intervals, fitted.basis, low, high,
                                         PointsOf(fitted), GreatestLeverage(fitted))};
}

}  // namespace ratebound::map
