#include "engine/rating/declared_figure_source.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"

namespace ratebound::rating {

absl::StatusOr<DeclaredFigureSource> DeclaredFigureSource::Create(
    SourceDescription description, std::vector<DeclaredFigures> points,
    std::vector<double> tolerances_si) {
  const size_t conditions = description.mode.conditions.size();
  if (tolerances_si.size() != conditions) {
    return absl::InvalidArgumentError(absl::StrCat("one tolerance for each of ",
                                                   conditions, " conditions; ",
                                                   tolerances_si.size(), " given"));
  }
  for (const DeclaredFigures& point : points) {
    if (point.conditions_si.size() != conditions ||
        point.figures_si.size() != description.quantities.size() || point.stage < 0 ||
        point.stage >= description.stage_count()) {
      return absl::InvalidArgumentError(
          absl::StrCat("declared point ", point.id,
                       ": its stage, conditions or figures are not those of the mode"));
    }
  }
  DeclaredFigureSource source;
  source.description_ = std::move(description);
  source.points_ = std::move(points);
  source.tolerances_si_ = std::move(tolerances_si);
  return source;
}

const DeclaredFigures* DeclaredFigureSource::Find(
    int stage, std::span<const double> conditions_si) const {
  const DeclaredFigures* nearest = nullptr;
  double nearest_part = 0;
  for (const DeclaredFigures& point : points_) {
    if (point.stage != stage) continue;
    double part = 0;
    for (size_t j = 0; j < conditions_si.size(); ++j) {
      const double apart = std::fabs(conditions_si[j] - point.conditions_si[j]);
      // Without a tolerance any distance is too far.
      part = std::max(part, apart == 0 ? 0 : apart / tolerances_si_[j]);
    }
    if (!(part <= 1) || (nearest != nullptr && part >= nearest_part)) continue;
    nearest = &point;
    nearest_part = part;
  }
  return nearest;
}

bool DeclaredFigureSource::Figures(int stage, std::span<const double> conditions_si,
                                   std::span<double> figures_si) const {
  const DeclaredFigures* point = Find(stage, conditions_si);
  if (point == nullptr) return false;
  std::copy_n(point->figures_si.begin(), figures_si.size(), figures_si.begin());
  return true;
}

absl::Status DeclaredFigureSource::WhyNone(
    int stage, std::span<const double> /*conditions_si*/) const {
  std::vector<std::string> ids;
  for (const DeclaredFigures& point : points_) {
    if (point.stage == stage) ids.push_back(point.id);
  }
  return absl::FailedPreconditionError(
      ids.empty() ? "nothing is declared of it"
                  : absl::StrCat("only points ", absl::StrJoin(ids, ", "),
                                 " are declared of it, and none is at these conditions"));
}

FigureFooting DeclaredFigureSource::Footing(int stage,
                                            std::span<const double> conditions_si) const {
  const DeclaredFigures* point = Find(stage, conditions_si);
  if (point == nullptr) return {};
  return {.footing = point->footing,
          .reason = absl::StrCat("declared as point ", point->id),
          .test_points = {point->id}};
}

}  // namespace ratebound::rating
