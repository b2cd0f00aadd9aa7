#include "engine/rating/metric.h"

#include <algorithm>
#include <variant>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/rating/efficiency.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/rounding.h"
#include "engine/rating/scope.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {
namespace {

class Quantities {
 public:
  void Add(const std::string& name) {
    if (name.empty()) return;
    if (std::find(names_.begin(), names_.end(), name) == names_.end()) {
      names_.push_back(name);
    }
  }
  void Add(const document::HumidityTerm& term) {
    Add(term.quantity);
    Add(term.dry_bulb_quantity);
  }
  std::vector<std::string> Take() && { return std::move(names_); }

 private:
  std::vector<std::string> names_;
};

void AddOf(const document::WeightedConditions& form, Quantities& quantities) {
  if (form.target) quantities.Add(form.target->quantity);
  if (form.air_side_moisture) {
    quantities.Add(form.air_side_moisture->flow.quantity);
    quantities.Add(form.air_side_moisture->entering);
    quantities.Add(form.air_side_moisture->leaving);
  }
  for (const document::SupplyAirAddition& addition : form.supply_air_additions) {
    quantities.Add(addition.quantity);
    quantities.Add(addition.flow.quantity);
  }
}

}  // namespace

std::vector<std::string> QuantitiesOf(const document::Procedure& procedure) {
  Quantities quantities;
  quantities.Add(procedure.capacity_quantity);
  quantities.Add(procedure.power_quantity);
  if (procedure.part_load) {
    for (const std::string& power : procedure.part_load->continuous_powers) {
      const bool is_added = std::any_of(
          procedure.added_powers.begin(), procedure.added_powers.end(),
          [&](const document::AddedPower& added) { return added.name == power; });
      if (!is_added) quantities.Add(power);
    }
  }
  if (const auto* one_point = std::get_if<document::OnePoint>(&procedure.form)) {
    for (const document::FlowPressureCorrection& correction : one_point->corrections) {
      quantities.Add(correction.flow.quantity);
      quantities.Add(correction.pressure.quantity);
    }
  } else if (const auto* weighted =
                 std::get_if<document::WeightedConditions>(&procedure.form)) {
    AddOf(*weighted, quantities);
  } else if (const auto* table =
                 std::get_if<document::CompressorTable>(&procedure.form)) {
    for (const document::TabulatedQuantity& tabulated : table->tabulated) {
      quantities.Add(tabulated.quantity);
    }
  }
  return std::move(quantities).Take();
}

absl::StatusOr<Metric> Metric::Compile(const document::Procedure& procedure,
                                       const SourceDescription& description) {
  if (description.quantities.size() > kMostQuantities) {
    return absl::InvalidArgumentError(
        absl::StrCat("a source has at most ", kMostQuantities, " quantities"));
  }
  auto context = std::make_shared<const CompileContext>(procedure, description);
  RETURN_IF_ERROR(CheckScope(context->procedure, context->description));
  ASSIGN_OR_RETURN(std::unique_ptr<MetricForm> form, CompileForm(*context));
  return Metric(std::move(context), std::move(form));
}

const document::Procedure& Metric::procedure() const { return context_->procedure; }
const SourceDescription& Metric::description() const { return context_->description; }
bool Metric::less_is_better() const { return IsSpecificPower(context_->procedure); }

double Metric::Value(const FigureSource& source) const { return form_->Value(source); }

absl::StatusOr<document::Rating> Metric::Explain(const FigureSource& source) const {
  const document::Procedure& procedure = context_->procedure;
  document::Rating rating{
      .unit = context_->description.unit.id,
      .procedure = procedure.id,
      .edition = absl::StrCat(procedure.document, " ", procedure.edition),
      .metric = procedure.metric,
      .metric_unit = procedure.metric_unit};
  absl::StatusOr<Explanation> explained = form_->Explain(source);
  if (absl::IsFailedPrecondition(explained.status())) {
    rating.refusal = std::string(explained.status().message());
    return rating;
  }
  RETURN_IF_ERROR(explained.status());
  rating.value = explained->value;
  rating.rounded = RoundedText(explained->value, procedure.rounding_step.value);
  rating.footing = explained->footing;
  rating.trace = Flatten(explained->trace);
  rating.notes = std::move(explained->notes);
  rating.coefficient_sets = std::move(explained->coefficient_sets);
  rating.bins = std::move(explained->bins);
  const bool shown = rating.footing <= document::Footing::kInterpolated;
  if (!shown) rating.notes.push_back(explained->footing_reason);
  return rating;
}

}  // namespace ratebound::rating
