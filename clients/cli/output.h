// Where results go and in which form: what the commands share.
#ifndef RATEBOUND_CLIENTS_CLI_OUTPUT_H_
#define RATEBOUND_CLIENTS_CLI_OUTPUT_H_

#include <google/protobuf/message.h>

#include <string>

#include "absl/status/status.h"
#include "clients/cli/arguments.h"

namespace ratebound::cli {

enum class Output { kText, kJson, kCsv };

// --output, which has been checked.
Output OutputOf(const Arguments& arguments);

// The message in ProtoJSON, on one line.
std::string Json(const google::protobuf::Message& message);

template <typename Messages>
std::string JsonLines(const Messages& messages) {
  std::string text;
  for (const auto& message : messages) text += Json(message);
  return text;
}

// UNAVAILABLE, naming the option that named the file, where it cannot be written.
absl::Status WriteFile(const std::string& path, const std::string& bytes,
                       const std::string& option);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_OUTPUT_H_
