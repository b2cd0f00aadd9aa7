// A shape fact of a surface as linear inequalities on its coefficients.
//
// The margin of a fact (a value, a slope, a difference) is a polynomial that is linear in
// the coefficients of the surface. It is nowhere negative over a box where its Bernstein
// coefficients there are not (Cargo and Shisha, J. Research NBS 70B (1966) 79), and each
// of these is linear in the coefficients, too: so finitely many inequalities are enough
// for all points of the box. They ask for more than needed where a condition has power
// two and more; dividing the ranges of such conditions into parts lessens that,
// quadratically in the parts. Up to power one in each condition they are exact.
//
// Example (the value over [-1, 1] for the terms 1, z, z^2):
//   BernsteinRows({.variables = 1, .exponents = {0, 1, 2}}, box, 1)
//   // rows 1 -1 1, 1 0 -1, 1 1 1: the coefficients of 1, z, z^2 at degree 2
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_SHAPE_ROWS_H_
#define RATEBOUND_ENGINE_MAP_SHAPE_ROWS_H_

#include <cstdint>
#include <span>
#include <vector>

#include "engine/bound/box.h"

namespace ratebound::map {

// The polynomial sum_t b_t z^exponents(t), or its derivative.
struct LinearMargin {
  int variables = 0;
  std::span<const int> exponents;  // term by term
  int derivative = -1;             // by this variable; -1: the value
};

// How many rows BernsteinRows gives.
int64_t CountBernsteinRows(const LinearMargin& margin, int parts);

// One row for each Bernstein coefficient over each part of the box (coefficients that
// neighbouring parts share once), as many entries as terms. Every condition in which the
// margin has power two or more is divided into `parts`.
std::vector<double> BernsteinRows(const LinearMargin& margin, const bound::Box& box,
                                  int parts);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SHAPE_ROWS_H_
