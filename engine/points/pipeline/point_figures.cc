#include "engine/points/pipeline/point_figures.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"

namespace ratebound::points {
namespace {

// A formula may have a value where it has no slope, as a root has at 0.
absl::Status CheckFinite(const ReductionPlan& plan, const Results<double>& results,
                         const std::vector<double>& gradients) {
  base::FaultList faults;
  const size_t width = plan.inputs().size();
  for (size_t j = 0; j < plan.outputs().size(); ++j) {
    if (!results.values[j]) continue;
    if (!std::isfinite(*results.values[j])) {
      faults.Add({.message = absl::StrCat(plan.outputs()[j],
                                          " cannot be computed from these readings")});
    }
    for (size_t i = 0; i < width; ++i) {
      if (std::isfinite(gradients[j * width + i])) continue;
      faults.Add({.message = absl::StrCat("how ", plan.outputs()[j], " changes with ",
                                          plan.inputs()[i],
                                          " cannot be computed at these readings"),
                  .remedy = "correct the reading, or drop the point with a reason"});
    }
  }
  return faults.ToStatus();
}

}  // namespace

Readings<double> PlanReadings(const ReductionPlan& plan, const PointInputs& inputs) {
  Readings<double> readings(plan);
  for (size_t i = 0; i < inputs.quantities.size(); ++i) {
    readings.Set(plan, inputs.quantities[i], inputs.values_si[i]);
  }
  return readings;
}

absl::StatusOr<PointFigures> FiguresOf(const ReadingUncertainty& uncertainty,
                                       const ModePlans::Entry* entry,
                                       const document::TestPoint& point) {
  ASSIGN_OR_RETURN(PointInputs inputs, uncertainty.Of(point));
  PointFigures figures{.inputs = std::move(inputs)};
  const std::vector<std::string>& read = figures.inputs.quantities;
  const size_t width = read.size();
  figures.quantities = read;
  figures.values_si = figures.inputs.values_si;
  figures.gradients.assign(width * width, 0);
  for (size_t i = 0; i < width; ++i) figures.gradients[i * width + i] = 1;
  if (entry == nullptr) return figures;

  const ReductionPlan& plan = entry->plan;
  Results<double> results;
  std::vector<double> gradients;
  RETURN_IF_ERROR(
      ReduceWithGradients(plan, PlanReadings(plan, figures.inputs), results, gradients));
  RETURN_IF_ERROR(CheckFinite(plan, results, gradients));
  figures.warnings = std::move(results.warnings);
  std::vector<int> column_of_input;
  for (const std::string& input : plan.inputs()) {
    column_of_input.push_back(figures.inputs.IndexOf(input));
  }
  for (size_t j = 0; j < plan.outputs().size(); ++j) {
    if (!results.values[j]) continue;
    figures.quantities.push_back(plan.outputs()[j]);
    figures.values_si.push_back(*results.values[j]);
    const size_t start = figures.gradients.size();
    figures.gradients.resize(start + width, 0);
    for (size_t i = 0; i < column_of_input.size(); ++i) {
      if (column_of_input[i] < 0) continue;
      figures.gradients[start + static_cast<size_t>(column_of_input[i])] =
          gradients[j * column_of_input.size() + i];
    }
  }
  return figures;
}

document::ValueUncertainty ToValueUncertainty(const OutputUncertainty& output,
                                              const CoverageFactors& factors) {
  const ExpandedUncertainty total = Expand(output.total, factors);
  const ExpandedUncertainty systematic = Expand(output.systematic, factors);
  return {.random_standard_si = output.random.standard,
          .systematic_standard_si = output.systematic.standard,
          .degrees_of_freedom =
              std::isfinite(total.degrees_of_freedom) ? total.degrees_of_freedom : 0,
          .expanded_si = total.expanded,
          .systematic_expanded_si = systematic.expanded};
}

Knowledge KnowledgeOf(const PointFigures& figures, size_t row) {
  Knowledge knowledge;
  const std::vector<std::string>& read = figures.inputs.quantities;
  const std::vector<std::string>& unknown = figures.inputs.unknown;
  const double* const gradient = figures.gradients.data() + row * read.size();
  for (const Component& component : figures.inputs.uncertainty.components()) {
    if (gradient[component.input] != 0) knowledge.any = true;
  }
  for (size_t i = 0; i < read.size(); ++i) {
    if (gradient[i] != 0 &&
        std::find(unknown.begin(), unknown.end(), read[i]) != unknown.end()) {
      knowledge.missing.push_back(read[i]);
    }
  }
  return knowledge;
}

}  // namespace ratebound::points
