#include "service/line_upload.h"

#include <algorithm>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_split.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

// What a file costs beside its bytes, so that many empty ones are not free.
constexpr int64_t kFileOverheadBytes = 256;

absl::Status PathFault(std::string_view path, std::string message, std::string remedy) {
  base::FaultList faults;
  faults.Add({.field = absl::StrCat("chunk.path '", base::Printable(path), "'"),
              .message = std::move(message),
              .remedy = std::move(remedy)});
  return faults.ToStatus();
}

bool HasControlCharacter(std::string_view text) {
  for (char c : text) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return true;
  }
  return false;
}

}  // namespace

bool UploadBudget::Reserve(int64_t byte_count) {
  int64_t left = left_.load();
  while (left >= byte_count) {
    if (left_.compare_exchange_weak(left, left - byte_count)) return true;
  }
  return false;
}

absl::Status CheckPath(std::string_view path) {
  constexpr char kExample[] =
      "write a path below the line folder such as points/day1.csv";
  if (path.empty()) return PathFault(path, "the path is empty", kExample);
  if (path.size() > kPathBytes) {
    return PathFault(path, absl::StrCat("the path is longer than ", kPathBytes, " bytes"),
                     "shorten the names of folders or file");
  }
  if (!base::IsUtf8(path))
    return PathFault(path, "the path is not UTF-8", "rename the file");
  if (HasControlCharacter(path)) {
    return PathFault(path, "the path has a control character", "rename the file");
  }
  if (path.find('\\') != path.npos) {
    return PathFault(path, "the path has a backslash", "separate folders by '/'");
  }
  for (absl::string_view part : absl::StrSplit(base::Absl(path), '/')) {
    if (part.empty() || part == "." || part == "..") {
      return PathFault(path,
                       "the path is not relative to the line folder in its plain form",
                       kExample);
    }
  }
  return absl::OkStatus();
}

bool IsLogPath(std::string_view path) { return path.starts_with("logs/"); }

absl::Status LineUpload::CheckNewFile(std::string_view path) const {
  RETURN_IF_ERROR(CheckPath(path));
  if (files_.size() + logs_.size() < kFolderFiles) return absl::OkStatus();
  return WithReason(
      absl::ResourceExhaustedError(absl::StrCat(
          "the line folder has more than ", kFolderFiles,
          " files; send only line.textproto, claims.textproto, points/, logs/, methods/ "
          "and procedures/")),
      "LINE_FOLDER_TOO_LARGE");
}

absl::Status LineUpload::AddToLog(std::string_view path, std::string_view content) {
  auto log = logs_.find(path);
  if (log == logs_.end()) {
    RETURN_IF_ERROR(CheckNewFile(path));
    if (!open_log_) return PathFault(path, "logs are not taken here", "");
    if (!files_.contains("line.textproto")) {
      return PathFault(path,
                       "a log came ahead of line.textproto, which says how to read it",
                       "send line.textproto and methods/ first");
    }
    log = logs_.emplace(std::string(path), open_log_(files_, path)).first;
  }
  log_bytes_ += static_cast<int64_t>(content.size());
  if (log_bytes_ > kLogBytes) {
    return WithReason(absl::ResourceExhaustedError(absl::StrCat(
                          "the logs of the line folder are larger than ", kLogBytes >> 30,
                          " GiB; split the line into several folders")),
                      "LINE_FOLDER_TOO_LARGE");
  }
  log->second->Feed(content);
  return absl::OkStatus();
}

absl::Status LineUpload::Add(std::string_view path, std::string_view content) {
  if (content.size() > kChunkBytes) {
    return PathFault(path, absl::StrCat("a chunk has ", content.size(), " bytes"),
                     absl::StrCat("send at most ", kChunkBytes, " bytes a message"));
  }
  if (IsLogPath(path)) return AddToLog(path, content);
  if (!logs_.empty() && (path == "line.textproto" || path.starts_with("methods/"))) {
    return PathFault(path, "came behind a log, which it says how to read",
                     "send line.textproto and methods/ first");
  }
  auto file = files_.find(path);
  const bool is_new = file == files_.end();
  if (is_new) RETURN_IF_ERROR(CheckNewFile(path));
  const int64_t content_bytes = static_cast<int64_t>(content.size());
  if (content_bytes_ + content_bytes > kFolderBytes) {
    return WithReason(absl::ResourceExhaustedError(absl::StrCat(
                          "the line folder is larger than ", kFolderBytes >> 20,
                          " MiB; split the line, or put time-stamped logs below logs/")),
                      "LINE_FOLDER_TOO_LARGE");
  }
  const int64_t byte_count = content_bytes + (is_new ? kFileOverheadBytes : 0);
  if (!budget_->Reserve(byte_count)) {
    return WithReason(
        absl::ResourceExhaustedError(
            "the server holds too many line folders already; try again soon"),
        "TOO_MANY_UPLOADS");
  }
  reserved_bytes_ += byte_count;
  content_bytes_ += content_bytes;
  if (is_new) file = files_.emplace(std::string(path), std::string()).first;
  file->second.append(content);
  return absl::OkStatus();
}

std::vector<release::LineFile> LineUpload::Take() && {
  std::vector<release::LineFile> files;
  files.reserve(files_.size());
  for (auto& [path, bytes] : files_) files.push_back({path, std::move(bytes), nullptr});
  for (auto& [path, log] : logs_) files.push_back({path, "", log->Finish()});
  files_.clear();
  logs_.clear();
  std::sort(files.begin(), files.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return files;
}

}  // namespace ratebound::service
