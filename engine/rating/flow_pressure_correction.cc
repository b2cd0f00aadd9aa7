#include "engine/rating/flow_pressure_correction.h"

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::rating {
namespace {

std::string SignText(document::TermSign sign, const char* what) {
  switch (sign) {
    case document::TermSign::kAdded:
      return absl::StrCat("added to ", what);
    case document::TermSign::kSubtracted:
      return absl::StrCat("taken off ", what);
    case document::TermSign::kNone:
      break;
  }
  return absl::StrCat("left out of ", what);
}

}  // namespace

absl::StatusOr<FlowPressureTerm> FlowPressureTerm::Create(
    const CompileContext& context, const document::FlowPressureCorrection& correction) {
  ASSIGN_OR_RETURN(Term flow, Term::Create(context, correction.flow));
  ASSIGN_OR_RETURN(Term pressure, Term::Create(context, correction.pressure));
  FlowPressureTerm made(correction, std::move(flow), std::move(pressure));
  ASSIGN_OR_RETURN(made.divisor_, context.inputs.ValueOf(correction.divisor));
  if (!(made.divisor_ > 0)) {
    return absl::FailedPreconditionError(
        absl::StrCat("the divisor of ", correction.name, " must be above 0"));
  }
  made.constants_.push_back(NumberNode("divisor", correction.divisor, context.inputs));
  if (correction.capacity_factor) {
    ASSIGN_OR_RETURN(made.capacity_factor_,
                     context.inputs.ValueOf(*correction.capacity_factor));
    made.constants_.push_back(NumberNode("capacity of a unit of power",
                                         *correction.capacity_factor, context.inputs));
  }
  return made;
}

TraceNode FlowPressureTerm::Trace(std::span<const double> figures_si,
                                  std::span<const double> conditions_si,
                                  const std::string& power_unit) const {
  TraceNode node{.step = {.label = correction_.name,
                          .value = Power(figures_si, conditions_si),
                          .unit = power_unit,
                          .how = absl::StrCat("flow times pressure over divisor; ",
                                              SignText(in_power_, "power"), ", ",
                                              SignText(in_capacity_, "capacity")),
                          .clause = correction_.citation.source,
                          .basis = correction_.citation.basis}};
  for (const Term* term : {&flow_, &pressure_}) {
    for (TraceNode& input : term->Trace(figures_si, conditions_si)) {
      node.inputs.push_back(std::move(input));
    }
  }
  for (const TraceNode& constant : constants_) node.inputs.push_back(constant);
  return node;
}

}  // namespace ratebound::rating
