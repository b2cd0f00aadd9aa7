#include "engine/rating/compressor_form.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/quantity/vocabulary.h"
#include "engine/rating/check_weights.h"
#include "engine/rating/largest_stage.h"
#include "engine/rating/missing.h"
#include "engine/rating/ten_coefficients.h"
#include "engine/rating/units.h"
#include "engine/rating/weighted_total.h"

namespace ratebound::rating {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr int kPoint = 0;
// Places along each temperature at which coefficients are compared with the map.
constexpr int kCompared = 9;

}  // namespace

absl::StatusOr<std::unique_ptr<MetricForm>> CompressorForm::Create(
    const CompileContext& context) {
  base::FaultList faults;
  CheckConstants(context.procedure, faults);
  RETURN_IF_ERROR(faults.ToStatus());
  const auto& table = std::get<document::CompressorTable>(context.procedure.form);
  std::vector<PointConditions> points(1);
  ASSIGN_OR_RETURN(ConditionPlan plan,
                   ConditionPlan::Create(context.procedure, context.description,
                                         context.inputs, std::move(points)));
  ASSIGN_OR_RETURN(StageReader reader, StageReader::Create(context));
  auto form = std::unique_ptr<CompressorForm>(
      new CompressorForm(context, table, std::move(plan), std::move(reader)));
  const std::vector<std::string>& conditions = context.description.mode.conditions;
  for (const auto& [quantity, index] :
       {std::pair(table.evaporating_quantity, &form->evaporating_),
        std::pair(table.condensing_quantity, &form->condensing_)}) {
    const auto found = std::find(conditions.begin(), conditions.end(), quantity);
    if (found == conditions.end()) {
      return absl::FailedPreconditionError(
          absl::StrCat("the procedure tabulates over ", quantity, ", which mode ",
                       context.description.mode.id, " of unit ",
                       context.description.unit.id, " is not mapped over"));
    }
    *index = static_cast<int>(found - conditions.begin());
  }
  RETURN_IF_ERROR(form->AddSuperheat());
  return form;
}

absl::Status CompressorForm::AddSuperheat() {
  if (!table_.superheat) return absl::OkStatus();
  const document::SuperheatCorrection& rule = *table_.superheat;
  const ProcedureInputs& inputs = context_.inputs;
  ASSIGN_OR_RETURN(const double factor, inputs.ValueOf(rule.volumetric_factor));
  ASSIGN_OR_RETURN(const double density, inputs.ValueOf(rule.density_ratio));
  ASSIGN_OR_RETURN(const double work, inputs.ValueOf(rule.isentropic_work_ratio));
  const double flow_ratio = SuperheatFlowRatio(factor, density);
  power_ratio_ = SuperheatPowerRatio(flow_ratio, work);
  capacity_ratio_ = flow_ratio;
  TraceNode flow{.step = {.label = "flow at the new superheat over that at the old",
                          .value = flow_ratio,
                          .how = "1 + volumetric factor x (density ratio - 1)",
                          .clause = rule.citation.source,
                          .basis = rule.citation.basis}};
  flow.inputs = {NumberNode("volumetric factor", rule.volumetric_factor, inputs),
                 NumberNode("density ratio", rule.density_ratio, inputs),
                 NumberNode("isentropic work ratio", rule.isentropic_work_ratio, inputs)};
  ASSIGN_OR_RETURN(const quantity::Quantity* rated,
                   quantity::FindQuantity(context_.procedure.capacity_quantity));
  if (rated->dimension != quantity::Dimension::kMassFlow) {
    if (!rule.enthalpy_difference_ratio) {
      return absl::InvalidArgumentError(absl::StrCat(
          "procedure ", context_.procedure.id,
          ": superheat.enthalpy_difference_ratio is missing for a rated heat"));
    }
    ASSIGN_OR_RETURN(const double enthalpy,
                     inputs.ValueOf(*rule.enthalpy_difference_ratio));
    capacity_ratio_ *= enthalpy;
    flow.inputs.push_back(
        NumberNode("enthalpy difference ratio", *rule.enthalpy_difference_ratio, inputs));
  }
  superheat_trace_.push_back(std::move(flow));
  if (capacity_ratio_ > 0 && power_ratio_ > 0) return absl::OkStatus();
  return absl::FailedPreconditionError(
      "the superheat ratios leave no capacity or power; each is new over old");
}

double CompressorForm::FigureOf(const StageRun& run) const {
  return reader_.FigureOf(capacity_ratio_ * run.capacity_si, power_ratio_ * run.power_w);
}

double CompressorForm::Value(const FigureSource& source) const {
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) return kNone;
  return FigureOf(run);
}

