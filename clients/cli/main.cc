#include <cstdlib>
#include <iostream>
#include <string>
#include <vector>

#include "clients/cli/commands.h"

namespace ratebound::cli {
namespace {

int Main(const std::vector<std::string>& words) {
  const auto arguments = ParseArguments(Commands(), words);
  if (!arguments.ok()) {
    std::cerr << "ratebound: " << arguments.status().message() << "\n";
    return static_cast<int>(Exit::kWrongInput);
  }
  if (arguments->help) {
    std::string text = HelpText(Commands());
    for (const Command& command : Commands()) {
      if (command.name == arguments->command) text = HelpText(command);
    }
    std::cout << text;
    return static_cast<int>(words.empty() ? Exit::kWrongInput : Exit::kWell);
  }
  const auto result = Run(*arguments);
  if (!result.ok()) {
    std::cerr << "ratebound " << arguments->command << ": " << result.status().message()
              << "\n";
    return static_cast<int>(ExitOf(result.status()));
  }
  std::cout << result->out << std::flush;
  if (!result->complaint.empty()) {
    std::cerr << "ratebound " << arguments->command << ": " << result->complaint << "\n";
  }
  return std::cout ? static_cast<int>(result->exit) : static_cast<int>(Exit::kCouldNot);
}

}  // namespace
}  // namespace ratebound::cli

int main(int argc, char** argv) {
  // What the transport logs on its own says less than the messages here. Set
  // GRPC_VERBOSITY to see it.
  setenv("GRPC_VERBOSITY", "NONE", 0);
  return ratebound::cli::Main(std::vector<std::string>(argv + 1, argv + argc));
}
