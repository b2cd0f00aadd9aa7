#include "engine/rating/inputs_asked.h"

#include <algorithm>
#include <variant>

#include "engine/rating/figure_term.h"
#include "engine/rating/season/season_facts.h"

namespace ratebound::rating {
namespace {

using document::CitedCondition;
using document::CitedNumber;
using document::FigureTerm;

class Asked {
 public:
  explicit Asked(const CompileContext& context) : context_(context) {}

  void Name(const std::string& name) {
    if (name.empty()) return;
    if (std::find(names_.begin(), names_.end(), name) == names_.end()) {
      names_.push_back(name);
    }
  }
  void Number(const CitedNumber& number) { Name(number.input); }
  void Term(const FigureTerm& term) {
    if (term.quantity.empty() || !HasQuantity(context_.description, term.quantity)) {
      Name(term.input);
    }
    Number(term.factor);
  }
  void Conditions(const std::vector<CitedCondition>& conditions) {
    for (const CitedCondition& condition : conditions) {
      if (!IsCondition(condition.quantity)) continue;
      Name(condition.input);
      if (condition.load_line) Name(condition.load_line->full_load_input);
    }
  }
  std::vector<std::string> Take() && { return std::move(names_); }

 private:
  bool IsCondition(const std::string& quantity) const {
    const document::Mode& mode = context_.description.mode;
    const bool fitted = std::find(mode.conditions.begin(), mode.conditions.end(),
                                  quantity) != mode.conditions.end();
    return fitted || std::any_of(mode.held_conditions.begin(), mode.held_conditions.end(),
                                 [&](const document::HeldCondition& held) {
                                   return held.quantity == quantity;
                                 });
  }

  const CompileContext& context_;
  std::vector<std::string> names_;
};

void Add(const document::OnePoint& form, Asked& asked) {
  for (const document::FlowPressureCorrection& correction : form.corrections) {
    asked.Term(correction.flow);
    asked.Term(correction.pressure);
    asked.Number(correction.divisor);
    if (correction.capacity_factor) asked.Number(*correction.capacity_factor);
  }
}

void Add(const document::WeightedConditions& form, const CompileContext& context,
         Asked& asked) {
  for (const document::ConditionPoint& point : form.points) {
    asked.Conditions(point.conditions);
  }
  if (form.target) {
    asked.Number(form.target->target);
    asked.Number(form.target->tolerance);
  }
  const bool mapped = context.description.Find(context.procedure.capacity_quantity) >= 0;
  if (form.air_side_moisture && !mapped) {
    asked.Term(form.air_side_moisture->flow);
    asked.Number(form.air_side_moisture->barometric_pressure);
  }
  for (const document::SupplyAirAddition& addition : form.supply_air_additions) {
    asked.Number(addition.limit);
    asked.Term(addition.flow);
    asked.Number(addition.coefficient_of_performance);
  }
}

void Add(const document::CompressorTable& form, Asked& asked) {
  if (!form.superheat) return;
  asked.Number(form.superheat->volumetric_factor);
  asked.Number(form.superheat->density_ratio);
  asked.Number(form.superheat->isentropic_work_ratio);
  if (form.superheat->enthalpy_difference_ratio) {
    asked.Number(*form.superheat->enthalpy_difference_ratio);
  }
}

}  // namespace

std::vector<std::string> InputsAsked(const CompileContext& context) {
  const document::Procedure& procedure = context.procedure;
  Asked asked(context);
  asked.Conditions(procedure.common_conditions);
  for (const document::LoadPoint& point : procedure.load_points) {
    asked.Conditions(point.conditions);
  }
  if (procedure.part_load) {
    asked.Conditions(procedure.part_load->load_lines);
    asked.Name(procedure.part_load->full_load_input);
    if (procedure.part_load->cycling_coefficient) {
      asked.Number(*procedure.part_load->cycling_coefficient);
    }
  }
  for (const document::AddedPower& added : procedure.added_powers) {
    asked.Name(added.input);
    asked.Name(added.cycling_part_input);
  }
  if (const auto* one_point = std::get_if<document::OnePoint>(&procedure.form)) {
    Add(*one_point, asked);
  } else if (const auto* weighted =
                 std::get_if<document::WeightedConditions>(&procedure.form)) {
    Add(*weighted, context, asked);
  } else if (const auto* table =
                 std::get_if<document::CompressorTable>(&procedure.form)) {
    Add(*table, asked);
  } else if (const auto* season = std::get_if<document::BinSeason>(&procedure.form)) {
    for (const document::SeasonTest& test : season->tests) {
      asked.Conditions(test.conditions);
    }
    ForEachSeasonInput(*season, [&](const std::string& name) { asked.Name(name); });
  }
  return std::move(asked).Take();
}

}  // namespace ratebound::rating
