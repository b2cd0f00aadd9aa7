// The command `recheck`: certificates of verdicts followed without the prover.
#ifndef RATEBOUND_CLIENTS_CLI_RECHECK_COMMAND_H_
#define RATEBOUND_CLIENTS_CLI_RECHECK_COMMAND_H_

#include "absl/status/statusor.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"

namespace ratebound::cli {

// The result says kFound where a certificate is refused.
absl::StatusOr<Result> RecheckCertificates(const Arguments& arguments);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_RECHECK_COMMAND_H_
