// The files of a line folder as they arrive: chunk by chunk, logs last, from a caller who
// may mean ill.
//
// Example:
//   LineUpload upload(budget);
//   RETURN_IF_ERROR(upload.Add("points/day1.csv", bytes));
//   std::vector<release::LineFile> files = std::move(upload).Take();
//
// Logs, which stand below logs/, may be far larger than memory: they are not kept but
// handed to a LogSink as they come, and what it made of them is in the file's `log`. How
// a log is read stands in line.textproto, methods/ and, for a steady point, points/;
// so logs come last, and one after the other: what one sink holds is bounded, what ten
// thousand hold is not.
//
// Paths: relative, with forward slashes, UTF-8 without control characters, at most 512
// bytes, no empty, "." or ".." part. Nothing is ever written to a disk under them; the
// rules keep what a report or an error prints the path that the caller has.
//
// Errors: INVALID_ARGUMENT for a path or chunk against the rules, and for files out of
// that order; RESOURCE_EXHAUSTED for a folder past its limits, or for all uploads
// together past the budget of the server, in which a log counts with what is left of it
// when it is read. Thread-safety: one thread at a time; UploadBudget may be shared.
#ifndef RATEBOUND_SERVICE_LINE_UPLOAD_H_
#define RATEBOUND_SERVICE_LINE_UPLOAD_H_

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "engine/release/build.h"

namespace ratebound::service {

inline constexpr int64_t kFolderBytes = 64 << 20;  // without logs
inline constexpr int64_t kReleaseBytes = 64 << 20;
inline constexpr int64_t kLogBytes = int64_t{16} << 30;
inline constexpr int kFolderFiles = 10'000;
inline constexpr int kChunkBytes = 64 << 10;
inline constexpr int kPathBytes = 512;
// What the sink of a log may hold: a row of 1 MiB twice, and the rows of a window.
inline constexpr int64_t kOpenLogBytes = 4 << 20;

// Bytes that all uploads under way may hold together.
class UploadBudget {
 public:
  explicit UploadBudget(int64_t most_bytes) : left_(most_bytes) {}
  bool Reserve(int64_t byte_count);
  void Return(int64_t byte_count) { left_ += byte_count; }

 private:
  std::atomic<int64_t> left_;
};

// OK for a path that follows the rules above.
absl::Status CheckPath(std::string_view path);

// Whether the file is a log, by its path.
bool IsLogPath(std::string_view path);

// Takes the bytes of one log. What is wrong with them is part of what Finish gives.
class LogSink {
 public:
  virtual ~LogSink() = default;
  virtual void Feed(std::string_view content) = 0;
  virtual std::shared_ptr<const release::LogRead> Finish() = 0;
};
// Opens the log of that path; the files are those that came before it and last as long as
// the call.
using LogOpener = std::function<std::unique_ptr<LogSink>(
    std::span<const release::LineFile> files, std::string_view path)>;

// About how much memory a log takes once it is read.
int64_t HeldBytes(const release::LogRead& log);

class LineUpload {
 public:
  // Without an opener logs are refused.
  explicit LineUpload(std::shared_ptr<UploadBudget> budget, LogOpener open_log = {})
      : budget_(std::move(budget)), open_log_(std::move(open_log)) {}
  ~LineUpload() { budget_->Return(reserved_bytes_); }
  LineUpload(const LineUpload&) = delete;
  LineUpload& operator=(const LineUpload&) = delete;

  // Appends to the file of that path.
  absl::Status Add(std::string_view path, std::string_view content);

  // Appends to the serialized release that the folder is held against.
  absl::Status AddRelease(std::string_view content);
  std::string TakeRelease() { return std::exchange(release_, {}); }

  // The files in the order of their paths, the last log read to its end. The bytes stay
  // counted until the upload goes.
  std::vector<release::LineFile> Take() &&;

 private:
  absl::Status CheckNewFile(std::string_view path) const;
  absl::Status Reserve(int64_t byte_count);
  absl::Status OpenLog(std::string_view path);
  absl::Status AddToLog(std::string_view path, std::string_view content);
  void CloseLog();

  std::shared_ptr<UploadBudget> budget_;
  LogOpener open_log_;
  std::string release_;
  std::vector<release::LineFile> files_;
  std::map<std::string, size_t, std::less<>> places_;  // in files_, by path
  std::unique_ptr<LogSink> log_;  // the last of files_, not yet read to its end
  bool any_log_ = false;
  int64_t log_bytes_ = 0;
  int64_t content_bytes_ = 0;
  int64_t reserved_bytes_ = 0;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_LINE_UPLOAD_H_
