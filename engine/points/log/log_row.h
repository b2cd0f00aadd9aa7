// What the parts of the intake hand one another: channels, rows, and the cut that takes
// rows to pieces.
//
// Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_LOG_ROW_H_
#define RATEBOUND_ENGINE_POINTS_LOG_LOG_ROW_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/fault.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/points/log/log_result.h"
#include "engine/points/log/span_list.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {

// Stamps that should be equal may differ by the rounding of their seconds, no more.
inline constexpr double kStampSlackS = 1e-5;

// A column of numbers. Values stay in the column's unit until a figure leaves the log;
// those of reciprocal units (kW/ton) are turned into SI as they are read.
struct LogChannel {
  std::string name;  // of the quantity, or the heading of a state
  int column = 0;
  const quantity::Quantity* quantity = nullptr;  // null for a state
  quantity::Unit unit;

  bool is_quantity() const { return quantity != nullptr; }
};

struct LogRow {
  int64_t line = 0;
  double time_s = 0;  // from the first stamp
  std::optional<int32_t> day;
  const double* values = nullptr;  // by channel, NaN where nothing was measured
};

// Labels that hold for a stretch of rows.
struct LogLabels {
  std::string stage;
  std::string block;
  std::string specimen;
  std::string regime;
  std::string tested_on;
  friend bool operator==(const LogLabels&, const LogLabels&) = default;
};

enum class StopCause { kChange, kOff, kGap, kIgnored, kRejectedRow, kStuck, kEnd };
inline constexpr int kStopCauseCount = static_cast<int>(StopCause::kEnd) + 1;
// "before a gap", for reasons.
std::string_view BeforeWhat(StopCause cause);

// What all cuts share; owned by the intake.
struct LogContext {
  const document::LineManifest* manifest = nullptr;
  const document::LogFile* log = nullptr;
  const document::Unit* unit = nullptr;
  const document::Mode* mode = nullptr;
  std::vector<LogChannel> channels;
  RowReducer reducer;
  std::optional<SteadyReference> steady_point;
  base::FaultList* faults = nullptr;
  SpanList* spans = nullptr;
  LogResult* result = nullptr;
  LogLabels labels;     // of the row at hand
  double change_s = 0;  // the last change of labels, gap, start or ignored row
  // Known before the first row is cut.
  double typical_step_s = 0;
  double longest_step_s = 0;

  // The channel of a quantity; -1 where no column measures it.
  int FindChannel(std::string_view quantity) const;
  // A new point with everything but its values; by now the labels are those of its rows.
  document::TestPoint MakePoint(const LogLabels& of_rows, int64_t first_line,
                                int64_t last_line, std::optional<int32_t> day) const;
  void AddFault(int line, std::string message, std::string remedy) const;
  void AddFinding(document::Severity severity, std::string message, int64_t line) const;
};

// One of the three ways to cut a log.
class LogCut {
 public:
  virtual ~LogCut() = default;
  // A row of the unit in operation whose readings can be believed. Its values live until
  // the call returns.
  virtual void Row(const LogRow& row) = 0;
  // The rows so far and those to come do not hang together; the last reading stands until
  // `end_s`. Comes ahead of a change of context.labels. May come twice.
  virtual void Stop(StopCause cause, double end_s) = 0;
  // Rows from `line` on turn out to be no good. Comes ahead of a Stop.
  virtual void Withdraw(int64_t line, int reason) = 0;
  virtual void Finish() {}
  // Readings may stand still: the machine does.
  virtual bool IsAtRest(const LogRow&) const { return false; }
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_LOG_ROW_H_
