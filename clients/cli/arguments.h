// The command line: which command, which folder or name, which options.
//
// Example:
//   ASSIGN_OR_RETURN(Arguments arguments, ParseArguments(commands, {"rate", "lines/a",
//   "--explain"})); arguments.command        -> "rate" arguments.positionals    ->
//   {"lines/a"} arguments.Has("explain") -> true
//
// Options may stand before or after positionals, as "--name value" or "--name=value";
// "--" ends them. Errors: INVALID_ARGUMENT naming what was expected and the nearest known
// name.
#ifndef RATEBOUND_CLIENTS_CLI_ARGUMENTS_H_
#define RATEBOUND_CLIENTS_CLI_ARGUMENTS_H_

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::cli {

struct Option {
  std::string name;
  std::string value_name;  // empty for a flag
  std::string help;
  // The field of the call's options that it fills: a fault that names the field is told
  // of the option. Empty where no call refuses it by that name.
  std::string field = "";
};

struct Command {
  std::string name;
  // Such as "LINE"; words separated by spaces; "[show ID]" where all may be left out;
  // empty for none.
  std::string positional;
  std::string summary;
  std::string details;
  std::vector<Option> options;
};

struct Arguments {
  std::string command;  // empty: help was asked for
  bool help = false;
  std::vector<std::string> positionals;
  std::map<std::string, std::string> options;

  bool Has(const std::string& name) const { return options.count(name) > 0; }
  std::string Get(const std::string& name, const std::string& otherwise = "") const {
    const auto found = options.find(name);
    return found == options.end() ? otherwise : found->second;
  }
};

// Options that every command takes besides its own.
const std::vector<Option>& CommonOptions();

absl::StatusOr<Arguments> ParseArguments(std::span<const Command> commands,
                                         std::span<const std::string> words);

std::string HelpText(std::span<const Command> commands);
std::string HelpText(const Command& command);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_ARGUMENTS_H_
