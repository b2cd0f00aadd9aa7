#include "engine/points/pipeline/point_chain.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"
#include "engine/points/pipeline/mode_plans.h"
#include "engine/points/pipeline/point_figures.h"
#include "engine/points/uncertainty/monte_carlo.h"

namespace ratebound::points {
namespace {

using document::PointChain;

// Significant digits that a standard uncertainty is stated to (JCGM 101, 8.1).
constexpr int kStatedDigits = 1;

document::UncertaintyBudget BudgetOf(const PointFigures& figures, size_t row,
                                     const OutputReport& report,
                                     const CoverageFactors& factors) {
  document::UncertaintyBudget budget{.quantity = figures.quantities[row],
                                     .value_si = figures.values_si[row]};
  const std::span<const Component> components = figures.inputs.uncertainty.components();
  for (const BudgetLine& line : report.budget) {
    if (line.sensitivity == 0) continue;
    const Component& component = components[static_cast<size_t>(line.component)];
    budget.contributions.push_back(
        {.name = component.name,
         .input = figures.inputs.quantities[static_cast<size_t>(component.input)],
         .contribution_si = std::copysign(line.contribution, line.sensitivity),
         .share = line.percent / 100,
         .systematic = component.systematic});
  }
  std::stable_sort(budget.contributions.begin(), budget.contributions.end(),
                   [](const auto& a, const auto& b) {
                     return std::fabs(a.share) > std::fabs(b.share);
                   });
  const auto plain = [](const ExpandedUncertainty& u) {
    return StandardUncertainty{u.standard, u.degrees_of_freedom};
  };
  budget.uncertainty = ToValueUncertainty(
      {plain(report.total), plain(report.random), plain(report.systematic)}, factors);
  return budget;
}

// The first 8 bytes of the digest of the readings.
uint64_t SeedOf(const PointInputs& inputs) {
  std::string text;
  for (size_t i = 0; i < inputs.quantities.size(); ++i) {
    absl::StrAppend(&text, inputs.quantities[i], "=",
                    base::ShortestText(inputs.values_si[i]), "\n");
  }
  uint64_t seed = 0;
  for (char c : document::Sha256Hex(text).substr(0, 16)) {
    seed = 16 * seed + static_cast<uint64_t>(c <= '9' ? c - '0' : c - 'a' + 10);
  }
  return seed;
}

absl::Status AddMonteCarlo(const PointFigures& figures, const PointInputs& inputs,
                           const ReductionPlan& plan, const std::vector<size_t>& rows,
                           int64_t draw_count, int thread_count, PointChain& chain) {
  std::vector<int> outputs;
  for (size_t row : rows) outputs.push_back(plan.OutputIndex(figures.quantities[row]));
  std::vector<int> places;  // of the readings in the plan; -1 where it does not read one
  for (const std::string& quantity : figures.inputs.quantities) {
    places.push_back(plan.InputIndex(quantity));
  }
  const auto model = [&](std::span<const double> drawn, std::span<double> values) {
    Readings<double> readings(plan);
    for (size_t i = 0; i < drawn.size(); ++i) {
      if (places[i] >= 0) readings.values[static_cast<size_t>(places[i])] = drawn[i];
    }
    Results<double> results;
    const bool reduced = Reduce(plan, readings, results).ok();
    for (size_t j = 0; j < outputs.size(); ++j) {
      const auto value = reduced ? results.values[static_cast<size_t>(outputs[j])]
                                 : std::optional<double>();
      values[j] = value.value_or(std::numeric_limits<double>::quiet_NaN());
    }
  };
  ASSIGN_OR_RETURN(const MonteCarlo run,
                   RunMonteCarlo(inputs.uncertainty, inputs.values_si,
                                 static_cast<int>(rows.size()), model,
                                 {.seed = SeedOf(inputs),
                                  .draws = draw_count,
                                  .probability = kCoverage,
                                  .threads = thread_count}));
  for (size_t j = 0; j < rows.size(); ++j) {
    const MonteCarloOutput& output = run.outputs[j];
    const document::UncertaintyBudget& linear = chain.budgets[j];
    const double random = linear.uncertainty.random_standard_si;
    const double systematic = linear.uncertainty.systematic_standard_si;
    const double standard = std::sqrt(random * random + systematic * systematic);
    Adequacy adequacy = CheckAdequacy(linear.value_si, linear.uncertainty.expanded_si,
                                      output.shortest, standard, kStatedDigits);
    chain.monte_carlo.push_back({.quantity = linear.quantity,
                                 .draw_count = run.draws,
                                 .mean_si = output.mean,
                                 .standard_deviation_si = output.standard_uncertainty,
                                 .low_si = output.shortest.low,
                                 .high_si = output.shortest.high,
                                 .adequacy = std::move(adequacy.sentence),
                                 .adequate = adequacy.is_adequate});
  }
  return absl::OkStatus();
}

}  // namespace

absl::Status CheckDrawCount(int64_t draw_count) {
  if (draw_count == 0 || (draw_count >= kLeastDraws && draw_count <= kMostDraws)) {
    return absl::OkStatus();
  }
  base::FaultList faults;
  faults.Add({.field = "monte_carlo_draws",
              .message = absl::StrCat(draw_count, " draws are too few or too many"),
              .remedy = absl::StrCat("give ", kLeastDraws, " to ", kMostDraws)});
  return faults.ToStatus();
}

absl::StatusOr<PointChain> ChainOf(const document::LineManifest& manifest,
                                   std::span<const document::MeasurementMethod> methods,
                                   const document::TestPoint& point, int64_t draw_count,
                                   int thread_count) {
  RETURN_IF_ERROR(CheckDrawCount(draw_count));
  ASSIGN_OR_RETURN(const ModePlans plans, ModePlans::Create(manifest, methods));
  if (point.values.empty()) return PointChain{.point = point};
  const ModePlans::Entry* const entry = plans.For(point);
  const ReadingUncertainty uncertainty(manifest);
  ASSIGN_OR_RETURN(const PointFigures figures, FiguresOf(uncertainty, entry, point));

  PointChain chain{.point = point};
  if (entry != nullptr) {
    StepRecorder steps;
    Results<double> results;
    RETURN_IF_ERROR(
        Reduce(entry->plan, PlanReadings(entry->plan, figures.inputs), results, &steps));
    chain.steps = steps.steps();
  }
  const size_t first = entry == nullptr ? 0 : figures.inputs.quantities.size();
  std::vector<size_t> rows;
  for (size_t row = first; row < figures.quantities.size(); ++row) {
    if (KnowledgeOf(figures, row).any) rows.push_back(row);
  }
  if (rows.empty()) return chain;
  const CoverageFactors factors(kCoverage);
  ASSIGN_OR_RETURN(const Propagation propagation,
                   Propagate(figures.inputs.uncertainty, figures.gradients, kCoverage));
  for (size_t row : rows) {
    chain.budgets.push_back(BudgetOf(figures, row, propagation.outputs[row], factors));
  }
  if (entry != nullptr && draw_count > 0) {
    ASSIGN_OR_RETURN(const ModePlans drawn,
                     ModePlans::Create(manifest, methods, ModePlans::Use::kDraws));
    ASSIGN_OR_RETURN(const PointInputs inputs,
                     uncertainty.Of(point, ReadingUncertainty::Use::kDraws));
    RETURN_IF_ERROR(AddMonteCarlo(figures, inputs,
                                  drawn.Find(point.unit, point.mode)->plan, rows,
                                  draw_count, thread_count, chain));
  }
  return chain;
}

}  // namespace ratebound::points
