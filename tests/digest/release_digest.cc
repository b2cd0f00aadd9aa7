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
#include <fstream>
#include <string>
#include <vector>

#include "engine/base/status_macros.h"
#include "engine/document/release_bytes.h"
#include "engine/document/text.h"
#include "engine/release/build.h"
#include "ratings/procedures.h"

namespace {

using namespace ratebound;
namespace fs = std::filesystem;

bool Belongs(const std::string& path) {
  return path == "line.textproto" || path == "claims.textproto" ||
         (path.starts_with("points/") && path.ends_with(".csv")) ||
         (path.starts_with("procedures/") && path.ends_with(".textproto"));
}

absl::StatusOr<std::vector<release::LineFile>> ReadFolder(const fs::path& folder) {
  std::vector<release::LineFile> files;
  std::error_code error;
  for (const auto& entry : fs::recursive_directory_iterator(folder, error)) {
    const std::string path = fs::relative(entry.path(), folder).generic_string();
    if (!entry.is_regular_file() || !Belongs(path)) continue;
    std::ifstream in(entry.path(), std::ios::binary);
    std::string bytes((std::istreambuf_iterator<char>(in)), {});
    if (!in) return absl::UnavailableError(path + ": cannot be read");
    files.push_back({path, std::move(bytes)});
  }
  if (error || files.empty()) {
    return absl::UnavailableError(folder.string() + ": no line folder");
  }
  std::sort(files.begin(), files.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return files;
}

absl::StatusOr<std::string> DigestOf(const fs::path& folder, int thread_count) {
  ASSIGN_OR_RETURN(std::vector<release::LineFile> files, ReadFolder(folder));
  if (thread_count > 1) std::reverse(files.begin(), files.end());
  std::vector<document::Procedure> procedures;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
    ASSIGN_OR_RETURN(document::Procedure procedure,
                     document::ParseProcedure(file.path, file.bytes));
    procedures.push_back(std::move(procedure));
  }
  ASSIGN_OR_RETURN(
      const document::Release built,
      release::Build(
          {.files = files, .procedures = procedures, .thread_count = thread_count}));
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
