#include "clients/cli/line_folder.h"

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <system_error>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::cli {
namespace {

namespace fs = std::filesystem;

constexpr int64_t kMostBytes = int64_t{64} << 20;

absl::Status ReadInto(const fs::path& folder, const fs::path& file, int64_t* total,
                      std::vector<FolderFile>* files) {
  std::error_code error;
  const auto size = fs::file_size(file, error);
  if (error) {
    return absl::NotFoundError(absl::StrCat(file.string(), ": ", error.message()));
  }
  *total += static_cast<int64_t>(size);
  if (*total > kMostBytes) {
    return absl::InvalidArgumentError(absl::StrCat(
        file.string(), ": with its ", size,
        " bytes the folder holds more than 64 MiB, the most that a line may; see that "
        "the file is what the lab meant, or split the line into several folders; "
        "time-stamped logs belong below logs/ and have no such limit"));
  }
  std::ifstream in(file, std::ios::binary);
  std::string bytes(size, '\0');
  in.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (!in) return absl::UnavailableError(absl::StrCat(file.string(), ": cannot be read"));
  files->push_back(
      {.path = fs::relative(file, folder).generic_string(), .bytes = std::move(bytes)});
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<std::vector<FolderFile>> ReadLineFolder(const std::string& folder_name) {
  const fs::path folder(folder_name);
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    return absl::NotFoundError(absl::StrCat(
        folder_name, fs::exists(folder, error) ? ": is no folder" : ": no such folder",
        "; give a line folder, one with line.textproto"));
  }
  if (!fs::is_regular_file(folder / "line.textproto", error)) {
    return absl::NotFoundError(
        absl::StrCat(folder_name, ": has no line.textproto, so it is no line folder"));
  }
  std::vector<fs::path> paths = {folder / "line.textproto"};
  if (fs::is_regular_file(folder / "claims.textproto", error)) {
    paths.push_back(folder / "claims.textproto");
  }
  for (const auto& [below, extension] :
       {std::pair{"points", ".csv"}, std::pair{"procedures", ".textproto"},
        std::pair{"methods", ".textproto"}, std::pair{"logs", ".csv"},
        std::pair{"weather", ".csv"}, std::pair{"weather", ".epw"}}) {
    if (!fs::is_directory(folder / below, error)) continue;
    for (const auto& entry : fs::directory_iterator(folder / below, error)) {
      if (entry.is_regular_file() && entry.path().extension() == extension) {
        paths.push_back(entry.path());
      }
    }
    if (error) {
      return absl::UnavailableError(
          absl::StrCat((folder / below).string(), ": ", error.message()));
    }
  }
  std::sort(paths.begin(), paths.end());
  std::vector<FolderFile> files;
  int64_t total = 0;
  const auto is_log = [&](const fs::path& path) {
    return path.parent_path() == folder / "logs";
  };
  for (const fs::path& path : paths) {
    if (!is_log(path)) RETURN_IF_ERROR(ReadInto(folder, path, &total, &files));
  }
  for (const fs::path& path : paths) {
    if (!is_log(path)) continue;
    files.push_back(
        {.path = fs::relative(path, folder).generic_string(), .log_file = path.string()});
  }
  return files;
}

FileChunks::FileChunks(const FolderFile& file) : file_(file) {
  if (!file.log_file.empty()) log_.open(file.log_file, std::ios::binary);
}

absl::Status FileChunks::Next(std::string& content) {
  constexpr size_t kChunkBytes = 64 << 10;
  if (file_.log_file.empty()) {
    content.assign(file_.bytes, sent_, kChunkBytes);
    sent_ += content.size();
    done_ = sent_ == file_.bytes.size();
    return absl::OkStatus();
  }
  content.resize(kChunkBytes);
  log_.read(content.data(), static_cast<std::streamsize>(kChunkBytes));
  content.resize(static_cast<size_t>(log_.gcount()));
  done_ = !log_ || log_.peek() == std::ifstream::traits_type::eof();
  if (log_.is_open() && !log_.bad()) return absl::OkStatus();
  return absl::UnavailableError(absl::StrCat(file_.log_file, ": cannot be read",
                                             log_.is_open() ? " to its end" : ""));
}

}  // namespace ratebound::cli
