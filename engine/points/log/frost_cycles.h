// Integrated capacity over whole cycles of frost and defrost.
//
// A defrost is a stretch of rows whose signal is at or above the threshold. A cycle runs
// from the end of one defrost, the first row after it, to the end of the next. Cycles
// that follow one another directly are put together, from the first whole one on, until
// they are least_cycles or more and last least_time_s or longer; a cycle that would make
// them last longer than most_time_s is left out, and the point is then made of fewer,
// with a note. Later rows are not used. (Source of the figures: the plan's own `source`;
// three cycles or a number of hours are the trade's transient test.)
//
// The test point has integrated_heating_capacity, the heat over those cycles by their
// time, the mean power, as the mode's power quantity, and the time means of the mode's
// conditions; heat taken from the indoor side in a defrost counts against it. Standard
// deviation and spread are those of the cycles' own means, and reading_count is the
// number of cycles. Integrals: CycleIntegrals of cycle_row.h.
//
// Rows that cannot be used are bridged by the trapezoid between their neighbours, unless
// those are further apart than a gap. A gap, a change of labels or off time ends the
// cycles: those before it do not join those behind it.
//
// Cost: a constant number of steps a row. Memory: the sums of one cycle and a summary of
// each. Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_FROST_CYCLES_H_
#define RATEBOUND_ENGINE_POINTS_LOG_FROST_CYCLES_H_

#include <memory>

#include "engine/points/log/log_row.h"

namespace ratebound::points {

// Cycles of one log that are kept; more are a fault, since then the signal flutters.
inline constexpr int kMostCycles = 10000;

// Null, with faults told, where the columns do not give what is needed. `context`
// outlives it.
std::unique_ptr<LogCut> MakeFrostCycles(LogContext& context);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_FROST_CYCLES_H_
