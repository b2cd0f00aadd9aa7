#include "tests/coverage_campaign/campaign.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "absl/status/statusor.h"
#include "engine/fit/intervals.h"
#include "engine/fit/intervals_by_block.h"
#include "engine/fit/polynomial_basis.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

constexpr double kConfidence = 0.95;
constexpr int kAsked = 4;        // conditions in each campaign
constexpr double kCorner = 0.9;  // of each condition, which runs from -1 to 1

struct Points {
  std::vector<std::vector<double>> columns;
  std::vector<double> response;
  std::vector<double> weights;
  std::vector<int> blocks;
};

// Error standard deviation of a point: 1, or varying with the first condition.
double ErrorSd(const CoveragePlan& plan, double first) {
  return plan.weighted ? 1 + 0.9 * first : 1;
}

Points Draw(const CoveragePlan& plan, std::span<const double> truth,
            const PolynomialBasis& basis, testing::Random& random) {
  Points points;
  points.columns.resize(plan.conditions);
  std::vector<double> z(plan.conditions), row(basis.terms());
  const double rho = std::max(plan.correlation, 0.0);
  for (int day = 0; day < plan.days; ++day) {
    const double held = random.Uniform(-1, 1);
    const double of_day = std::sqrt(rho) * random.Normal();
    const int count = plan.points_per_day * (plan.uneven_days ? 1 + day % 3 : 1);
    for (int k = 0; k < count; ++k) {
      for (double& value : z) value = random.Uniform(-1, 1);
      if (plan.day_holds_condition) z[0] = held;
      for (int v = 0; v < plan.conditions; ++v) points.columns[v].push_back(z[v]);
      basis.Row(z, row);
      double y = 0;
      for (int j = 0; j < basis.terms(); ++j) y += truth[j] * row[j];
      const double sd = ErrorSd(plan, z[0]);
      const double error = of_day + std::sqrt(1 - rho) * random.Normal();
      points.response.push_back(y + sd * error);
      points.weights.push_back(1 / (sd * sd));
      if (plan.correlation >= 0) points.blocks.push_back(day);
    }
  }
  return points;
}

struct Tally {
  int mean = 0;
  int corner = 0;
  int above = 0;
  int prediction = 0;
  double degrees = 0;
  std::vector<double> widths;

  void AddCorner(const Interval& two_sided, double truth) {
    corner += two_sided.low <= truth && truth <= two_sided.high;
    above += StudentInterval(two_sided.estimate, two_sided.standard_error,
                             two_sided.degrees_of_freedom, 2 * kConfidence - 1)
                 .low > truth;
  }
  void Add(const Interval& of_mean, const Interval& of_new, double truth,
           double measured) {
    mean += of_mean.low <= truth && truth <= of_mean.high;
    prediction += of_new.low <= measured && measured <= of_new.high;
    widths.push_back(of_mean.high - of_mean.low);
    degrees += of_mean.degrees_of_freedom;
  }
};

// One way of making intervals, for a campaign's fit.
struct Rule {
  std::string name;
  std::optional<BlockIntervalOptions> by_block = {};  // empty: independent points
  bool proposed = false;
};

std::vector<Rule> RulesFor(const CoveragePlan& plan) {
  if (plan.correlation < 0) return {{.name = "independent points", .proposed = true}};
  using enum BlockCorrection;
  using enum BlockDegrees;
  return {{"independent points"},
          {"CR3, blocks less one", {{kCR3, kBlocksLessOne}}},
          {"CR3, independent", {{kCR3, kIndependent}}},
          {"CR3, equally correlated", {{kCR3, kEquallyCorrelated}}},
          {"CR2, independent", {{kCR2, kIndependent}}, true},
          {"CR2, equally correlated", {{kCR2, kEquallyCorrelated}}}};
}

}  // namespace

