#include "tests/coverage_campaign/model_campaign.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "absl/status/statusor.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/document/line.h"
#include "engine/fit/intervals.h"
#include "engine/fit/intervals_by_block.h"
#include "engine/map/fit_response.h"
#include "engine/map/model_candidates.h"
#include "engine/map/model_fit.h"
#include "engine/map/model_surface.h"
#include "tests/coverage_campaign/machine.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::SurfacePurpose;
using fit::Interval;

constexpr double kConfidence = 0.95;
constexpr int kAsked = 4;        // conditions in each campaign, behind the corner
constexpr double kCorner = 0.9;  // of each condition, which runs from -1 to 1
constexpr int kPointsWithoutErrors = 400;

// What the refrigerant's temperatures lie further apart than wet bulb and water, near the
// middle of the ranges. It matters: with 20 K degree 2 misses 2.3 % instead of 0.14 %.
constexpr double kApproachK = 28;

document::ModelRequest Request() {
  using enum document::ModelFamily;
  return {.families = {kTotalDegree, kLogResponse, kReciprocalTemperature, kCarnot},
          .sink_condition = "entering_water_temp",
          .source_condition = "entering_air_wb",
          .approach_k = kApproachK};
}

struct Points {
  std::vector<std::vector<double>> columns;
  std::vector<double> truth;
  std::vector<double> values;
  std::vector<std::string> ids;
  std::vector<int> blocks;
  std::vector<std::string> block_names;

  void Add(const ModelPlan& plan, const std::vector<double>& z) {
    std::vector<double> x;
    for (size_t v = 0; v < z.size(); ++v) {
      x.push_back(plan.ranges[v].centre + plan.ranges[v].half_range * z[v]);
      columns[v].push_back(x.back());
    }
    truth.push_back(plan.truth(x));
    ids.push_back(absl::StrCat("p", ids.size()));
  }
  std::vector<double> At(size_t i) const {
    std::vector<double> x;
    for (const std::vector<double>& column : columns) x.push_back(column[i]);
    return x;
  }
};

std::vector<double> AnyPlace(const ModelPlan& plan, testing::Random& random) {
  std::vector<double> z(plan.conditions.size());
  for (double& value : z) value = random.Uniform(-1, 1);
  return z;
}

Points Draw(const ModelPlan& plan, testing::Random& random) {
  Points points{.columns = std::vector<std::vector<double>>(plan.conditions.size())};
  const double rho = std::max(plan.correlation, 0.0);
  for (int day = 0; day < plan.days; ++day) {
    const double of_day = std::sqrt(rho) * random.Normal();
    if (plan.correlation >= 0) points.block_names.push_back(absl::StrCat("d", day));
    for (int k = 0; k < plan.points_per_day; ++k) {
      points.Add(plan, AnyPlace(plan, random));
      const double error = of_day + std::sqrt(1 - rho) * random.Normal();
      points.values.push_back(points.truth.back() * (1 + plan.error_fraction * error));
      if (plan.correlation >= 0) points.blocks.push_back(day);
    }
  }
  return points;
}

ResponseProblem ProblemOf(const ModelPlan& plan, const Points& points) {
  return {.quantity = plan.quantity,
          .values = points.values,
          .conditions = plan.conditions,
          .columns = points.columns,
          .point_ids = points.ids,
          .blocks = points.blocks,
          .block_names = points.block_names};
}

// The intervals of one fitted model at the places asked.
struct Answers {
  std::vector<Interval> mean, map_mean, prediction;
};

