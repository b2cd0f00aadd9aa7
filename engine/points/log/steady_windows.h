// Quasi-steady windows of a log, by a greedy rule that needs no row to come twice:
//
//   1. A window that starts at a row holds that row and those that follow within
//      length_s of its stamp (so 10 rows a minute apart make 600 s), and no break: no
//      change, gap, off time, ignored or rejected row. It takes at least 2 rows.
//   2. No row within delay_after_change_s of a change starts a window. Changes are those
//      of labels, off and on, the start of the log, the end of a gap or of ignored rows,
//      and a step of a change_on quantity from one row to the next by more than its
//      greatest_spread (else greatest_deviation, else greatest_standard_deviation).
//   3. The earliest window that satisfies every tolerance is taken; the next begins
//      behind it. A row whose window does not satisfy them is rejected, for the first
//      tolerance that fails, and the next row is tried.
//
// Tolerances, of each quantity in turn: greatest less least reading; the furthest reading
// from the set point, or from the mean where there is none; standard deviation (n - 1);
// the mean against the set point, which is not judged where there is none. A relative
// figure is of the set point's size or, where there is none, the mean's. A figure equal
// to its tolerance passes; the two are compared to nine digits, so that the decimals of
// the log decide and not their binary form. A row that lacks a quantity under tolerance
// is rejected.
//
// A taken window's figures come from its own rows in two passes, and so does every
// decision that sliding sums leave open: nothing depends on what came before.
//
// Cost: a constant number of steps a row on average. Memory: the rows of one window.
// Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_STEADY_WINDOWS_H_
#define RATEBOUND_ENGINE_POINTS_LOG_STEADY_WINDOWS_H_

#include <memory>
#include <span>

#include "engine/document/method.h"
#include "engine/points/log/log_row.h"

namespace ratebound::points {

// Null, with faults told, where tolerances and columns do not fit. `context` outlives it.
std::unique_ptr<LogCut> MakeSteadyWindows(
    LogContext& context, std::span<const document::TestTolerance> method_tolerances);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_STEADY_WINDOWS_H_
