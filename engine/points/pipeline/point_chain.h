// How one point came to its figures: every intermediate value of its reduction, where the
// uncertainty of each computed quantity comes from, and on demand what drawing the
// readings says of it.
//
// Example:
//   ASSIGN_OR_RETURN(PointChain chain, ChainOf(manifest, methods, point, 100'000, 1));
//   chain.steps[3].label;            // "enthalpy of the entering air"
//   chain.budgets[0].contributions;  // the greatest first
//
// `point` is as ReducePoints left it. Draws: 0 for none; otherwise JCGM 101 with that
// many, seeded from the point's readings, so that the figures are the same every time.
//
// Errors: those of ReducePoints; INVALID_ARGUMENT for a number of draws outside of
// kLeastDraws to kMostDraws; FAILED_PRECONDITION where draws leave the range of the
// reduction. A point that is not reduced (its mode says no way, it was dropped, or it is
// of frost cycles) has the budgets of its readings and no steps.
// Memory: 8 bytes a draw and computed quantity, some 150 MB at the most.
// Thread-safety: pure. Deterministic for any number of threads.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_CHAIN_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_CHAIN_H_

#include <cstdint>
#include <span>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/chain.h"
#include "engine/document/line.h"
#include "engine/document/method.h"

namespace ratebound::points {

inline constexpr int64_t kLeastDraws = 2'000;  // 100 / (1 - 0.95), JCGM 101, 7.2.2 note
inline constexpr int64_t kMostDraws = 1'000'000;

// INVALID_ARGUMENT for a number of draws, other than 0, that is not within the two.
absl::Status CheckDrawCount(int64_t draw_count);

absl::StatusOr<document::PointChain> ChainOf(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods,
    const document::TestPoint& point, int64_t draw_count, int thread_count);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_CHAIN_H_
