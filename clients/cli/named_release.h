// A release as the command line names it: the digest of a stored one, or a file that
// `ratebound build --to` wrote.
#ifndef RATEBOUND_CLIENTS_CLI_NAMED_RELEASE_H_
#define RATEBOUND_CLIENTS_CLI_NAMED_RELEASE_H_

#include <optional>
#include <string>

#include "absl/status/statusor.h"
#include "clients/cli/line_folder.h"

namespace ratebound::cli {

// One of the two.
struct NamedRelease {
  std::string digest;  // or the start of one
  std::optional<FolderFile> file;

  const FolderFile* FileOrNull() const { return file ? &*file : nullptr; }
};

// Hexadecimal digits are a digest, anything else a file; "./1a2b" names a file in any
// case. NOT_FOUND where there is no such file, INVALID_ARGUMENT where it is empty.
absl::StatusOr<NamedRelease> ReadNamedRelease(const std::string& name);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_NAMED_RELEASE_H_
