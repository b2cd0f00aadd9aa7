// Time-stamped logs: how they are cut, in the LogFile of a manifest, and what came of it,
// in a LogReport. See proto/ratebound/v1/line.proto and log.proto for what each field
// means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_LOG_H_
#define RATEBOUND_ENGINE_DOCUMENT_LOG_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/document/column.h"
#include "engine/document/measure.h"
#include "engine/document/method.h"

namespace ratebound::document {

struct TimeColumn {
  std::string header;
  std::string format;
  std::optional<double> longest_step_s;
  friend bool operator==(const TimeColumn&, const TimeColumn&) = default;
};

struct SteadyWindows {
  double length_s = 0;
  double delay_after_change_s = 0;
  std::vector<std::string> change_on;
  std::string method;
  std::vector<TestTolerance> tolerances;
  std::vector<Measure> set_points;
  friend bool operator==(const SteadyWindows&, const SteadyWindows&) = default;
};

struct FrostCycles {
  std::string signal;
  double threshold = 0;
  int least_cycles = 0;
  double least_time_s = 0;
  double most_time_s = 0;
  std::string source;
  friend bool operator==(const FrostCycles&, const FrostCycles&) = default;
};

struct OnOffCycles {
  std::string signal;
  double threshold = 0;
  int warm_up_cycles = 0;
  std::string steady_point;
  std::string source;
  friend bool operator==(const OnOffCycles&, const OnOffCycles&) = default;
};

struct IgnoredSpan {
  int first_line = 0;
  int last_line = 0;
  std::string reason;
  friend bool operator==(const IgnoredSpan&, const IgnoredSpan&) = default;
};

// Exactly one of steady_windows, frost_cycles and on_off_cycles is set.
struct LogFile {
  std::string path;
  std::string unit;
  std::string mode;
  std::string stage;
  std::vector<std::string> off_stages;
  std::string block;
  std::string specimen;
  std::string regime;
  std::string tested_on;
  std::vector<Column> columns;
  TimeColumn time;
  std::optional<SteadyWindows> steady_windows;
  std::optional<FrostCycles> frost_cycles;
  std::optional<OnOffCycles> on_off_cycles;
  std::vector<IgnoredSpan> ignored_spans;
  double stuck_after_s = 1800;
  std::vector<std::string> may_stand_still;
  friend bool operator==(const LogFile&, const LogFile&) = default;
};

enum class LogSpanKind { kWindow, kCycle, kRejected, kIgnored };

struct LogSpan {
  LogSpanKind kind = LogSpanKind::kRejected;
  int64_t first_line = 0;
  int64_t last_line = 0;
  double start_s = 0;
  double end_s = 0;
  std::string reason;
  std::string point;
  friend bool operator==(const LogSpan&, const LogSpan&) = default;
};

struct CycleFigure {
  std::string name;
  double value = 0;
  std::string unit;
  std::string how;
  friend bool operator==(const CycleFigure&, const CycleFigure&) = default;
};

struct CycleSummary {
  int64_t first_line = 0;
  int64_t last_line = 0;
  std::vector<CycleFigure> figures;
  friend bool operator==(const CycleSummary&, const CycleSummary&) = default;
};

// All readings of a quantity that were taken in operation and can be believed.
struct ReadingStatistics {
  std::string quantity;
  int64_t count = 0;
  double mean_si = 0;
  double least_si = 0;
  double greatest_si = 0;
  int64_t least_line = 0;  // the first of them
  int64_t greatest_line = 0;
  friend bool operator==(const ReadingStatistics&, const ReadingStatistics&) = default;
};

struct LogReport {
  std::string path;
  int64_t row_count = 0;
  double duration_s = 0;
  std::vector<LogSpan> spans;
  std::vector<CycleSummary> cycles;
  std::vector<CycleFigure> figures;
  friend bool operator==(const LogReport&, const LogReport&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_LOG_H_