Coverage RunCoverage(const CoveragePlan& plan) {
  testing::Random random(plan.name);
  const PolynomialBasis basis =
      *PolynomialBasis::Create(std::vector<ScaledRange>(plan.conditions), plan.degree);
  std::vector<double> truth(basis.terms());
  for (double& coefficient : truth) coefficient = random.Uniform(-5, 5);

  const std::vector<Rule> rules = RulesFor(plan);
  std::vector<Tally> tallies(rules.size());
  Coverage coverage;
  std::vector<double> z(plan.conditions), row(basis.terms());
  for (int campaign = 0; campaign < plan.campaigns; ++campaign) {
    const Points points = Draw(plan, truth, basis, random);
    const DesignMatrix design = *basis.Design(points.columns);
    LeastSquaresProblem problem = {.design = design, .response = points.response};
    if (plan.weighted) problem.weights = points.weights;
    problem.blocks = points.blocks;
    const LeastSquaresFit fit = *SolveLeastSquares(problem);
    std::vector<std::optional<BlockIntervals>> by_block(rules.size());
    bool refused = false;
    for (size_t k = 0; k < rules.size(); ++k) {
      if (!rules[k].by_block) continue;
      absl::StatusOr<BlockIntervals> made =
          BlockIntervals::Create(problem, *rules[k].by_block);
      refused = refused || !made.ok();
      if (made.ok()) by_block[k] = *std::move(made);
    }
    if (refused) {
      ++coverage.refused;
      continue;
    }
    std::fill(z.begin(), z.end(), kCorner);
    basis.Row(z, row);
    double at_corner = 0;
    for (int j = 0; j < basis.terms(); ++j) at_corner += truth[j] * row[j];
    for (size_t k = 0; k < rules.size(); ++k) {
      tallies[k].AddCorner(by_block[k] ? *by_block[k]->Mean(row, kConfidence)
                                       : *MeanInterval(fit, row, kConfidence),
                           at_corner);
    }
    for (int asked = 0; asked < kAsked; ++asked) {
      for (double& value : z) value = random.Uniform(-1, 1);
      basis.Row(z, row);
      double value = 0;
      for (int j = 0; j < basis.terms(); ++j) value += truth[j] * row[j];
      const double sd = ErrorSd(plan, z[0]);
      const double measured = value + sd * random.Normal();
      ++coverage.intervals;
      for (size_t k = 0; k < rules.size(); ++k) {
        const double weight = 1 / (sd * sd);
        if (by_block[k]) {
          tallies[k].Add(*by_block[k]->Mean(row, kConfidence),
                         *by_block[k]->Prediction(row, kConfidence, weight), value,
                         measured);
        } else {
          tallies[k].Add(*MeanInterval(fit, row, kConfidence),
                         *PredictionInterval(fit, row, kConfidence, weight), value,
                         measured);
        }
      }
    }
  }
  const double count = std::max(coverage.intervals, 1);
  double first_width = 0;
  for (size_t k = 0; k < rules.size(); ++k) {
    Tally& tally = tallies[k];
    double width = 0;
    if (!tally.widths.empty()) {
      const auto middle =
          tally.widths.begin() + static_cast<std::ptrdiff_t>(tally.widths.size() / 2);
      std::nth_element(tally.widths.begin(), middle, tally.widths.end());
      width = *middle;
    }
    if (k == 0) first_width = width;
    coverage.rules.push_back({.rule = rules[k].name,
                              .proposed = rules[k].proposed,
                              .mean = tally.mean / count,
                              .corner = tally.corner * kAsked / count,
                              .one_sided = tally.above * kAsked / count,
                              .prediction = tally.prediction / count,
                              .mean_width = first_width > 0 ? width / first_width : 0,
                              .mean_degrees = tally.degrees / count});
  }
  coverage.standard_error = std::sqrt(kConfidence * (1 - kConfidence) / (count / kAsked));
  return coverage;
}

}  // namespace ratebound::fit
