// Reads a line folder into memory, to be sent.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<FolderFile> files,
//   ReadLineFolder("ratings/lines/canal-halls"));
//
// What is sent: line.textproto, claims.textproto, points/*.csv and
// procedures/*.textproto; other files stay where they are. Errors: NOT_FOUND where the
// folder or its line.textproto is missing, RESOURCE_EXHAUSTED over 64 MiB, both naming
// the path.
#ifndef RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_
#define RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::cli {

struct FolderFile {
  std::string path;  // below the folder, with forward slashes
  std::string bytes;
};

absl::StatusOr<std::vector<FolderFile>> ReadLineFolder(const std::string& folder);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_
