// Reads a line folder into memory, to be sent; logs, which may be far larger, are left on
// the disk and read as they are sent.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<FolderFile> files,
//   ReadLineFolder("ratings/lines/canal-halls"));
//
// What is sent, logs last: line.textproto, claims.textproto, points/*.csv,
// procedures/*.textproto, methods/*.textproto and logs/*.csv; other files stay where they
// are. Errors: NOT_FOUND where the folder or its line.textproto is missing,
// INVALID_ARGUMENT over 64 MiB without logs, both naming the path.
#ifndef RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_
#define RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_

#include <fstream>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

namespace ratebound::cli {

struct FolderFile {
  std::string path;  // below the folder, with forward slashes
  std::string bytes;
  std::string log_file;  // of a log: where it stands; bytes are empty
};

absl::StatusOr<std::vector<FolderFile>> ReadLineFolder(const std::string& folder);

// A file in pieces of at most 64 KiB, at least one. The file must outlive it.
// UNAVAILABLE, naming the file, where it cannot be opened or read on: half a log is no
// log.
class FileChunks {
 public:
  explicit FileChunks(const FolderFile& file);
  absl::Status Next(std::string& content);
  bool done() const { return done_; }

 private:
  const FolderFile& file_;
  std::ifstream log_;
  size_t sent_ = 0;
  bool done_ = false;
};

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_LINE_FOLDER_H_
