#include "service/query_answers.h"

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/convert.h"
#include "engine/number/distribution.h"
#include "service/request_check.h"
#include "service/stage_choice.h"

namespace ratebound::service {
namespace {

absl::Status FieldFault(std::string field, std::string message, std::string remedy) {
  base::FaultList faults;
  faults.Add({.field = std::move(field),
              .message = std::move(message),
              .remedy = std::move(remedy)});
  return faults.ToStatus();
}

absl::StatusOr<double> ReadConfidence(const v1::EvaluateRequest& request) {
  if (!request.has_confidence()) return kDefaultConfidence;
  if (request.confidence() >= 0.5 && request.confidence() <= 0.9999)
    return request.confidence();
  return FieldFault("confidence",
                    base::ShortestText(request.confidence()) + " is no confidence",
                    "give 0.5 to 0.9999, such as 0.95 for 95 %");
}

// t-quantiles are dear beside a polynomial, and points of one surface share theirs.
class HalfWidths {
 public:
  explicit HalfWidths(double confidence) : probability_(1 - (1 - confidence) / 2) {}
  std::optional<double> Of(const map::Estimate& estimate) {
    if (!estimate.standard_error_si.has_value() || !(estimate.degrees_of_freedom > 0))
      return {};
    if (estimate.degrees_of_freedom != degrees_of_freedom_) {
      degrees_of_freedom_ = estimate.degrees_of_freedom;
      quantile_ = number::StudentTQuantile(probability_, degrees_of_freedom_);
    }
    return quantile_ * *estimate.standard_error_si;
  }

