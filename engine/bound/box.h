// A box: the product of one closed interval for each variable, plain doubles.
//
// Example:
//   Box box{.lo = {-1, 0}, .hi = {1, 0.5}};
//   RETURN_IF_ERROR(CheckBox(box, 2));
#ifndef RATEBOUND_ENGINE_BOUND_BOX_H_
#define RATEBOUND_ENGINE_BOUND_BOX_H_

#include <vector>

#include "absl/status/status.h"

namespace ratebound::bound {

inline constexpr int kMostVariables = 8;

struct Box {
  std::vector<double> lo;
  std::vector<double> hi;

  int variables() const { return static_cast<int>(lo.size()); }
  friend bool operator==(const Box&, const Box&) = default;
};

// INVALID_ARGUMENT with every fault of the box: not `variables` sides (1 to
// kMostVariables), a side reversed, or an end that is not finite. A side of no width is
// fine.
absl::Status CheckBox(const Box& box, int variables);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_BOX_H_
