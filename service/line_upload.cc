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
// A text without small-string storage, with what the allocator adds.
constexpr size_t kStringBytes = 64;
// Memory of a manifest's plain structs, to the bytes of its text.
constexpr int64_t kParsedFactor = 8;
constexpr char kLogsComeLast[] = "send all other files of the line first, logs last";

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

int64_t HeldBytes(const release::LogRead& log) {
  if (!log.result.ok()) {
    return static_cast<int64_t>(sizeof(log) + 3 * log.result.status().message().size());
  }
  const points::LogResult& result = *log.result;
  size_t bytes = sizeof(log);
  for (const document::TestPoint& point : result.points) {
    bytes += sizeof(point) + kStringBytes +
             point.values.capacity() * (sizeof(document::SiValue) + kStringBytes);
  }
  for (const document::LogSpan& span : result.report.spans) {
    bytes += sizeof(span) + span.reason.capacity() + kStringBytes;
  }
  const auto figures_bytes = [](const std::vector<document::CycleFigure>& figures) {
    return figures.size() * (sizeof(document::CycleFigure) + 3 * kStringBytes);
  };
  for (const document::CycleSummary& cycle : result.report.cycles) {
    bytes += sizeof(cycle) + figures_bytes(cycle.figures);
  }
  bytes += figures_bytes(result.report.figures);
  bytes += result.findings.size() * (sizeof(document::Finding) + 4 * kStringBytes);
  return static_cast<int64_t>(bytes);
}

absl::Status LineUpload::CheckNewFile(std::string_view path) const {
  RETURN_IF_ERROR(CheckPath(path));
  if (files_.size() < kFolderFiles) return absl::OkStatus();
  return WithReason(
      absl::ResourceExhaustedError(absl::StrCat(
          "the line folder has more than ", kFolderFiles,
          " files; send only line.textproto, claims.textproto, points/, logs/, methods/ "
          "and procedures/")),
      "LINE_FOLDER_TOO_LARGE");
}

absl::Status LineUpload::Reserve(int64_t byte_count) {
  if (!budget_->Reserve(byte_count)) {
    return WithReason(
        absl::ResourceExhaustedError(
            "the server holds too many line folders already; try again soon"),
        "TOO_MANY_UPLOADS");
  }
  reserved_bytes_ += byte_count;
  return absl::OkStatus();
}

void LineUpload::CloseLog() {
  if (log_ == nullptr) return;
  files_.back().log = log_->Finish();
  log_.reset();
}

absl::Status LineUpload::OpenLog(std::string_view path) {
  if (places_.contains(path)) {
    return PathFault(path, "came again behind another log",
                     "send logs one after the other, each to its end");
  }
  RETURN_IF_ERROR(CheckNewFile(path));
  if (!open_log_) return PathFault(path, "logs are not taken here", "");
  const auto manifest = places_.find("line.textproto");
  if (manifest == places_.end()) {
    return PathFault(path,
                     "a log came ahead of line.textproto, which says how to read it",
                     kLogsComeLast);
  }
  if (log_ != nullptr) {
    CloseLog();
    RETURN_IF_ERROR(Reserve(HeldBytes(*files_.back().log)));
  } else {
    // Once, for logs are open one at a time.
    const auto manifest_bytes =
        static_cast<int64_t>(files_[manifest->second].bytes.size());
    RETURN_IF_ERROR(Reserve(kOpenLogBytes + kParsedFactor * manifest_bytes));
  }
  RETURN_IF_ERROR(Reserve(kFileOverheadBytes));
  any_log_ = true;
  log_ = open_log_(files_, path);
  places_.emplace(std::string(path), files_.size());
  files_.push_back({.path = std::string(path), .bytes = ""});
  return absl::OkStatus();
}

absl::Status LineUpload::AddToLog(std::string_view path, std::string_view content) {
  if (log_ == nullptr || files_.back().path != path) RETURN_IF_ERROR(OpenLog(path));
  log_bytes_ += static_cast<int64_t>(content.size());
  if (log_bytes_ > kLogBytes) {
    return WithReason(absl::ResourceExhaustedError(absl::StrCat(
                          "the logs of the line folder are larger than ", kLogBytes >> 30,
                          " GiB; split the line into several folders")),
                      "LINE_FOLDER_TOO_LARGE");
  }
  log_->Feed(content);
  return absl::OkStatus();
}

absl::Status LineUpload::Add(std::string_view path, std::string_view content) {
  if (content.size() > kChunkBytes) {
    return PathFault(path, absl::StrCat("a chunk has ", content.size(), " bytes"),
                     absl::StrCat("send at most ", kChunkBytes, " bytes a message"));
  }
  if (IsLogPath(path)) return AddToLog(path, content);
  if (any_log_) return PathFault(path, "came behind a log", kLogsComeLast);
  const auto place = places_.find(path);
  const bool is_new = place == places_.end();
  if (is_new) RETURN_IF_ERROR(CheckNewFile(path));
  const int64_t content_bytes = static_cast<int64_t>(content.size());
  if (content_bytes_ + content_bytes > kFolderBytes) {
    return WithReason(absl::ResourceExhaustedError(absl::StrCat(
                          "the line folder is larger than ", kFolderBytes >> 20,
                          " MiB; split the line, or put time-stamped logs below logs/")),
                      "LINE_FOLDER_TOO_LARGE");
  }
  RETURN_IF_ERROR(Reserve(content_bytes + (is_new ? kFileOverheadBytes : 0)));
  content_bytes_ += content_bytes;
  if (is_new) {
    places_.emplace(std::string(path), files_.size());
    files_.push_back({.path = std::string(path), .bytes = std::string(content)});
  } else {
    files_[place->second].bytes.append(content);
  }
  return absl::OkStatus();
}

absl::Status LineUpload::AddRelease(std::string_view content) {
  if (content.size() > kChunkBytes) {
    return WithReason(absl::InvalidArgumentError(absl::StrCat(
                          "a piece of the release has ", content.size(),
                          " bytes; send at most ", kChunkBytes, " bytes a message")),
                      "CHUNK_TOO_LARGE");
  }
  if (static_cast<int64_t>(release_.size() + content.size()) > kReleaseBytes) {
    return WithReason(absl::ResourceExhaustedError(
                          absl::StrCat("the release is larger than ", kReleaseBytes >> 20,
                                       " MiB; publish it and name its digest")),
                      "RELEASE_TOO_LARGE");
  }
  RETURN_IF_ERROR(Reserve(static_cast<int64_t>(content.size())));
  release_.append(content);
  return absl::OkStatus();
}

std::vector<release::LineFile> LineUpload::Take() && {
  CloseLog();
  std::vector<release::LineFile> files = std::move(files_);
  files_.clear();
  places_.clear();
  std::sort(files.begin(), files.end(),
            [](const auto& a, const auto& b) { return a.path < b.path; });
  return files;
}

}  // namespace ratebound::service
