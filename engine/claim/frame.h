// Scaled conditions z = (x - centre) / half_range that polynomials of several surfaces
// are brought to, so that one proof can hold them all.
//
// Example:
//   const Frame frame = FrameOf(first_stage_surface);
//   ASSIGN_OR_RETURN(Polynomial other, ValueIn(frame, second_stage_surface));
//
// A surface in another frame is a substitution of z' = a z + b into its monomials with
// tracked rounding: what the exact substitution gives is a member of the result's family
// (engine/bound/polynomial.h). In the surface's own frame nothing is computed.
// Errors: INVALID_ARGUMENT for frames of unlike size or a degree that is too high.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_FRAME_H_
#define RATEBOUND_ENGINE_CLAIM_FRAME_H_

#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/polynomial.h"
#include "engine/document/map.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

struct Frame {
  std::vector<double> centre_si;
  std::vector<double> half_range_si;

  int variables() const { return static_cast<int>(centre_si.size()); }
  friend bool operator==(const Frame&, const Frame&) = default;
};

Frame FrameOf(const document::Surface& surface);

// Value and quadratic form of a surface (map/surface_polynomials.h) in another frame.
absl::StatusOr<bound::Polynomial> ValueIn(const Frame& frame,
                                          const document::Surface& surface);
absl::StatusOr<bound::Polynomial> FormIn(const Frame& frame,
                                         const document::Surface& surface,
                                         const std::vector<double>& lower_triangle);

// A condition itself, in SI.
absl::StatusOr<bound::Polynomial> ConditionIn(const Frame& frame, int condition);

// Not negative just where the half-space holds.
absl::StatusOr<bound::Polynomial> CutIn(const Frame& frame,
                                        const document::HalfSpace& half_space);

// A box in z that holds the given one, and a point in z as conditions in SI.
bound::Box BoxIn(const Frame& frame, const document::ConditionBox& box);
std::vector<double> PointOf(const Frame& frame, const std::vector<double>& z);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_FRAME_H_
