// A tolerance of a method or log, made ready for one column of numbers.
//
// Inside of LogIntake. Thread-safety: const after creation.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_TOLERANCE_H_
#define RATEBOUND_ENGINE_POINTS_LOG_TOLERANCE_H_

#include <optional>
#include <string>

#include "engine/document/method.h"
#include "engine/points/log/log_row.h"
#include "engine/points/log/sample_statistics.h"
#include "engine/points/log/sliding_figures.h"

namespace ratebound::points {

enum class ToleranceKind { kSpread, kDeviation, kStandardDeviation, kMean };
inline constexpr int kToleranceKindCount = 4;

struct JudgedFigure {
  enum class Verdict { kPasses, kFails, kOpen } verdict = Verdict::kPasses;
  ToleranceKind kind = ToleranceKind::kSpread;  // of the one that fails
  // A difference in SI; in percent of set point or mean for a relative tolerance.
  double figure = 0;
};

class ChannelTolerance {
 public:
  ChannelTolerance(const document::TestTolerance& tolerance, const LogChannel& channel,
                   int channel_index, std::optional<double> set_point_si);

  int channel() const { return channel_; }
  bool needs_sums() const { return needs_sums_; }
  bool needs_extremes() const { return needs_extremes_; }
  bool lacks_set_point() const { return lacks_set_point_; }
  // Asks nothing, or nothing that can be judged.
  bool empty() const { return !needs_sums_ && !needs_extremes_; }

  // By figures that may be off by their own bounds; kOpen where those leave it open.
  JudgedFigure Judge(const SlidingFigures& figures) const;
  JudgedFigure Judge(const SampleStatistics& exact) const;

  // Whether a step from one reading to the next is a change.
  bool IsChange(double before, double after) const;

  // "leaving_air_db spread 1.3 degF, allowed 0.5".
  std::string Describe(ToleranceKind kind, double figure) const;

 private:
  struct Limit {
    double absolute = 0;  // in the column's unit
    double fraction = 0;
    bool relative = false;
    document::ToleranceFigure as_written;
  };
  struct Figures {
    double mean = 0, mean_error = 0;
    double variance = 0, variance_error = 0;
    double least = 0, greatest = 0;
  };
  JudgedFigure JudgeAll(const Figures& figures) const;
  // In the column's unit.
  double Allowed(const Limit& limit, double mean) const;

  std::string name_;
  int channel_ = 0;
  quantity::Unit unit_;
  double unit_scale_ = 1;  // SI for one of the unit, as a difference
  double unit_shift_ = 0;
  std::optional<double> set_point_;  // in the column's unit
  std::optional<Limit> limits_[kToleranceKindCount];
  bool needs_sums_ = false;
  bool needs_extremes_ = false;
  bool lacks_set_point_ = false;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_TOLERANCE_H_