 private:
  const double probability_;
  double degrees_of_freedom_ = 0;
  double quantile_ = 0;
};

std::vector<MapReader> ReadersOf(const ChosenStage& stage, const ConditionPlan& plan) {
  std::vector<MapReader> readers;
  for (const map::StageModel* model : stage.maps) readers.emplace_back(*model, plan);
  return readers;
}

// Weaker footings have greater numbers.
bool IsStronger(document::Footing a, document::Footing b) {
  return static_cast<int>(a) < static_cast<int>(b);
}

absl::StatusOr<std::string> SiUnitOf(const std::string& name) {
  ASSIGN_OR_RETURN(const quantity::Quantity* quantity, quantity::FindQuantity(name));
  return std::string(quantity::SiUnit(quantity->dimension).name);
}

absl::Status AnswerStage(const std::vector<MapReader>& readers,
                         std::span<const double> row_si, HalfWidths& half_widths,
                         v1::StageAnswer* answer) {
  size_t best = 0;
  map::FootingAnswer footing;
  for (size_t i = 0; i < readers.size(); ++i) {
    ASSIGN_OR_RETURN(map::FootingAnswer candidate, readers[i].Footing(row_si));
    if (i > 0 && !IsStronger(candidate.footing, footing.footing)) continue;
    best = i;
    footing = std::move(candidate);
  }
  const map::StageModel& model = readers[best].model();
  if (footing.footing == document::Footing::kTested ||
      footing.footing == document::Footing::kInterpolated) {
    footing.reason.clear();
  } else if (readers.size() > 1) {
    absl::StrAppend(&footing.reason, "; of the regimes, ", model.map().regime,
                    " answers");
  }
  for (const std::string& name : model.AvailableQuantities()) {
    const absl::StatusOr<map::Estimate> estimate = readers[best].Evaluate(name, row_si);
    if (absl::IsFailedPrecondition(estimate.status())) {
      absl::StrAppend(&footing.reason, footing.reason.empty() ? "" : "; ", "no ", name,
                      ": ", estimate.status().message());
      continue;
    }
    RETURN_IF_ERROR(estimate.status());
    v1::Figure* figure = answer->add_figures();
    figure->set_quantity(name);
    figure->set_value(estimate->value_si);
    ASSIGN_OR_RETURN(*figure->mutable_unit(), SiUnitOf(name));
    const std::optional<double> half_width = half_widths.Of(*estimate);
    if (half_width.has_value()) figure->set_half_width(*half_width);
  }
  answer->set_mode(model.map().mode);
  answer->set_stage(model.map().stage);
  answer->set_footing(document::ToMessage(footing.footing));
  answer->set_footing_reason(footing.reason);
  return absl::OkStatus();
}

// The number of points, after checking that all columns have it and that it can be
// answered.
absl::StatusOr<int> PointCount(const v1::BatchEvaluateRequest& request, int most_points) {
  base::FaultList faults;
  if (request.quantities().empty()) {
    faults.Add({.field = "quantities",
                .message = "is empty",
                .remedy = "name at least one quantity to answer"});
  }
  const int count =
      request.conditions().empty() ? 0 : request.conditions(0).values_size();
  if (count == 0) {
    faults.Add(
        {.field = "conditions", .message = "hold no values", .remedy = "give columns"});
  }
  for (int i = 1; i < request.conditions_size(); ++i) {
    if (request.conditions(i).values_size() == count) continue;
    faults.Add({.field = absl::StrCat("conditions[", i, "].values"),
                .message = absl::StrCat("has ", request.conditions(i).values_size(),
                                        " values and conditions[0] has ", count),
                .remedy = "give every column one value for each point"});
  }
  const int64_t bytes_per_point =
      1 + 8 * (request.with_uncertainty() ? 2 : 1) * int64_t{request.quantities_size()};
  const int64_t most = std::min<int64_t>(most_points, kAnswerBytes / bytes_per_point);
  if (count > most) {
    faults.Add({.field = "conditions",
                .message = absl::StrCat("have ", count, " points"),
                .remedy = absl::StrCat("ask for at most ", most,
                                       " points of these quantities at once")});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return count;
}

// The conditions in SI, in the caller's columns.
absl::StatusOr<std::vector<std::vector<double>>> ReadColumns(
    const v1::BatchEvaluateRequest& request, const ConditionPlan& plan, int count) {
  base::FaultList faults;
  std::vector<std::vector<double>> columns_si(plan.units.size());
  for (size_t column = 0; column < columns_si.size(); ++column) {
    const auto& values = request.conditions(static_cast<int>(column)).values();
    const quantity::Quantity& quantity = *plan.quantities[column];
    columns_si[column].reserve(count);
    for (int i = 0; i < count; ++i) {
      const double value_si = quantity::ToSi(values[i], plan.units[column]);
      columns_si[column].push_back(value_si);
      if (value_si >= quantity.least_si && value_si <= quantity.greatest_si) continue;
      faults.Add({.field = absl::StrCat("conditions[", column, "].values[", i, "]"),
                  .message = std::string(
                      quantity::CheckPlausible(quantity, value_si).message())});
    }
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return columns_si;
}

absl::Status CheckQuantities(const v1::BatchEvaluateRequest& request,
                             const std::vector<MapReader>& readers) {
  base::FaultList faults;
  for (int i = 0; i < request.quantities_size(); ++i) {
    for (const MapReader& reader : readers) {
      if (reader.model().Has(request.quantities(i))) continue;
      const std::vector<std::string> known = reader.model().AvailableQuantities();
      faults.Add({.field = absl::StrCat("quantities[", i, "]"),
                  .message = absl::StrCat("the map has no '",
                                          base::Printable(request.quantities(i)), "'",
                                          base::DidYouMean(request.quantities(i), known)),
                  .remedy = "it has " + absl::StrJoin(known, ", ")});
      break;
    }
  }
  return faults.ToStatus();
}

// The map that answers each point, and its footing there.
struct PointFootings {
  std::vector<document::Footing> footings;
  std::vector<int> readers;  // empty where there is one
};

absl::StatusOr<PointFootings> FootingsOf(
    const std::vector<MapReader>& readers,
    const std::vector<std::vector<double>>& columns_si, int count) {
  PointFootings best{.footings = std::vector<document::Footing>(count)};
  RETURN_IF_ERROR(readers[0].FootingColumns(columns_si, best.footings));
  if (readers.size() == 1) return best;
  best.readers.assign(count, 0);
  std::vector<document::Footing> footings(count);
  for (size_t r = 1; r < readers.size(); ++r) {
    RETURN_IF_ERROR(readers[r].FootingColumns(columns_si, footings));
    for (int i = 0; i < count; ++i) {
      if (!IsStronger(footings[i], best.footings[i])) continue;
      best.footings[i] = footings[i];
      best.readers[i] = static_cast<int>(r);
    }
  }
  return best;
}

// A quantity at every point; where one map answers and no half widths are asked for, in
// columns.
absl::Status AnswerColumn(const std::vector<MapReader>& readers,
                          const PointFootings& points,
                          const std::vector<std::vector<double>>& columns_si,
                          bool with_uncertainty, const StopFunction& stop,
                          v1::FigureColumn* column) {
  const int count = static_cast<int>(points.footings.size());
  column->mutable_values()->Resize(count, 0);
  if (points.readers.empty() && !with_uncertainty) {
    return readers[0].EvaluateColumns(
        column->quantity(), columns_si,
        std::span(column->mutable_values()->mutable_data(), static_cast<size_t>(count)));
  }
  HalfWidths half_widths(kDefaultConfidence);
  std::vector<double> row_si(columns_si.size());
  for (int i = 0; i < count; ++i) {
    if (i % 1024 == 0 && stop && stop()) return absl::CancelledError("told to stop");
    for (size_t c = 0; c < columns_si.size(); ++c) row_si[c] = columns_si[c][i];
    const MapReader& reader = readers[points.readers.empty() ? 0 : points.readers[i]];
    ASSIGN_OR_RETURN(const map::Estimate estimate,
                     reader.Evaluate(column->quantity(), row_si));
    column->set_values(i, estimate.value_si);
    if (!with_uncertainty) continue;
    const std::optional<double> half_width = half_widths.Of(estimate);
    if (half_width.has_value()) column->add_half_widths(*half_width);
  }
  // A column with holes could not be laid beside its values.
  if (column->half_widths_size() != count) column->clear_half_widths();
  return absl::OkStatus();
}

}  // namespace

absl::Status Evaluate(ReleaseLibrary& library, const v1::EvaluateRequest& request,
                      v1::EvaluateResponse* response) {
  RETURN_IF_ERROR(CheckFinite(request));
  ASSIGN_OR_RETURN(const double confidence, ReadConfidence(request));
  ASSIGN_OR_RETURN(const StageChoice choice,
                   ChooseStages(library, request.map(), OneStage::kNo));
  std::vector<NamedCondition> named;
  for (int i = 0; i < request.conditions_size(); ++i) {
    named.push_back({.quantity = request.conditions(i).quantity(),
                     .unit = request.conditions(i).unit(),
                     .field = absl::StrCat("conditions[", i, "]")});
  }
  ASSIGN_OR_RETURN(const ConditionPlan plan, PlanConditions(choice, named));
  base::FaultList faults;
  std::vector<double> row_si;
  for (int i = 0; i < request.conditions_size(); ++i) {
    row_si.push_back(quantity::ToSi(request.conditions(i).value(), plan.units[i]));
    const absl::Status plausible =
        quantity::CheckPlausible(*plan.quantities[i], row_si.back());
    if (!plausible.ok()) {
      faults.Add({.field = absl::StrCat("conditions[", i, "].value"),
                  .message = std::string(plausible.message())});
    }
  }
  RETURN_IF_ERROR(faults.ToStatus());
  response->set_effective_release(choice.release->digest);
  response->set_effective_confidence(confidence);
  for (const std::string& caution : choice.release->release.manifest.cautions) {
    response->add_cautions(caution);
  }
  HalfWidths half_widths(confidence);
  for (const ChosenStage& stage : choice.stages) {
    RETURN_IF_ERROR(
        AnswerStage(ReadersOf(stage, plan), row_si, half_widths, response->add_stages()));
  }
  return absl::OkStatus();
}

absl::Status BatchEvaluate(ReleaseLibrary& library,
                           const v1::BatchEvaluateRequest& request, int most_points,
                           const StopFunction& stop,
                           v1::BatchEvaluateResponse* response) {
  ASSIGN_OR_RETURN(const int count, PointCount(request, most_points));
  RETURN_IF_ERROR(CheckFinite(request));
  ASSIGN_OR_RETURN(const StageChoice choice,
                   ChooseStages(library, request.map(), OneStage::kYes));
  std::vector<NamedCondition> named;
  for (int i = 0; i < request.conditions_size(); ++i) {
    named.push_back({.quantity = request.conditions(i).quantity(),
                     .unit = request.conditions(i).unit(),
                     .field = absl::StrCat("conditions[", i, "]")});
  }
  ASSIGN_OR_RETURN(const ConditionPlan plan, PlanConditions(choice, named));
  ASSIGN_OR_RETURN(const auto columns_si, ReadColumns(request, plan, count));
  const std::vector<MapReader> readers = ReadersOf(choice.stages.front(), plan);
  RETURN_IF_ERROR(CheckQuantities(request, readers));
  ASSIGN_OR_RETURN(const PointFootings points, FootingsOf(readers, columns_si, count));

  response->set_effective_release(choice.release->digest);
  for (const document::Footing footing : points.footings) {
    response->add_footings(document::ToMessage(footing));
  }
  for (const std::string& name : request.quantities()) {
    if (stop && stop()) return absl::CancelledError("told to stop");
    v1::FigureColumn* column = response->add_figures();
    column->set_quantity(name);
    ASSIGN_OR_RETURN(*column->mutable_unit(), SiUnitOf(name));
    RETURN_IF_ERROR(AnswerColumn(readers, points, columns_si, request.with_uncertainty(),
                                 stop, column));
  }
  return absl::OkStatus();
}

}  // namespace ratebound::service
