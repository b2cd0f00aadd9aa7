// Checks of what the forms of procedures take for granted, for procedures that did not
// come through the reader of files.
#ifndef RATEBOUND_ENGINE_RATING_CHECK_WEIGHTS_H_
#define RATEBOUND_ENGINE_RATING_CHECK_WEIGHTS_H_

#include <span>
#include <string>

#include "engine/base/fault.h"
#include "engine/document/procedure.h"

namespace ratebound::rating {

struct PointWeight {
  std::string id;
  double weight = 0;
};

// Weights above 0 that add up to weight_sum.
void CheckWeights(const document::Procedure& procedure, const std::string& field,
                  std::span<const PointWeight> weights, base::FaultList& faults);
// Unit constant and rounding step above 0.
void CheckConstants(const document::Procedure& procedure, base::FaultList& faults);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_CHECK_WEIGHTS_H_
