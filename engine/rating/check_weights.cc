#include "engine/rating/check_weights.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::rating {

void CheckWeights(const document::Procedure& procedure, const std::string& field,
                  std::span<const PointWeight> weights, base::FaultList& faults) {
  double weight_sum = 0;
  for (const PointWeight& point : weights) {
    weight_sum += point.weight;
    if (point.weight > 0) continue;
    faults.Add({.file = procedure.id,
                .field = field,
                .message = absl::StrCat("weight of ", point.id, " is not above 0")});
  }
  // Weights have a few decimals; what is left is the rounding of their sum.
  constexpr double kRounding = 1e-9;
  if (std::fabs(weight_sum - procedure.weight_sum) <= kRounding) return;
  faults.Add(
      {.file = procedure.id,
       .field = "weight_sum",
       .message = absl::StrCat("the weights add up to ", base::ShortestText(weight_sum),
                               ", not ", base::ShortestText(procedure.weight_sum))});
}

void CheckConstants(const document::Procedure& procedure, base::FaultList& faults) {
  if (!(procedure.unit_constant.value > 0)) {
    faults.Add(
        {.file = procedure.id, .field = "unit_constant", .message = "is not above 0"});
  }
  if (!(procedure.rounding_step.value > 0)) {
    faults.Add(
        {.file = procedure.id, .field = "rounding_step", .message = "is not above 0"});
  }
}

}  // namespace ratebound::rating
