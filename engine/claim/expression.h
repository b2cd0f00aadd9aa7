// A quantity of a claim as what maps carry: a sum of fitted quantities, each with a
// factor that is a polynomial of the conditions, over a denominator that is positive.
//
// Example (leaving_water_temp in cooling, V the water flow):
//   (entering * r V + total_capacity + power_input) / (r V)    with r = density * heat
// so that "at most L" is a claim on a polynomial once V is a condition:
//   (L - entering) r V - total_capacity - power_input >= 0.
//
// What is known:
//   a condition or held condition       itself, exact
//   a quantity with a surface           itself
//   coefficient_of_performance, energy_efficiency_ratio     capacity / power
//   sensible_heat_ratio                 sensible_capacity / total_capacity
//   heat_rejection, heat_absorbed       capacity + power, capacity - power
//   leaving_water_temp, leaving_condenser_water_temp, water_temperature_difference
//                                       as above, by the balance of map/stage_model.h
// A quantity with a surface of its own is taken from that, whatever it could be derived
// from.
//
// Errors: INVALID_ARGUMENT for a quantity that cannot be made.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_EXPRESSION_H_
#define RATEBOUND_ENGINE_CLAIM_EXPRESSION_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/polynomial.h"
#include "engine/claim/frame.h"
#include "engine/document/line.h"
#include "engine/document/map.h"

namespace ratebound::claim {

// A polynomial of the conditions, or a plain number, which keeps its bits.
struct Factor {
  double number = 0;
  bool is_number = true;
  bound::Polynomial polynomial;  // where it is no number

  static Factor Number(double value) { return {.number = value}; }
  absl::StatusOr<bound::Polynomial> As(int variables) const;
  // Sums and products of two.
  static absl::StatusOr<Factor> Plus(const Factor& a, const Factor& b);
  static absl::StatusOr<Factor> Times(const Factor& a, const Factor& b);
};

struct ExpressionTerm {
  std::string quantity;  // one that has a surface
  Factor factor;
};

struct Expression {
  std::vector<ExpressionTerm> terms;
  Factor free = Factor::Number(0);  // of the conditions alone
  // The denominator: a quantity with a surface, or else a factor.
  std::string over;
  Factor over_factor = Factor::Number(1);
};

absl::StatusOr<Expression> MakeExpression(const std::string& quantity,
                                          const document::Mode& mode,
                                          const document::StageMap& map,
                                          const Frame& frame);

// The fitted quantities that it rests on, each once.
std::vector<std::string> RestsOn(const Expression& expression);

// The proof surface of a quantity; null where the map has none.
const document::Surface* FindProofSurface(const document::StageMap& map,
                                          const std::string& quantity);

bool IsEfficiency(const std::string& quantity);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_EXPRESSION_H_