std::optional<Answers> Ask(const ModelPlan& plan, const ResponseProblem& problem,
                           const ModelCandidate& candidate, const Points& asked) {
  const auto fitted = FitModel(problem, candidate, SurfacePurpose::kTable);
  if (!fitted.ok() || !fitted->no_covariance.empty()) return {};
  const document::Surface surface =
      SurfaceOf(problem, candidate, *fitted, SurfacePurpose::kTable);
  const auto evaluated = ModelSurface::Create(surface, problem.conditions);
  if (!evaluated.ok()) return {};
  std::optional<fit::BlockIntervals> by_block;
  if (!problem.blocks.empty()) {
    auto made = fit::BlockIntervals::Create(fitted->Problem(), {});
    if (!made.ok()) return {};
    by_block = *std::move(made);
  }
  std::vector<std::vector<double>> columns(plan.conditions.size());
  for (size_t v = 0; v < columns.size(); ++v) {
    for (double x : asked.columns[v]) {
      columns[v].push_back(fitted->form.Coordinate(v, x));
    }
  }
  const fit::DesignMatrix rows = *fitted->basis.Design(columns);
  Answers answers;
  std::vector<double> row(rows.columns);
  for (int i = 0; i < rows.rows; ++i) {
    for (int j = 0; j < rows.columns; ++j) row[j] = rows.at(i, j);
    const std::vector<double> x = asked.At(i);
    // What the polynomial gives rises with the quantity, so ends become ends.
    const auto in_si = [&](Interval of) {
      of.low = fitted->form.Value(of.low, x);
      of.high = fitted->form.Value(of.high, x);
      return of;
    };
    answers.mean.push_back(in_si(by_block
                                     ? *by_block->Mean(row, kConfidence)
                                     : *MeanInterval(fitted->fit, row, kConfidence)));
    answers.prediction.push_back(
        in_si(by_block ? *by_block->Prediction(row, kConfidence)
                       : *PredictionInterval(fitted->fit, row, kConfidence)));
    answers.map_mean.push_back(
        fit::StudentInterval(evaluated->At(x), evaluated->StandardErrorAt(x),
                             surface.degrees_of_freedom, kConfidence));
  }
  return answers;
}

struct Tally {
  int campaigns = 0, refused = 0, chosen = 0;
  int mean = 0, map_mean = 0, corner = 0, prediction = 0;
  std::vector<double> half_widths;

  void Add(const std::optional<Answers>& answers, const Points& asked) {
    if (!answers) {
      ++refused;
      return;
    }
    ++campaigns;
    const auto holds = [](const Interval& of, double value) {
      return of.low <= value && value <= of.high;
    };
    corner += holds(answers->mean[0], asked.truth[0]);
    for (size_t i = 1; i < asked.truth.size(); ++i) {
      const double truth = asked.truth[i];
      mean += holds(answers->mean[i], truth);
      map_mean += holds(answers->map_mean[i], truth);
      prediction += holds(answers->prediction[i], asked.values[i]);
      half_widths.push_back((answers->mean[i].high - answers->mean[i].low) / 2 / truth);
    }
  }
  ModelCoverage Report(const std::string& model, int all) {
    ModelCoverage report{.model = model, .refused = refused};
    report.chosen = static_cast<double>(chosen) / all;
    if (campaigns == 0) return report;
    const double count = campaigns;
    report.mean = mean / count / kAsked;
    report.map_mean = map_mean / count / kAsked;
    report.prediction = prediction / count / kAsked;
    report.corner = corner / count;
    const auto middle =
        half_widths.begin() + static_cast<std::ptrdiff_t>(half_widths.size() / 2);
    std::nth_element(half_widths.begin(), middle, half_widths.end());
    report.half_width = *middle;
    return report;
  }
};

// What a model misses of the truth, and its number of terms.
void MeasureMisses(const ModelPlan& plan, const ModelCandidate& candidate,
                   ModelCoverage& report) {
  ModelPlan exact = plan;
  exact.days = kPointsWithoutErrors;
  exact.points_per_day = 1;
  exact.error_fraction = 0;
  exact.correlation = -1;
  testing::Random random(plan.name + ", without errors");
  const Points points = Draw(exact, random);
  const auto fitted =
      FitModel(ProblemOf(exact, points), candidate, SurfacePurpose::kTable);
  if (!fitted.ok()) return;
  double squares = 0;
  for (size_t i = 0; i < points.truth.size(); ++i) {
    const double part = fitted->residuals[i] / points.truth[i];
    squares += part * part;
  }
  report.misses = std::sqrt(squares / static_cast<double>(points.truth.size()));
  report.terms = fitted->basis.terms();
}

}  // namespace

