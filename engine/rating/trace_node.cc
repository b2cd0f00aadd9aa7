#include "engine/rating/trace_node.h"

#include <string>
#include <utility>

#include "absl/strings/str_cat.h"

namespace ratebound::rating {
namespace {

void Append(const TraceNode& node, int depth, std::vector<document::TraceStep>& steps) {
  steps.push_back(node.step);
  steps.back().depth = depth;
  for (const TraceNode& input : node.inputs) Append(input, depth + 1, steps);
}

}  // namespace

std::vector<document::TraceStep> Flatten(const TraceNode& root) {
  std::vector<document::TraceStep> steps;
  Append(root, 0, steps);
  return steps;
}

TraceNode StatedNode(std::string label, const document::CitedValue& value) {
  return {.step = {.label = std::move(label),
                   .value = value.value,
                   .unit = value.unit,
                   .how = "stated by the procedure",
                   .clause = value.citation.source,
                   .basis = value.citation.basis}};
}

TraceNode NumberNode(std::string label, const document::CitedNumber& number,
                     const ProcedureInputs& inputs) {
  if (number.value) return StatedNode(std::move(label), *number.value);
  TraceNode node{
      .step = {.label = std::move(label),
               .how = absl::StrCat("input ", number.input, " of the manifest")}};
  if (const document::ProcedureInput* input = inputs.Find(number.input)) {
    node.step.value = input->value;
    node.step.unit = input->unit;
  }
  return node;
}

}  // namespace ratebound::rating
