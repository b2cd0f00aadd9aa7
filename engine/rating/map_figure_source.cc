#include "engine/rating/map_figure_source.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::rating {
namespace {

using document::Mode;
using map::StageModel;

using Conditions = std::array<double, CoefficientSurface::kMostConditions>;

const Mode& ModeOf(const document::Unit& unit, document::ModeKind kind) {
  for (const Mode& mode : unit.modes) {
    if (mode.kind == kind) return mode;
  }
  return unit.modes.front();
}

const document::Surface* TableSurface(const StageModel& model,
                                      const std::string& quantity) {
  for (const document::Surface& surface : model.map().surfaces) {
    if (surface.purpose == document::SurfacePurpose::kTable &&
        surface.quantity == quantity) {
      return &surface;
    }
  }
  return nullptr;
}

// In the order of the map.
std::span<const double> Ordered(const std::vector<int>& order, bool same_order,
                                std::span<const double> conditions_si, Conditions& room) {
  if (same_order) return conditions_si;
  for (size_t j = 0; j < order.size(); ++j) room[j] = conditions_si[order[j]];
  return std::span<const double>(room).first(order.size());
}

// Without its reason.
document::Footing FootingOf(const StageModel& model,
                            std::span<const double> conditions_si) {
  std::array<std::span<const double>, CoefficientSurface::kMostConditions> columns;
  for (size_t j = 0; j < conditions_si.size(); ++j) {
    columns[j] = conditions_si.subspan(j, 1);
  }
  document::Footing footing = document::Footing::kPredicted;
  const absl::Status done = model.FootingColumns(
      std::span(columns).first(conditions_si.size()), std::span(&footing, 1));
  return done.ok() ? footing : document::Footing::kPredicted;
}

// The tested point that is nearest by the greatest share of a tested range.
std::string NearestPoint(const document::StageMap& map,
                         std::span<const double> conditions_si) {
  const size_t conditions = conditions_si.size();
  double nearest = std::numeric_limits<double>::infinity();
  std::string id;
  for (size_t i = 0; i < map.point_ids.size(); ++i) {
    double distance = 0;
    for (size_t j = 0; j < conditions; ++j) {
      const double apart =
          std::fabs(conditions_si[j] - map.point_conditions_si[i * conditions + j]);
      const double range = map.tested_high_si[j] - map.tested_low_si[j];
      distance = std::max(distance, apart == 0 ? 0 : apart / range);
    }
    if (distance >= nearest) continue;
    nearest = distance;
    id = map.point_ids[i];
  }
  return id;
}

}  // namespace

absl::StatusOr<MapFigureSource::Regime> MapFigureSource::AddRegime(
    const StageModel& model, int stage, Plan& plan, std::vector<double>& nested) {
  Regime regime{.model = &model, .order = {}, .surfaces = {}};
  const std::vector<std::string>& wanted = plan.description.mode.conditions;
  const std::vector<std::string>& mapped = model.map().conditions;
  for (const std::string& name : mapped) {
    const auto found = std::find(wanted.begin(), wanted.end(), name);
    if (found == wanted.end() || mapped.size() != wanted.size() ||
        mapped.size() > CoefficientSurface::kMostConditions) {
      return absl::InvalidArgumentError("the map's conditions are not those of its mode");
    }
    regime.order.push_back(static_cast<int>(found - wanted.begin()));
  }
  regime.same_order = std::is_sorted(regime.order.begin(), regime.order.end());
  for (size_t i = 0; i < plan.description.quantities.size(); ++i) {
    const document::Surface* fitted = TableSurface(model, plan.description.quantities[i]);
    if (fitted == nullptr) {
      regime.surfaces.push_back(-1);
      continue;
    }
    ASSIGN_OR_RETURN(CoefficientSurface evaluator,
                     CoefficientSurface::Create(*fitted, mapped));
    const int count = evaluator.terms();
    const size_t first = nested.size();
    nested.resize(first + count);
    evaluator.Nest(fitted->coefficients_si, std::span(nested).subspan(first));
    regime.surfaces.push_back(static_cast<int>(plan.surfaces.size()));
    plan.surfaces.push_back({.stage = stage,
                             .quantity = static_cast<int>(i),
                             .model = &model,
                             .fitted = fitted,
                             .first_coefficient = static_cast<int>(first),
                             .coefficient_count = count});
    plan.evaluators.push_back(std::move(evaluator));
  }
  return regime;
}

absl::StatusOr<MapFigureSource> MapFigureSource::Create(
    const document::Unit& unit, std::span<const StageModel> models,
    document::ModeKind kind, std::span<const std::string> quantities) {
  if (unit.modes.empty()) {
    return absl::InvalidArgumentError(absl::StrCat("unit ", unit.id, " has no modes"));
  }
  auto plan = std::make_shared<Plan>();
  SourceDescription& description = plan->description;
  description.unit = unit;
  description.mode = ModeOf(unit, kind);
  const std::vector<document::Stage>& stages = description.mode.stages;
  std::vector<std::vector<const StageModel*>> by_stage(stages.size());
  for (const StageModel& model : models) {
    if (model.map().unit != unit.id || model.map().mode != description.mode.id) continue;
    for (size_t i = 0; i < stages.size(); ++i) {
      if (model.map().stage == stages[i].id) by_stage[i].push_back(&model);
    }
  }
  for (const std::string& quantity : quantities) {
    const bool known = std::any_of(
        by_stage.begin(), by_stage.end(), [&](const std::vector<const StageModel*>& of) {
          return std::any_of(of.begin(), of.end(), [&](const StageModel* model) {
            return TableSurface(*model, quantity) != nullptr;
          });
        });
    if (known) description.quantities.push_back(quantity);
  }
  MapFigureSource source;
  for (size_t i = 0; i < stages.size(); ++i) {
    std::vector<Regime>& regimes = plan->stages.emplace_back();
    for (const StageModel* model : by_stage[i]) {
      ASSIGN_OR_RETURN(Regime regime,
                       AddRegime(*model, static_cast<int>(i), *plan, source.nested_));
      regimes.push_back(std::move(regime));
    }
  }
  source.plan_ = std::move(plan);
  return source;
}

