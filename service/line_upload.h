// The files of a line folder as they arrive: chunk by chunk, in any order, from a caller
// who may mean ill.
//
// Example:
//   LineUpload upload(budget);
//   RETURN_IF_ERROR(upload.Add("points/day1.csv", bytes));
//   std::vector<release::LineFile> files = std::move(upload).Take();
//
// Logs, which stand below logs/, may be far larger than memory: they are not kept but
// handed to a LogSink as they come, and what it made of them is in the file's `log`. A
// sink needs the manifest, so line.textproto comes ahead of the first log.
//
// Paths: relative, with forward slashes, UTF-8 without control characters, at most 512
// bytes, no empty, "." or ".." part. Nothing is ever written to a disk under them; the
// rules keep what a report or an error prints the path that the caller has.
//
// Errors: INVALID_ARGUMENT for a path or chunk against the rules, and for a log ahead of
// line.textproto; RESOURCE_EXHAUSTED for a folder past its limits, or for all uploads
// together past the budget of the server. Thread-safety: one thread at a time;
// UploadBudget may be shared.
#ifndef RATEBOUND_SERVICE_LINE_UPLOAD_H_
#define RATEBOUND_SERVICE_LINE_UPLOAD_H_

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "engine/release/build.h"

namespace ratebound::service {

inline constexpr int64_t kFolderBytes = 64 << 20;  // without logs
inline constexpr int64_t kLogBytes = int64_t{16} << 30;
inline constexpr int kFolderFiles = 10'000;
inline constexpr int kChunkBytes = 64 << 10;
inline constexpr int kPathBytes = 512;

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
// Opens the log of that path; the files are those that came before it.
using LogOpener = std::function<std::unique_ptr<LogSink>(
    const std::map<std::string, std::string, std::less<>>& files, std::string_view path)>;

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

  // The files in the order of their paths, logs read to their ends. The bytes stay
  // counted until the upload goes.
  std::vector<release::LineFile> Take() &&;

 private:
  absl::Status CheckNewFile(std::string_view path) const;
  absl::Status AddToLog(std::string_view path, std::string_view content);

  std::shared_ptr<UploadBudget> budget_;
  LogOpener open_log_;
  std::map<std::string, std::string, std::less<>> files_;
  std::map<std::string, std::unique_ptr<LogSink>, std::less<>> logs_;
  int64_t log_bytes_ = 0;
  int64_t content_bytes_ = 0;
  int64_t reserved_bytes_ = 0;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_LINE_UPLOAD_H_
