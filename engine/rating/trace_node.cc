#include "engine/rating/trace_node.h"

#include <string>
#include <utility>

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

}  // namespace ratebound::rating
