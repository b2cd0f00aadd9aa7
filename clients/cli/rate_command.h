// The commands `rate` and `procedures`: ratings with what they rest on, and the files
// that they are computed by.
#ifndef RATEBOUND_CLIENTS_CLI_RATE_COMMAND_H_
#define RATEBOUND_CLIENTS_CLI_RATE_COMMAND_H_

#include "absl/status/statusor.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"

namespace ratebound::cli {

// kFound where a unit does not meet a minimum level of the day that was asked for.
absl::StatusOr<Result> Rate(const Arguments& arguments);

absl::StatusOr<Result> Procedures(const Arguments& arguments);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_RATE_COMMAND_H_
