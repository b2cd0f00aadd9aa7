// Whether a LogFile says what the intake needs, before the first byte is read.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_LOG_PLAN_CHECKS_H_
#define RATEBOUND_ENGINE_POINTS_LOG_LOG_PLAN_CHECKS_H_

#include <span>

#include "engine/base/fault.h"
#include "engine/document/line.h"
#include "engine/document/method.h"

namespace ratebound::points {

// Faults with the path of the field: see LogIntake::Create.
base::FaultList CheckLogPlan(const document::LineManifest& manifest,
                             const document::LogFile& log,
                             std::span<const document::TestTolerance> method_tolerances);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_LOG_PLAN_CHECKS_H_
