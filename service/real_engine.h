// The engine of this program, with the procedures built into it.
#ifndef RATEBOUND_SERVICE_REAL_ENGINE_H_
#define RATEBOUND_SERVICE_REAL_ENGINE_H_

#include "absl/status/statusor.h"
#include "service/engine.h"

namespace ratebound::service {

// `threads_per_build` 0 takes as many as the machine has. What it publishes is INTERNAL
// where a built-in file cannot be read, which a test rules out.
absl::StatusOr<Engine> RealEngine(int threads_per_build = 0);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_REAL_ENGINE_H_
