// One file of a line folder, in memory; or what reading it as a log gave, for logs may be
// larger than memory and are read as they come.
#ifndef RATEBOUND_ENGINE_RELEASE_LINE_FILE_H_
#define RATEBOUND_ENGINE_RELEASE_LINE_FILE_H_

#include <cstdint>
#include <memory>
#include <string>

#include "absl/status/statusor.h"
#include "engine/points/log/log_intake.h"

namespace ratebound::release {

struct LogRead {
  std::string sha256;
  int64_t byte_count = 0;
  // What became of it; faults name file, line and column.
  absl::StatusOr<points::LogResult> result = absl::UnknownError("not read");
};

struct LineFile {
  std::string path;  // relative to the folder, with forward slashes
  std::string bytes;
  std::shared_ptr<const LogRead> log = nullptr;  // of a file below logs/; bytes are empty
};

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_LINE_FILE_H_