ModelReport RunModels(const ModelPlan& plan) {
  testing::Random random(plan.name);
  const document::ModelRequest request = Request();
  const ModelOptions families{.request = &request, .is_power = plan.is_power};
  const std::vector<ModelCandidate> candidates =
      CandidatesOf({.conditions = plan.conditions,
                    .levels = std::vector<int>(plan.conditions.size(), kGreatestDegree),
                    .quantity = plan.quantity,
                    .is_power = plan.is_power},
                   &request);
  std::vector<Tally> of_model(candidates.size());
  Tally chosen_degree, one_above, chosen_family;
  for (int campaign = 0; campaign < plan.campaigns; ++campaign) {
    const Points points = Draw(plan, random);
    const ResponseProblem problem = ProblemOf(plan, points);
    Points asked{.columns = std::vector<std::vector<double>>(plan.conditions.size())};
    for (int k = 0; k <= kAsked; ++k) {
      asked.Add(plan, k == 0 ? std::vector<double>(plan.conditions.size(), kCorner)
                             : AnyPlace(plan, random));
      asked.values.push_back(asked.truth.back() *
                             (1 + plan.error_fraction * random.Normal()));
    }
    std::map<std::string, std::optional<Answers>> answers;
    const auto family = FitBestResponse(problem, families);
    for (size_t k = 0; k < candidates.size(); ++k) {
      const auto& of = answers[candidates[k].name] =
          Ask(plan, problem, candidates[k], asked);
      of_model[k].Add(of, asked);
      if (!family.ok() || family->surface.model != candidates[k].name) continue;
      ++of_model[k].chosen;
      chosen_family.Add(of, asked);
    }
    const auto best = FitBestResponse(problem);
    if (!best.ok()) {
      chosen_degree.Add({}, asked);
      one_above.Add({}, asked);
      continue;
    }
    chosen_degree.Add(Ask(plan, problem, {.degree = best->surface.degree}, asked), asked);
    one_above.Add(Ask(plan, problem, {.degree = best->surface.degree + 1}, asked), asked);
  }
  ModelReport report;
  for (size_t k = 0; k < candidates.size(); ++k) {
    report.models.push_back(of_model[k].Report(candidates[k].name, plan.campaigns));
    MeasureMisses(plan, candidates[k], report.models.back());
  }
  report.models.push_back(chosen_degree.Report(kChosenDegree, plan.campaigns));
  report.models.push_back(one_above.Report(kOneAbove, plan.campaigns));
  report.models.push_back(chosen_family.Report(kChosenFamily, plan.campaigns));
  report.standard_error = std::sqrt(kConfidence * (1 - kConfidence) / plan.campaigns);
  return report;
}

ModelPlan MachinePlan(bool power, int conditions, double correlation) {
  const auto in_c = [](double low_f, double high_f) {
    return fit::ScaledRange{((low_f + high_f) / 2 - 32) / 1.8,
                            (high_f - low_f) / 2 / 1.8};
  };
  ModelPlan plan{.quantity = power ? "compressor_power" : "total_capacity",
                 .is_power = power,
                 .conditions = {"entering_air_wb", "entering_water_temp"},
                 .ranges = {in_c(65, 73), in_c(50, 100)},
                 .correlation = correlation};
  if (conditions == 3) {
    plan.conditions.push_back("air_flow");
    plan.ranges.push_back({0.95 * kNominalAirM3PerS, 0.2 * kNominalAirM3PerS});
    plan.days = 40;
  }
  plan.truth = [power](std::span<const double> x) {
    CoolingConditions at{.wet_bulb_c = x[0], .water_c = x[1]};
    if (x.size() == 3) at.air_m3_per_s = x[2];
    const CoolingFigures figures = CoolingMachine(at);
    return power ? figures.compressor_power_w : figures.capacity_w;
  };
  plan.name = absl::StrFormat(
      "%s over %d conditions, %d points, %s", plan.quantity, conditions,
      plan.days * plan.points_per_day,
      correlation < 0
          ? std::string("independent")
          : absl::StrFormat("%d days, correlation %.1f", plan.days, correlation));
  return plan;
}

}  // namespace ratebound::map
