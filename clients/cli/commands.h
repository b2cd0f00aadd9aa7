// What each command does: the calls it makes, what it prints, and how it ends.
#ifndef RATEBOUND_CLIENTS_CLI_COMMANDS_H_
#define RATEBOUND_CLIENTS_CLI_COMMANDS_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "clients/cli/arguments.h"

namespace ratebound::cli {

// Every command with its options and help.
const std::vector<Command>& Commands();

// Exit statuses.
enum class Exit { kWell = 0, kFound = 1, kWrongInput = 2, kCouldNot = 3 };

struct Result {
  Exit exit = Exit::kWell;
  std::string out;        // for standard output, complete in the form asked for
  std::string complaint;  // for standard error, where the status needs a word
};

// Runs one command. An error becomes exit status 2 or 3 by its code; see ExitOf.
absl::StatusOr<Result> Run(const Arguments& arguments);

Exit ExitOf(const absl::Status& status);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_COMMANDS_H_
