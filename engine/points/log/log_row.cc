#include "engine/points/log/log_row.h"

#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/points/log/stamp_reader.h"

namespace ratebound::points {

std::string_view BeforeWhat(StopCause cause) {
  switch (cause) {
    case StopCause::kChange:
      return "before a change";
    case StopCause::kOff:
      return "before the unit was off";
    case StopCause::kGap:
      return "before a gap";
    case StopCause::kIgnored:
      return "before rows left out by decision";
    case StopCause::kRejectedRow:
      return "before a rejected row";
    case StopCause::kStuck:
      return "before a sensor stuck";
    case StopCause::kEnd:
      break;
  }
  return "before the end of the log";
}

int LogContext::FindChannel(std::string_view quantity) const {
  for (size_t i = 0; i < channels.size(); ++i) {
    if (channels[i].is_quantity() && channels[i].name == quantity) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

document::TestPoint LogContext::MakePoint(const LogLabels& of_rows, int64_t first_line,
                                          int64_t last_line,
                                          std::optional<int32_t> day) const {
  document::TestPoint point;
  const std::string_view path = log->path;
  point.id = absl::StrCat(base::Absl(path.substr(path.rfind('/') + 1)), ":", first_line);
  point.file = log->path;
  point.line = static_cast<int>(first_line);
  point.last_line = static_cast<int>(last_line);
  point.unit = log->unit;
  point.mode = log->mode;
  point.stage = of_rows.stage;
  point.block = of_rows.block;
  point.specimen = of_rows.specimen;
  point.regime = of_rows.regime;
  point.tested_on = of_rows.tested_on;
  if (point.tested_on.empty()) point.tested_on = day ? IsoDate(*day) : log->tested_on;
  return point;
}

void LogContext::AddFault(int line, std::string message, std::string remedy) const {
  faults->Add({.file = log->path,
               .line = line,
               .message = std::move(message),
               .remedy = std::move(remedy)});
}

void LogContext::AddFinding(document::Severity severity, std::string message,
                            int64_t line) const {
  result->findings.push_back({.severity = severity,
                              .subject = log->path,
                              .message = std::move(message),
                              .file = log->path,
                              .line = static_cast<int>(line)});
}

}  // namespace ratebound::points
