// Cycles of on and off at steady conditions: what each delivers and takes, how well they
// repeat, the degradation against a steady test, and the power while the machine rests.
//
// The machine is on in rows whose signal is at or above the threshold; the time between
// two rows belongs to the state of the first. A cycle runs from one start, the first row
// that is on, to the next. The first warm_up_cycles are left out; the others are told one
// by one and together. A gap, ignored rows or a change of labels ends the cycle at hand.
// Integrals: CycleIntegrals of cycle_row.h.
//
// With the steady point's capacity Q_ss and power P_ss, for a cycle of heat q, energy E
// and length tau:
//   cyclic efficiency  q / E                        (EER_cyc or COP_cyc, in W/W)
//   load factor        CLF = q / (Q_ss tau)
//   degradation        C_D = (1 - (q/E) / (Q_ss/P_ss)) / (1 - CLF)
// (10 CFR 430 Subpart B Appendix M1, 3.5.3 for cooling, and 3.8.1 for heating with HLF;
// from memory. Not rounded, and not replaced by a default where it comes out worse.)
//   standby share      C_c = 1 - P_off / P_ss
// with P_off the power below (EN 14825, degradation coefficient of water-side units; from
// memory).
//
// standby_power is the time mean of power over the time off that begins kStandbyDelayS
// behind the first row that is off (or the first of all, or behind a gap), when fans
// and pumps that run on have stopped; the delay is this project's choice.
//
// Figures of the report: cycle_count, start_count, on_time_fraction of all the time
// covered, power while on (least, mean, greatest), standby_power, and the means over the
// cycles with their repeatability, (greatest - least) / mean. No test point is made.
//
// Cost: a constant number of steps a row. Memory: one row and a summary of each cycle.
// Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_ON_OFF_CYCLES_H_
#define RATEBOUND_ENGINE_POINTS_LOG_ON_OFF_CYCLES_H_

#include <memory>

#include "engine/points/log/log_row.h"

namespace ratebound::points {

inline constexpr double kStandbyDelayS = 600;

// Null, with faults told, where the columns do not give what is needed. `context`
// outlives it.
std::unique_ptr<LogCut> MakeOnOffCycles(LogContext& context);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_ON_OFF_CYCLES_H_
