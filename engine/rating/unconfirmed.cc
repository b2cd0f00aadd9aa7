#include "engine/rating/unconfirmed.h"

#include <variant>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/rating/season/season_facts.h"

namespace ratebound::rating {
namespace {

using document::Basis;
using document::Citation;
using document::CitedCondition;
using document::CitedNumber;
using document::CitedValue;

class Collector {
 public:
  void Add(const std::string& fact, const Citation& citation) {
    if (citation.basis == Basis::kPublishedText) return;
    std::string basis = document::BasisName(citation.basis);
    if (basis.empty()) basis = "no basis given";
    lines_.push_back(absl::StrCat(fact, " (", citation.source, ": ", basis, ")"));
  }

  void Add(const std::string& name, const CitedValue& value) {
    Add(absl::StrCat(name, " = ", base::ShortestText(value.value),
                     value.unit.empty() ? "" : " ", value.unit),
        value.citation);
  }

  void Add(const std::string& place, const CitedCondition& condition) {
    const std::string name = absl::StrCat(condition.quantity, " ", place);
    if (condition.value) Add(name, *condition.value);
    if (!condition.load_line) return;
    const document::LoadLine& line = *condition.load_line;
    const std::string slope =
        line.full_load_input.empty()
            ? absl::StrCat(base::ShortestText(line.slope_per_percent), " x load + ",
                           base::ShortestText(line.intercept))
            : absl::StrCat("straight from ", line.full_load_input, " at 100 %");
    Add(absl::StrCat(name, " = ", slope, " above ", base::ShortestText(line.percent_low),
                     " % load, ", base::ShortestText(line.constant), " below, ",
                     line.unit),
        line.citation);
  }

  void Add(const std::string& name, const CitedNumber& number) {
    if (number.value) Add(name, *number.value);
  }

  void Add(const std::string& name, const document::FigureTerm& term) {
    Add(absl::StrCat("factor of ", term.quantity.empty() ? term.input : term.quantity,
                     " in ", name),
        term.factor);
  }

  std::vector<std::string> Take() && { return std::move(lines_); }

 private:
  std::vector<std::string> lines_;
};

void AddPartLoad(const document::PartLoad& part_load, Collector& facts) {
  facts.Add("window around a load", part_load.window_percent);
  facts.Add("how bracketing stages are run and interpolated", part_load.bracket_citation);
  for (const CitedCondition& condition : part_load.load_lines) {
    facts.Add("at a stage's own load", condition);
  }
  if (part_load.Cycling() == document::CyclingRule::kCoefficientLine) {
    facts.Add("degradation slope", part_load.degradation_slope);
    facts.Add("degradation intercept", part_load.degradation_intercept);
  } else if (part_load.cycling_coefficient) {
    facts.Add("cycling coefficient", *part_load.cycling_coefficient);
  }
  facts.Add("how the lowest stage cycles", part_load.cycling_citation);
}

void AddForm(const document::OnePoint& form, Collector& facts) {
  facts.Add("rule for the rating point", form.citation);
  for (const document::FlowPressureCorrection& correction : form.corrections) {
    facts.Add(correction.name, correction.citation);
    facts.Add(correction.name, correction.flow);
    facts.Add(correction.name, correction.pressure);
    facts.Add(absl::StrCat("divisor of ", correction.name), correction.divisor);
    if (correction.capacity_factor) {
      facts.Add(absl::StrCat("capacity factor of ", correction.name),
                *correction.capacity_factor);
    }
  }
}

void AddForm(const document::WeightedConditions& form, Collector& facts) {
  facts.Add("rules for the points", form.citation);
  for (const document::ConditionPoint& point : form.points) {
    facts.Add(absl::StrCat("weight of point ", point.id), point.weight);
    for (const CitedCondition& condition : point.conditions) {
      facts.Add(absl::StrCat("of point ", point.id), condition);
    }
  }
  if (form.target) {
    facts.Add("how stages are mixed", form.target->citation);
    facts.Add(absl::StrCat("target of ", form.target->quantity), form.target->target);
    facts.Add(absl::StrCat("tolerance of ", form.target->quantity),
              form.target->tolerance);
  }
  if (form.air_side_moisture) {
    facts.Add("moisture removal by the air side", form.air_side_moisture->citation);
    facts.Add("moisture removal", form.air_side_moisture->flow);
    facts.Add("barometric pressure", form.air_side_moisture->barometric_pressure);
  }
  for (const document::SupplyAirAddition& addition : form.supply_air_additions) {
    facts.Add(addition.name, addition.citation);
    facts.Add(absl::StrCat("limit of ", addition.name), addition.limit);
    facts.Add(addition.name, addition.flow);
    facts.Add(absl::StrCat("coefficient of performance of ", addition.name),
              addition.coefficient_of_performance);
  }
}

void AddForm(const document::CompressorTable& form, Collector& facts) {
  facts.Add("form of the ten coefficients", form.citation);
  if (!form.superheat) return;
  const document::SuperheatCorrection& superheat = *form.superheat;
  facts.Add("superheat correction", superheat.citation);
  facts.Add("volumetric factor", superheat.volumetric_factor);
  facts.Add("density ratio", superheat.density_ratio);
  facts.Add("isentropic work ratio", superheat.isentropic_work_ratio);
  if (superheat.enthalpy_difference_ratio) {
    facts.Add("enthalpy difference ratio", *superheat.enthalpy_difference_ratio);
  }
}

void AddForm(const document::BinSeason& form, Collector& facts) {
  AddSeasonFacts(form, facts);
}

void AddForm(std::monostate, Collector&) {}

}  // namespace

std::vector<std::string> UnconfirmedNumbers(const document::Procedure& procedure) {
  Collector facts;
  const document::Scope& scope = procedure.scope;
  facts.Add("scope", scope.citation);
  if (scope.capacity_low) facts.Add("least nominal capacity", *scope.capacity_low);
  if (scope.capacity_high) facts.Add("nominal capacity below", *scope.capacity_high);
  facts.Add("capacity basis", procedure.capacity_basis.citation);
  for (const CitedCondition& condition : procedure.common_conditions) {
    facts.Add("of all points", condition);
  }
  for (const document::LoadPoint& point : procedure.load_points) {
    facts.Add(absl::StrCat("percent load of point ", point.id), point.percent_load);
    facts.Add(absl::StrCat("weight of point ", point.id), point.weight);
    for (const CitedCondition& condition : point.conditions) {
      facts.Add(absl::StrCat("of point ", point.id), condition);
    }
  }
  if (procedure.part_load) AddPartLoad(*procedure.part_load, facts);
  std::visit([&](const auto& form) { AddForm(form, facts); }, procedure.form);
  for (const document::AddedPower& power : procedure.added_powers) {
    facts.Add(power.name, power.citation);
  }
  const bool weighted =
      std::holds_alternative<std::monostate>(procedure.form) ||
      std::holds_alternative<document::WeightedConditions>(procedure.form);
  if (weighted) facts.Add("aggregation", procedure.aggregation_citation);
  facts.Add("unit constant", procedure.unit_constant);
  facts.Add("rounding step", procedure.rounding_step);
  return std::move(facts).Take();
}

}  // namespace ratebound::rating
