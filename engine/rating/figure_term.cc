#include "engine/rating/figure_term.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/rating/units.h"

namespace ratebound::rating {
namespace {

const document::HeldCondition* FindHeld(const document::Mode& mode,
                                        const std::string& quantity) {
  for (const document::HeldCondition& held : mode.held_conditions) {
    if (held.quantity == quantity) return &held;
  }
  return nullptr;
}

}  // namespace

bool HasQuantity(const SourceDescription& description, const std::string& quantity) {
  const std::vector<std::string>& conditions = description.mode.conditions;
  return description.Find(quantity) >= 0 ||
         std::find(conditions.begin(), conditions.end(), quantity) != conditions.end() ||
         FindHeld(description.mode, quantity) != nullptr;
}

absl::StatusOr<RunQuantity> RunQuantity::Create(const CompileContext& context,
                                                const std::string& quantity,
                                                const std::string& input,
                                                const std::string& unit) {
  RunQuantity made;
  made.name_ = quantity.empty() ? input : quantity;
  made.unit_name_ = unit;
  ASSIGN_OR_RETURN(made.unit_, quantity::FindUnit(unit));
  made.is_si_ = made.unit_ == quantity::SiUnit(made.unit_.dimension);
  const document::Mode& mode = context.description.mode;
  made.constant_ = std::numeric_limits<double>::quiet_NaN();
  const auto condition =
      std::find(mode.conditions.begin(), mode.conditions.end(), quantity);
  if (!quantity.empty() && condition != mode.conditions.end()) {
    made.from_ = From::kCondition;
    made.index_ = static_cast<int>(condition - mode.conditions.begin());
    return made;
  }
  if (const document::HeldCondition* held = FindHeld(mode, quantity)) {
    made.constant_ = quantity::FromSi(held->value_si, made.unit_);
    made.constant_how_ = "held in the tests";
    return made;
  }
  const int index = quantity.empty() ? -1 : context.description.Find(quantity);
  if (index >= 0) {
    made.from_ = From::kFigure;
    made.index_ = index;
    if (input.empty() || context.inputs.Find(input) == nullptr) return made;
  } else if (input.empty()) {
    return absl::FailedPreconditionError(absl::StrCat(
        "the procedure needs ", quantity, ", which mode ", mode.id, " of unit ",
        context.description.unit.id, " neither measures nor depends on"));
  }
  ASSIGN_OR_RETURN(made.constant_,
                   context.inputs.ValueIn({.value = {}, .input = input}, unit));
  made.constant_how_ = absl::StrCat("input ", input, " of the manifest");
  return made;
}

double RunQuantity::In(std::span<const double> figures_si,
                       std::span<const double> conditions_si) const {
  if (from_ == From::kConstant) return constant_;
  const double value_si =
      from_ == From::kFigure ? figures_si[index_] : conditions_si[index_];
  if (from_ == From::kFigure && std::isnan(value_si)) return constant_;
  return is_si_ ? value_si : quantity::FromSi(value_si, unit_);
}

TraceNode RunQuantity::Trace(std::span<const double> figures_si,
                             std::span<const double> conditions_si) const {
  TraceNode node{.step = {.label = name_,
                          .value = In(figures_si, conditions_si),
                          .unit = unit_name_}};
  const bool measured = from_ == From::kFigure && !std::isnan(figures_si[index_]);
  if (measured) {
    node.step.how = "of the stage";
  } else if (from_ == From::kCondition) {
    node.step.how = "condition of the run";
  } else {
    node.step.how = constant_how_;
  }
  return node;
}

absl::StatusOr<Term> Term::Create(const CompileContext& context,
                                  const document::FigureTerm& term) {
  ASSIGN_OR_RETURN(RunQuantity quantity,
                   RunQuantity::Create(context, term.quantity, term.input, term.unit));
  ASSIGN_OR_RETURN(const double factor, context.inputs.ValueOf(term.factor));
  return Term(std::move(quantity), factor,
              NumberNode("factor", term.factor, context.inputs));
}

std::vector<TraceNode> Term::Trace(std::span<const double> figures_si,
                                   std::span<const double> conditions_si) const {
  return {quantity_.Trace(figures_si, conditions_si), factor_node_};
}

}  // namespace ratebound::rating
