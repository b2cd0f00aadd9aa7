// Which rows of a log can be believed: readings within what their quantity can be, wet
// bulbs and dew points not above what they cannot exceed, sensors that move.
//
// Rules and limits are those of log_intake.h. A power meter's zero may lie a little below
// 0: a negative power up to kZeroOffsetFraction of the unit's nominal capacity is taken
// as it is (common practice, no source).
//
// Inside of LogIntake. Memory: some numbers a channel. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_ROW_SCREEN_H_
#define RATEBOUND_ENGINE_POINTS_LOG_ROW_SCREEN_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/points/log/log_row.h"

namespace ratebound::points {

inline constexpr double kZeroOffsetFraction = 0.01;

class RowScreen {
 public:
  explicit RowScreen(const LogContext& context);

  // A sensor that turned out to be stuck: rows from `first_line` on are no good.
  struct Stuck {
    int64_t first_line = 0;
    int reason = 0;
  };
  // Of a row of the unit in operation: the reason why it is rejected, -1 for none.
  // `stuck` is set on the first row that shows it.
  int Check(const LogRow& row, std::optional<Stuck>& stuck);

  // What stood still before need not have been stuck: the unit was off, or a gap.
  void ForgetStillness();

  // Findings, and faults for what befell more than half of the rows.
  void Tell() const;

 private:
  struct Tally {
    int64_t rows = 0;
    int64_t first_line = 0;
    double longest_s = 0;
  };
  struct ChannelState {
    double least = 0;  // of the plausible range, in the column's unit
    double greatest = 0;
    bool may_stand_still = false;
    double value = 0;
    double since_s = 0;
    int64_t since_line = 0;
    bool told = false;  // of this standstill
    Tally implausible;
    Tally stuck;
    int implausible_reason = 0;
    int stuck_reason = 0;
  };
  struct HumidityPair {
    size_t lower = 0;
    size_t upper = 0;
    int reason = 0;
    Tally tally;
  };
  bool IsAbove(const HumidityPair& pair, const LogRow& row) const;

  const LogContext& context_;
  double stuck_after_s_;
  std::vector<ChannelState> states_;
  std::vector<HumidityPair> pairs_;
  int64_t rows_ = 0;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_ROW_SCREEN_H_
