// A quantity of a claim by what the release has surfaces of, as engine/claim/expression.h
// defines it and written apart from it.
//
// Example (energy_efficiency_ratio of a cooling mode):
//   ASSIGN_OR_RETURN(const ReadQuantity read, QuantityOf(inputs, map, claim.quantity));
//   // read.terms: total_capacity; read.over: power_input
//
// Errors: INVALID_ARGUMENT for one that cannot be made. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_QUANTITY_H_
#define RATEBOUND_ENGINE_RECHECK_QUANTITY_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/recheck/duties.h"

namespace ratebound::recheck {

// Terms and free part over `over`, a fitted quantity, or else over `over_factor`.
struct ReadQuantity {
  std::vector<FormulaTerm> terms;
  SpanPolynomial free;
  std::string over;
  SpanPolynomial over_factor;
};

absl::StatusOr<ReadQuantity> QuantityOf(const PromiseInputs& inputs,
                                        const document::StageMap& map,
                                        const std::string& quantity);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_QUANTITY_H_
