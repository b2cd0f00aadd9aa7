// The command `verify`: claims and declared ratings decided, held against a baseline, and
// reported for people, pipelines and reviewers.
#ifndef RATEBOUND_CLIENTS_CLI_VERIFY_COMMAND_H_
#define RATEBOUND_CLIENTS_CLI_VERIFY_COMMAND_H_

#include "absl/status/statusor.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"

namespace ratebound::cli {

// The result says kFound where the gate fails; files asked for are written in any case.
absl::StatusOr<Result> Verify(const Arguments& arguments);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_VERIFY_COMMAND_H_