const MapFigureSource::Regime* MapFigureSource::Find(
    int stage, std::span<const double> conditions_si, std::string* why) const {
  const std::vector<Regime>& regimes = plan_->stages[stage];
  if (regimes.size() == 1) return &regimes[0];
  const Regime* best = nullptr;
  const Regime* equal = nullptr;
  document::Footing best_footing = document::Footing::kUnspecified;
  for (const Regime& regime : regimes) {
    Conditions room;
    const document::Footing footing = FootingOf(
        *regime.model, Ordered(regime.order, regime.same_order, conditions_si, room));
    if (best == nullptr || footing < best_footing) {
      best = &regime;
      best_footing = footing;
      equal = nullptr;
    } else if (footing == best_footing) {
      equal = &regime;
    }
  }
  if (equal == nullptr && best != nullptr) return best;
  if (why == nullptr) return nullptr;
  *why =
      best == nullptr
          ? "it has no map"
          : absl::StrCat("regimes ", best->model->map().regime, " and ",
                         equal->model->map().regime, " are equally well founded there (",
                         document::FootingName(best_footing),
                         "), and it cannot be told which one the unit would run in");
  return nullptr;
}

bool MapFigureSource::Figures(int stage, std::span<const double> conditions_si,
                              std::span<double> figures_si) const {
  const Regime* regime = Find(stage, conditions_si);
  if (regime == nullptr) return false;
  Conditions room;
  const std::span<const double> point =
      Ordered(regime->order, regime->same_order, conditions_si, room);
  for (size_t i = 0; i < figures_si.size(); ++i) {
    const int surface = regime->surfaces[i];
    if (surface < 0) {
      figures_si[i] = std::numeric_limits<double>::quiet_NaN();
      continue;
    }
    figures_si[i] = plan_->evaluators[surface].At(
        point, nested_.data() + plan_->surfaces[surface].first_coefficient);
  }
  return true;
}

absl::Status MapFigureSource::WhyNone(int stage,
                                      std::span<const double> conditions_si) const {
  std::string why;
  if (Find(stage, conditions_si, &why) != nullptr) return absl::OkStatus();
  return absl::FailedPreconditionError(why);
}

FigureFooting MapFigureSource::Footing(int stage,
                                       std::span<const double> conditions_si) const {
  const Regime* regime = Find(stage, conditions_si);
  if (regime == nullptr) return {};
  Conditions room;
  const std::span<const double> point =
      Ordered(regime->order, regime->same_order, conditions_si, room);
  absl::StatusOr<map::FootingAnswer> answer = regime->model->Footing(point);
  if (!answer.ok()) {
    return {.footing = document::Footing::kPredicted,
            .reason = std::string(answer.status().message()),
            .test_points = {}};
  }
  FigureFooting footing{
      .footing = answer->footing, .reason = answer->reason, .test_points = {}};
  std::string nearest = NearestPoint(regime->model->map(), point);
  if (!nearest.empty()) footing.test_points.push_back(std::move(nearest));
  return footing;
}

std::optional<TestedRange> MapFigureSource::RangeOf(int stage, int condition) const {
  std::optional<TestedRange> range;
  for (const Regime& regime : plan_->stages[stage]) {
    for (size_t j = 0; j < regime.order.size(); ++j) {
      if (regime.order[j] != condition) continue;
      const double low_si = regime.model->map().tested_low_si[j];
      const double high_si = regime.model->map().tested_high_si[j];
      if (!range) range = {low_si, high_si};
      range->low_si = std::min(range->low_si, low_si);
      range->high_si = std::max(range->high_si, high_si);
    }
  }
  return range;
}

std::vector<double> MapFigureSource::Coefficients(int surface) const {
  const SourceSurface& of = plan_->surfaces[surface];
  std::vector<double> coefficients_si(of.coefficient_count);
  plan_->evaluators[surface].Unnest(std::span(nested_).subspan(of.first_coefficient),
                                    coefficients_si);
  return coefficients_si;
}

void MapFigureSource::SetCoefficients(int surface,
                                      std::span<const double> coefficients_si) {
  const SourceSurface& of = plan_->surfaces[surface];
  plan_->evaluators[surface].Nest(coefficients_si,
                                  std::span(nested_).subspan(of.first_coefficient));
}

int MapFigureSource::SurfaceAt(int stage, int quantity,
                               std::span<const double> conditions_si) const {
  const Regime* regime = Find(stage, conditions_si);
  return regime == nullptr ? -1 : regime->surfaces[quantity];
}

void MapFigureSource::SlopesAt(int surface, std::span<const double> conditions_si,
                               std::span<double> slopes) const {
  const SourceSurface& of = plan_->surfaces[surface];
  for (const Regime& regime : plan_->stages[of.stage]) {
    if (regime.model != of.model) continue;
    Conditions room;
    plan_->evaluators[surface].SlopesAt(
        Ordered(regime.order, regime.same_order, conditions_si, room),
        nested_.data() + of.first_coefficient, slopes);
  }
}

}  // namespace ratebound::rating
