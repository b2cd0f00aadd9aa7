// The digest of the release of a line folder: what ci/digest compares between builds.
//
//   release_digest LINE_FOLDER THREADS
//
// Files are handed over in an order that the number of threads turns round, so that their
// order is tried with it. Exits 2 on a wrong argument or line, 3 where a file cannot be
// read.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/status_macros.h"
#include "engine/document/release_bytes.h"
#include "engine/release/build.h"
#include "tests/testing/line_files.h"

namespace {

using namespace ratebound;
namespace fs = std::filesystem;

absl::StatusOr<std::string> DigestOf(const fs::path& folder, int thread_count) {
  std::vector<release::LineFile> files = testing::ReadLineFiles(folder);
  if (files.empty()) {
    return absl::UnavailableError(folder.string() + ": no line folder, or not readable");
  }
  if (thread_count > 1) std::reverse(files.begin(), files.end());
  const auto procedures = testing::PublishedProcedures();
  const auto methods = testing::PublishedMethods();
  ASSIGN_OR_RETURN(const document::Release built,
                   release::Build({.files = files,
                                   .procedures = procedures,
                                   .methods = methods,
                                   .thread_count = thread_count}));
  ASSIGN_OR_RETURN(const document::ReleaseBytes bytes, document::SerializeRelease(built));
  return bytes.digest;
}

}  // namespace

int main(int argc, char** argv) {
  const int thread_count = argc == 3 ? std::atoi(argv[2]) : 0;
  if (thread_count < 1) {
    std::fprintf(stderr, "usage: release_digest LINE_FOLDER THREADS\n");
    return 2;
  }
  const auto digest = DigestOf(argv[1], thread_count);
  if (!digest.ok()) {
    std::fprintf(stderr, "%s\n", std::string(digest.status().message()).c_str());
    return digest.status().code() == absl::StatusCode::kUnavailable ? 3 : 2;
  }
  std::printf("%s\n", digest->c_str());
  return 0;
}
