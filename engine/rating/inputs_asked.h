// Which of a procedure's required inputs a unit must give. Private to engine/rating.
#ifndef RATEBOUND_ENGINE_RATING_INPUTS_ASKED_H_
#define RATEBOUND_ENGINE_RATING_INPUTS_ASKED_H_

#include <string>
#include <vector>

#include "engine/rating/metric_form.h"

namespace ratebound::rating {

// In the order in which the procedure comes upon them, each once. Inputs that stand in
// for what the unit's map has, or that are for conditions it does not depend on, are not
// asked; those of a cycling stage only where one cycles, and so not here.
std::vector<std::string> InputsAsked(const CompileContext& context);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_INPUTS_ASKED_H_
