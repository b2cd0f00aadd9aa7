#include "clients/cli/named_release.h"

#include <algorithm>
#include <filesystem>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::cli {
namespace {

constexpr size_t kDigestDigits = 64;

bool IsDigest(const std::string& text) {
  return text.size() <= kDigestDigits &&
         std::all_of(text.begin(), text.end(), [](char c) {
           return absl::ascii_isxdigit(static_cast<unsigned char>(c));
         });
}

}  // namespace

absl::StatusOr<NamedRelease> ReadNamedRelease(const std::string& name) {
  if (name.empty()) {
    return absl::InvalidArgumentError(
        "an empty text names no release; give a digest or a file");
  }
  if (IsDigest(name)) return NamedRelease{.digest = name};
  std::error_code error;
  if (!std::filesystem::is_regular_file(name, error)) {
    return absl::NotFoundError(absl::StrCat(
        "'", base::Printable(name), "' is neither the digest of a release nor a file; ",
        "see ratebound releases, or write one with ratebound build --to FILE"));
  }
  if (std::filesystem::file_size(name, error) == 0) {
    return absl::InvalidArgumentError(absl::StrCat(
        base::Printable(name),
        ": is empty and no release; write one with ratebound build --to FILE"));
  }
  return NamedRelease{.file = FolderFile{.path = name, .log_file = name}};
}

}  // namespace ratebound::cli
