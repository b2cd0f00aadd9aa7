// A performance table: the figures of one stage over one or two conditions, each cell
// with the uncertainty of its surface and its footing.
//
// Example:
//   ASSIGN_OR_RETURN(document::Table table, Tabulate(request, model));
//   table.figures[0].values[row * columns + column];   // in the unit asked for
//
// Errors: INVALID_ARGUMENT with all faults where the request lacks a condition of the
// map, gives one that the map does not know, or asks for a quantity that the map does not
// give. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_TABLE_TABULATE_H_
#define RATEBOUND_ENGINE_TABLE_TABULATE_H_

#include "absl/status/statusor.h"
#include "engine/document/table.h"
#include "engine/map/stage_model.h"

namespace ratebound::table {

absl::StatusOr<document::Table> Tabulate(const document::TableRequest& request,
                                         const map::StageModel& model);

}  // namespace ratebound::table

#endif  // RATEBOUND_ENGINE_TABLE_TABULATE_H_
