#include "clients/cli/arguments.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_split.h"
#include "clients/cli/text_table.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::cli {
namespace {

const Command* FindCommand(std::span<const Command> commands, const std::string& name) {
  for (const Command& command : commands) {
    if (command.name == name) return &command;
  }
  return nullptr;
}

std::vector<Option> AllOptions(const Command& command) {
  std::vector<Option> options = command.options;
  options.insert(options.end(), CommonOptions().begin(), CommonOptions().end());
  return options;
}

// "; did you mean 'rate'? See ratebound --help"
std::string NearestAndHelp(const std::string& name, const std::vector<std::string>& known,
                           const std::string& command) {
  const std::string nearest = base::DidYouMean(name, known);
  return absl::StrCat(nearest, nearest.empty() ? "; see" : " See", " ratebound ", command,
                      command.empty() ? "" : " ", "--help");
}

absl::StatusOr<Option> FindOption(const Command& command, const std::string& name) {
  std::vector<std::string> known;
  for (const Option& option : AllOptions(command)) {
    if (option.name == name) return option;
    known.push_back("--" + option.name);
  }
  return absl::InvalidArgumentError(
      absl::StrCat("'", command.name, "' has no option '--", base::Printable(name), "'",
                   NearestAndHelp("--" + name, known, command.name)));
}

int PositionalCount(const Command& command) {
  if (command.positional.empty()) return 0;
  const std::vector<std::string> words = absl::StrSplit(command.positional, ' ');
  return static_cast<int>(words.size());
}

bool MayBeLeftOut(const Command& command) {
  return !command.positional.empty() && command.positional.front() == '[';
}

std::string OptionLines(std::span<const Option> options) {
  std::string text;
  for (const Option& option : options) {
    const std::string left = absl::StrCat(
        "--", option.name, option.value_name.empty() ? "" : " ", option.value_name);
    absl::StrAppendFormat(&text, "  %-24s %s\n", left, option.help);
  }
  return text;
}

}  // namespace

const std::vector<Option>& CommonOptions() {
  static const auto* const options = new std::vector<Option>{
      {"output", "text|json|csv",
       "text for people (default); json: the message itself, one a line"},
      {"server", "HOST:PORT", "ask this server instead of computing in this process"},
      {"store", "FILE",
       "store of releases of this process (default: in your data folder)"},
      {"timeout", "SECONDS", "give up after this long (default 600)"},
      {"quiet", "", "only the result and errors"},
      {"help", "", "this text"},
  };
  return *options;
}

absl::StatusOr<Arguments> ParseArguments(std::span<const Command> commands,
                                         std::span<const std::string> words) {
  Arguments arguments;
  std::vector<std::string> names;
  for (const Command& command : commands) names.push_back(command.name);
  if (words.empty() || words[0] == "--help" || words[0] == "help") {
    arguments.help = true;
    if (words.size() > 1 && FindCommand(commands, words[1]) != nullptr) {
      arguments.command = words[1];
    }
    return arguments;
  }
  arguments.command = words[0];
  const Command* const command = FindCommand(commands, arguments.command);
  if (command == nullptr) {
    return absl::InvalidArgumentError(absl::StrCat("there is no command '",
                                                   base::Printable(words[0]), "'",
                                                   NearestAndHelp(words[0], names, "")));
  }
  bool options_ended = false;
  for (size_t i = 1; i < words.size(); ++i) {
    const std::string& word = words[i];
    if (!options_ended && word == "--") {
      options_ended = true;
      continue;
    }
    if (options_ended || word.size() < 3 || word.substr(0, 2) != "--") {
      arguments.positionals.push_back(word);
      continue;
    }
    const size_t equals = word.find('=');
    const std::string name =
        word.substr(2, equals == std::string::npos ? equals : equals - 2);
    ASSIGN_OR_RETURN(const Option option, FindOption(*command, name));
    if (arguments.Has(name)) {
      return absl::InvalidArgumentError(absl::StrCat("'--", name, "' is given twice"));
    }
    if (option.value_name.empty()) {
      if (equals != std::string::npos) {
        return absl::InvalidArgumentError(absl::StrCat("'--", name, "' takes no value"));
      }
      arguments.options[name] = "";
    } else if (equals != std::string::npos) {
      arguments.options[name] = word.substr(equals + 1);
    } else if (i + 1 < words.size()) {
      arguments.options[name] = words[++i];
    } else {
      return absl::InvalidArgumentError(
          absl::StrCat("'--", name, "' needs a value: --", name, " ", option.value_name));
    }
  }
  arguments.help = arguments.Has("help");
  if (arguments.help) return arguments;
  const int wanted = PositionalCount(*command);
  const bool left_out = arguments.positionals.empty() && MayBeLeftOut(*command);
  if (!left_out && static_cast<int>(arguments.positionals.size()) != wanted) {
    return absl::InvalidArgumentError(absl::StrCat(
        "'", command->name, "' takes ", wanted == 0 ? "no name" : command->positional,
        ", and ", Count(static_cast<int>(arguments.positionals.size()), "word"),
        " came; see ratebound ", command->name, " --help"));
  }
  const std::string output = arguments.Get("output", "text");
  if (output != "text" && output != "json" && output != "csv") {
    return absl::InvalidArgumentError(absl::StrCat("'--output ", base::Printable(output),
                                                   "' is none of text, json, csv"));
  }
  return arguments;
}

std::string HelpText(std::span<const Command> commands) {
  std::string text =
      "ratebound: from measured test points to rated, verified and served equipment.\n\n"
      "  ratebound COMMAND ...          ratebound COMMAND --help\n\n";
  for (const Command& command : commands) {
    absl::StrAppendFormat(
        &text, "  %-30s %s\n",
        absl::StrCat(command.name, command.positional.empty() ? "" : " ",
                     command.positional),
        command.summary);
  }
  absl::StrAppend(
      &text, "\nEvery command takes:\n", OptionLines(CommonOptions()),
      "\nExit status: 0 all well; 1 something was found against you (a refuted claim, a\n"
      "regression, a failed screen); 2 what you gave is wrong; 3 it could not be "
      "done.\n\n"
      "Figures are not certified ratings: certification belongs to the scheme and its\n"
      "laboratories. Local codes, safety approvals and licensed practice decide.\n");
  return text;
}

std::string HelpText(const Command& command) {
  std::string text =
      absl::StrCat("ratebound ", command.name, command.positional.empty() ? "" : " ",
                   command.positional, " [options]\n\n", command.summary, "\n");
  if (!command.details.empty()) absl::StrAppend(&text, "\n", command.details, "\n");
  if (!command.options.empty()) {
    absl::StrAppend(&text, "\nOptions:\n", OptionLines(command.options));
  }
  absl::StrAppend(&text, "\nEvery command takes:\n", OptionLines(CommonOptions()));
  return text;
}

}  // namespace ratebound::cli
