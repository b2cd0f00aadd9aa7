// Capacity and power of one row of a log, by the reduction of its mode: what cycles of a
// log without a column of capacity are integrated from.
//
// Example:
//   RowReducer reducer = MakeRowReducer(plans, log);
//
// A row that the reduction refuses (frost, a reading missing) has no capacity.
// The reducer owns copies of what it needs; it belongs to one thread at a time.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_ROW_REDUCER_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_ROW_REDUCER_H_

#include "engine/document/log.h"
#include "engine/points/log/log_result.h"
#include "engine/points/pipeline/mode_plans.h"

namespace ratebound::points {

// Empty where the log's mode has no reduction.
RowReducer MakeRowReducer(const ModePlans& plans, const document::LogFile& log);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_ROW_REDUCER_H_
