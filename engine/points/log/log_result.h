// What cutting a time-stamped log gives, and what the caller lends to it.
//
// Thread-safety: plain values.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_LOG_RESULT_H_
#define RATEBOUND_ENGINE_POINTS_LOG_LOG_RESULT_H_

#include <functional>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "engine/document/log.h"
#include "engine/document/points.h"

namespace ratebound::points {

// One measured quantity of one row.
struct RowReading {
  std::string_view quantity;
  double value_si = 0;
};

struct RowFigures {
  std::optional<double> capacity_w;
  std::optional<double> power_w;
};

// Turns the readings of one row into capacity and power, for cycles of a log that has no
// column of them. Readings are in the order of their columns; what was not measured is
// not among them. An absent capacity means that the row gives none; the row is then left
// out. Called once for each row, in the order of time.
using RowReducer = std::function<RowFigures(std::span<const RowReading>)>;

// Capacity and power of the steady point that on/off cycles are compared with.
struct SteadyReference {
  double capacity_w = 0;
  double power_w = 0;
};

struct LogResult {
  document::LogReport report;
  // In the order of time. A point of a window is called by file name and first line,
  // "day1.csv:601". Its values are means over the rows of the window in which the
  // quantity was measured, in the order of their names; `standard_deviation_si` is of the
  // readings (n - 1), `spread_si` the greatest less the least. `reading_count` is the
  // *effective* number of readings, since neighbouring readings of a log resemble each
  // other: EffectiveReadings of sample_statistics.h. So
  // standard_deviation_si / sqrt(reading_count) is the standard uncertainty of the mean.
  std::vector<document::TestPoint> points;
  // One of each kind and quantity, with the number of rows and the first line.
  std::vector<document::Finding> findings;
  // One for each column of a quantity, in their order: over the rows that are neither
  // ignored nor rejected by themselves, whether or not a window or cycle took them; the
  // unit is on.
  std::vector<document::ReadingStatistics> statistics;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_LOG_RESULT_H_
