#include "engine/rating/supply_air_addition.h"

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::rating {

absl::StatusOr<SupplyAirTerm> SupplyAirTerm::Create(
    const CompileContext& context, const document::SupplyAirAddition& addition) {
  ASSIGN_OR_RETURN(RunQuantity supply, RunQuantity::Create(context, addition.quantity, "",
                                                           addition.limit_unit));
  ASSIGN_OR_RETURN(Term flow, Term::Create(context, addition.flow));
  SupplyAirTerm made(addition, std::move(supply), std::move(flow));
  ASSIGN_OR_RETURN(made.heat_unit_,
                   quantity::FindUnit(addition.heat_unit, quantity::Dimension::kPower));
  ASSIGN_OR_RETURN(made.limit_,
                   context.inputs.ValueIn(addition.limit, addition.limit_unit));
  ASSIGN_OR_RETURN(made.coefficient_of_performance_,
                   context.inputs.ValueOf(addition.coefficient_of_performance));
  if (!(made.coefficient_of_performance_ > 0)) {
    return absl::FailedPreconditionError(absl::StrCat(
        "the coefficient of performance of ", addition.name, " must be ", "above 0"));
  }
  made.constants_ = {NumberNode("limit", addition.limit, context.inputs),
                     NumberNode("coefficient of performance",
                                addition.coefficient_of_performance, context.inputs)};
  return made;
}

TraceNode SupplyAirTerm::Trace(std::span<const double> figures_si,
                               std::span<const double> conditions_si) const {
  TraceNode node{.step = {.label = rule_.name,
                          .value = HeatW(figures_si, conditions_si),
                          .unit = "W",
                          .how = rule_.wrong_side == document::LimitSide::kBelow
                                     ? "what the supply air lacks to the limit"
                                     : "what the supply air exceeds the limit by",
                          .clause = rule_.citation.source,
                          .basis = rule_.citation.basis}};
  node.inputs.push_back(supply_.Trace(figures_si, conditions_si));
  for (TraceNode& input : flow_.Trace(figures_si, conditions_si)) {
    node.inputs.push_back(std::move(input));
  }
  for (const TraceNode& constant : constants_) node.inputs.push_back(constant);
  return node;
}

}  // namespace ratebound::rating
