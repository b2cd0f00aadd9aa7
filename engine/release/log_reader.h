// One log of a line folder, read as its bytes come.
//
// Example:
//   LogReader reader = LogReader::Open(files_so_far, published_methods, "logs/day1.csv");
//   while (...) reader.Feed(chunk);
//   std::shared_ptr<const LogRead> log = reader.Finish();
//
// The files so far must hold the manifest, the folder's own methods and, where a log of
// on/off cycles names a steady point, its file of points. What is wrong with them or with
// the log is the result of the LogRead; the digest is there in any case.
//
// Memory: that of points/log/log_intake.h, which does not grow with the log.
// Thread-safety: one thread at a time.
#ifndef RATEBOUND_ENGINE_RELEASE_LOG_READER_H_
#define RATEBOUND_ENGINE_RELEASE_LOG_READER_H_

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "engine/document/method.h"
#include "engine/document/sha256.h"
#include "engine/points/log/log_intake.h"
#include "engine/release/line_file.h"

namespace ratebound::release {

class LogReader {
 public:
  static LogReader Open(std::span<const LineFile> files,
                        std::span<const document::MeasurementMethod> published_methods,
                        std::string_view path);

  void Feed(std::string_view content);
  std::shared_ptr<const LogRead> Finish();

 private:
  LogReader() : digest_(std::make_unique<document::Sha256>()) {}

  std::unique_ptr<document::Sha256> digest_;
  int64_t byte_count_ = 0;
  absl::Status status_;
  std::optional<points::LogIntake> intake_;
};

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_LOG_READER_H_
