// The range of one polynomial over many parts of one box: the work that depends on the
// polynomial alone is done once.
//
// Example:
//   ASSIGN_OR_RETURN(RangeBounder bounder, RangeBounder::Create(leverage, region));
//   Interval range = bounder.Range(part);     // part inside region
//
// Method and proof: bernstein.h. A part is carried into the unit coordinates of the whole
// box, its ends rounded outward by more than the two operations can lose.
//
// Thread-safety: not thread-safe; holds buffers.
#ifndef RATEBOUND_ENGINE_BOUND_RANGE_BOUNDER_H_
#define RATEBOUND_ENGINE_BOUND_RANGE_BOUNDER_H_

#include <memory>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/interval.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

class RangeBounder {
 public:
  // INVALID_ARGUMENT as EncloseRange.
  static absl::StatusOr<RangeBounder> Create(const Polynomial& polynomial,
                                             const Box& whole);
  RangeBounder(RangeBounder&&) noexcept;
  RangeBounder& operator=(RangeBounder&&) noexcept;
  ~RangeBounder();

  // Holds every value over `part`, of every member of the family. `part` must be a box
  // inside the whole one (rounding of its ends apart); for any other it says nothing and
  // returns all numbers.
  Interval Range(const Box& part);

 private:
  struct State;
  explicit RangeBounder(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_RANGE_BOUNDER_H_
