#include "engine/rating/weighted_total.h"

#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/rating/efficiency.h"

namespace ratebound::rating {

using document::Footing;

void WeightedPoint::RestsOn(FigureFooting run) {
  const Footing weaker = document::Weaker(footing.footing, run.footing);
  if (weaker != footing.footing) footing.reason = run.reason;
  footing.footing = weaker;
}

std::string FootingText(const std::string& point, const FigureFooting& footing) {
  std::string text =
      absl::StrCat(point.empty() ? "the rating point" : absl::StrCat("point ", point),
                   " is ", document::FootingName(footing.footing));
  if (!footing.reason.empty()) absl::StrAppend(&text, ": ", footing.reason);
  return text;
}

WeightedTotal::WeightedTotal(const document::Procedure& procedure)
    : procedure_(procedure), specific_power_(IsSpecificPower(procedure)) {}

void WeightedTotal::Add(WeightedPoint point) {
  const double weight = point.weight.value;
  sum_ += specific_power_ ? weight / point.figure : weight * point.figure;
  terms_.push_back(absl::StrCat(base::ShortestText(weight),
                                specific_power_ ? " / " : " x ", point.id));
  if (document::Weaker(footing_, point.footing.footing) != footing_) {
    footing_reason_ = FootingText(point.id, point.footing);
  }
  footing_ = document::Weaker(footing_, point.footing.footing);

  TraceNode node = std::move(point.trace);
  node.step.label = std::move(point.label);
  node.step.value = point.figure;
  node.step.unit = procedure_.metric_unit;
  node.step.footing = point.footing.footing;
  node.inputs.insert(node.inputs.begin(), StatedNode("weight", point.weight));
  inputs_.push_back(std::move(node));
}

Explanation WeightedTotal::Take() && {
  const std::string sum = absl::StrJoin(terms_, " + ");
  Explanation explanation;
  explanation.value = specific_power_ ? 1 / sum_ : sum_;
  explanation.footing = footing_;
  explanation.footing_reason = std::move(footing_reason_);
  explanation.trace = {
      .step = {.label = procedure_.metric,
               .value = explanation.value,
               .unit = procedure_.metric_unit,
               .how = specific_power_ ? absl::StrCat("1 / (", sum, ")") : sum,
               .clause = procedure_.aggregation_citation.source,
               .basis = procedure_.aggregation_citation.basis,
               .footing = footing_},
      .inputs = std::move(inputs_)};
  return explanation;
}

}  // namespace ratebound::rating
