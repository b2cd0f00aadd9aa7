// A procedure without its numbers, and how well its numbers are known.
#ifndef RATEBOUND_SERVICE_PROCEDURE_SUMMARY_H_
#define RATEBOUND_SERVICE_PROCEDURE_SUMMARY_H_

#include "engine/document/method.h"
#include "engine/document/minimum.h"
#include "engine/document/procedure.h"
#include "ratebound/v1/rating_service.pb.h"

namespace ratebound::service {

// Counts every cited number and rule of the procedure once, by its basis.
v1::ProcedureSummary SummaryOf(const document::Procedure& procedure);

// The same of a method of measuring.
v1::MethodSummary SummaryOf(const document::MeasurementMethod& method);

// The same of minimum levels.
v1::MinimumSummary SummaryOf(const document::MinimumLevels& levels);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_PROCEDURE_SUMMARY_H_
