#include "engine/rating/function_figure_source.h"

#include <limits>
#include <utility>

namespace ratebound::rating {

FunctionFigureSource::FunctionFigureSource(SourceDescription description,
                                           Function function, document::Footing footing)
    : description_(std::move(description)),
      function_(std::move(function)),
      footing_(footing) {}

absl::Status FunctionFigureSource::WhyNone(
    int /*stage*/, std::span<const double> /*conditions_si*/) const {
  return absl::FailedPreconditionError("nothing is known of it there");
}

FigureFooting FunctionFigureSource::Footing(
    int /*stage*/, std::span<const double> /*conditions_si*/) const {
  return {.footing = footing_, .reason = {}, .test_points = {}};
}

RatedUnitSource::RatedUnitSource(const RatedUnit& rated_unit,
                                 std::vector<std::string> quantities)
    : rated_unit_(rated_unit),
      description_{.unit = rated_unit.unit,
                   .mode = rated_unit.mode,
                   .quantities = std::move(quantities)} {}

absl::StatusOr<StageFigures> RatedUnitSource::Ask(
    int stage, std::span<const double> conditions_si) const {
  std::vector<QuantityValue> conditions;
  for (size_t i = 0; i < conditions_si.size(); ++i) {
    conditions.push_back({description_.mode.conditions[i], conditions_si[i]});
  }
  return rated_unit_.evaluate(stage, conditions);
}

bool RatedUnitSource::Figures(int stage, std::span<const double> conditions_si,
                              std::span<double> figures_si) const {
  const absl::StatusOr<StageFigures> figures = Ask(stage, conditions_si);
  if (!figures.ok()) return false;
  for (size_t i = 0; i < figures_si.size(); ++i) {
    const double* value = figures->Find(description_.quantities[i]);
    figures_si[i] = value ? *value : std::numeric_limits<double>::quiet_NaN();
  }
  return true;
}

absl::Status RatedUnitSource::WhyNone(int stage,
                                      std::span<const double> conditions_si) const {
  return Ask(stage, conditions_si).status();
}

FigureFooting RatedUnitSource::Footing(int stage,
                                       std::span<const double> conditions_si) const {
  const absl::StatusOr<StageFigures> figures = Ask(stage, conditions_si);
  if (!figures.ok()) return {};
  return {.footing = figures->footing,
          .reason = figures->footing_reason,
          .test_points = figures->test_points};
}

}  // namespace ratebound::rating