void CompressorForm::AddCoefficients(const FigureSource& source,
                                     Explanation& explanation) const {
  const absl::StatusOr<quantity::Unit> temperature =
      UnitOf(table_.evaporating_quantity, table_.temperature_unit);
  const std::span<const double> at_si = plan_.ValuesSi(kPoint);
  std::vector<double> conditions_si(at_si.begin(), at_si.end());
  std::vector<double> figures_si(context_.description.quantities.size());
  for (int stage = 0; stage < reader_.stage_count(); ++stage) {
    const std::optional<TestedRange> s = source.RangeOf(stage, evaporating_);
    const std::optional<TestedRange> d = source.RangeOf(stage, condensing_);
    for (const document::TabulatedQuantity& tabulated : table_.tabulated) {
      const std::string of =
          absl::StrCat(tabulated.quantity, " of stage ", reader_.StageId(stage));
      const absl::StatusOr<quantity::Unit> unit =
          UnitOf(tabulated.quantity, tabulated.unit);
      const int index = context_.description.Find(tabulated.quantity);
      if (index < 0 || !s || !d || !unit.ok() || !temperature.ok()) {
        explanation.notes.push_back(absl::StrCat(
            "no coefficients for ", of, ": it is not mapped over a known range"));
        continue;
      }
      const auto value = [&](double evaporating, double condensing) {
        conditions_si[evaporating_] = quantity::ToSi(evaporating, *temperature);
        conditions_si[condensing_] = quantity::ToSi(condensing, *temperature);
        if (!source.Figures(stage, conditions_si, figures_si)) return kNone;
        return quantity::FromSi(figures_si[index], *unit);
      };
      document::CoefficientSet set{
          .stage = reader_.StageId(stage),
          .quantity = tabulated.quantity,
          .unit = tabulated.unit,
          .temperature_unit = table_.temperature_unit,
          .coefficients = {},
          .evaporating_low = quantity::FromSi(s->low_si, *temperature),
          .evaporating_high = quantity::FromSi(s->high_si, *temperature),
          .condensing_low = quantity::FromSi(d->low_si, *temperature),
          .condensing_high = quantity::FromSi(d->high_si, *temperature)};
      const std::optional<TenCoefficients> coefficients =
          TenCoefficientsOf(value, set.evaporating_low, set.evaporating_high,
                            set.condensing_low, set.condensing_high);
      if (!coefficients) {
        explanation.notes.push_back(absl::StrCat(
            "no coefficients for ", of,
            ": it has no value somewhere in its tested range, or one temperature alone"));
        continue;
      }
      for (int i = 0; i < kCompared; ++i) {
        for (int j = 0; j < kCompared; ++j) {
          const auto at = [](double low, double high, int k) {
            return low + (high - low) * k / (kCompared - 1);
          };
          const double evaporating = at(set.evaporating_low, set.evaporating_high, i);
          const double condensing = at(set.condensing_low, set.condensing_high, j);
          const double mapped = value(evaporating, condensing);
          const double off = std::fabs(
              TenCoefficientValue(*coefficients, evaporating, condensing) / mapped - 1);
          set.greatest_deviation_fraction =
              std::max(set.greatest_deviation_fraction, off);
        }
      }
      set.coefficients.assign(coefficients->begin(), coefficients->end());
      explanation.coefficient_sets.push_back(std::move(set));
    }
  }
}

absl::StatusOr<Explanation> CompressorForm::Explain(const FigureSource& source) const {
  const std::span<const double> conditions_si = plan_.ValuesSi(kPoint);
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) {
    if (failed < 0) return absl::FailedPreconditionError("the mode has no stages");
    return reader_.WhyNot(source, failed, conditions_si, plan_.Trace(kPoint));
  }
  const FigureFooting footing = source.Footing(run.stage, conditions_si);
  Explanation explanation;
  explanation.value = FigureOf(run);
  explanation.footing = footing.footing;
  explanation.footing_reason = FootingText("", footing);
  explanation.notes = plan_.Notes();
  explanation.trace = {.step = {.label = context_.procedure.metric,
                                .value = explanation.value,
                                .unit = context_.procedure.metric_unit,
                                .how = "capacity over power",
                                .clause = table_.citation.source,
                                .basis = table_.citation.basis,
                                .footing = footing.footing},
                       .inputs = superheat_trace_};
  if (table_.superheat) {
    explanation.trace.inputs.push_back(
        reader_.CapacityNode("capacity, corrected", capacity_ratio_ * run.capacity_si));
    explanation.trace.inputs.push_back(
        reader_.PowerNode("power, corrected", power_ratio_ * run.power_w));
    explanation.notes.push_back(
        "coefficients are at the superheat of the tests, the rating at the corrected "
        "one");
  }
  explanation.trace.inputs.push_back(reader_.Trace(
      source, run, conditions_si, plan_.Trace(kPoint), "stage of the largest capacity"));
  AddCoefficients(source, explanation);
  return explanation;
}

void CompressorForm::FindMissing(const FigureSource& source, MissingData& missing) const {
  MissingSearch search(context_, source, missing);
  const std::span<const double> conditions_si = plan_.ValuesSi(kPoint);
  std::vector<std::string> needed = {context_.procedure.capacity_quantity,
                                     context_.procedure.power_quantity};
  for (const document::TabulatedQuantity& tabulated : table_.tabulated) {
    if (std::find(needed.begin(), needed.end(), tabulated.quantity) == needed.end()) {
      needed.push_back(tabulated.quantity);
    }
  }
  for (int stage = 0; stage < reader_.stage_count(); ++stage) {
    search.LookForFigures(plan_.point(kPoint), stage, conditions_si, needed);
  }
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) return;
  search.LookAtFooting(plan_.point(kPoint), run.stage, conditions_si);
}

}  // namespace ratebound::rating
