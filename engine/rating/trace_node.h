// A trace while it is built: a value with what it was computed from below it.
#ifndef RATEBOUND_ENGINE_RATING_TRACE_NODE_H_
#define RATEBOUND_ENGINE_RATING_TRACE_NODE_H_

#include <vector>

#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/procedure_inputs.h"

namespace ratebound::rating {

struct TraceNode {
  document::TraceStep step;  // depth is filled by Flatten
  std::vector<TraceNode> inputs;
};

// The node, then its inputs one deeper, and so on.
std::vector<document::TraceStep> Flatten(const TraceNode& root);

// A node for a number that the procedure states.
TraceNode StatedNode(std::string label, const document::CitedValue& value);
// A node for a number that the procedure states or asks for.
TraceNode NumberNode(std::string label, const document::CitedNumber& number,
                     const ProcedureInputs& inputs);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_TRACE_NODE_H_
