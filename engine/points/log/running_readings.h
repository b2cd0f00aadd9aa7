// Mean and extremes of one column over a whole log, as its rows go by.
//
// Inside of LogIntake. Memory: a few numbers. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_RUNNING_READINGS_H_
#define RATEBOUND_ENGINE_POINTS_LOG_RUNNING_READINGS_H_

#include <cmath>
#include <cstdint>

#include "engine/document/log.h"
#include "engine/number/sum.h"
#include "engine/points/log/log_row.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {

class RunningReadings {
 public:
  // NaN, where nothing was measured, counts as no reading.
  void Add(double value, int64_t line) {
    if (std::isnan(value)) return;
    if (count_ == 0 || value < least_) {
      least_ = value;
      least_line_ = line;
    }
    if (count_ == 0 || value > greatest_) {
      greatest_ = value;
      greatest_line_ = line;
    }
    ++count_;
    sum_.Add(value);
  }

  // `channel` is of a quantity; readings of a reciprocal unit are in SI already.
  document::ReadingStatistics Statistics(const LogChannel& channel) const {
    document::ReadingStatistics statistics{.quantity = channel.name, .count = count_};
    if (count_ == 0) return statistics;
    const auto si = [&](double value) {
      return channel.unit.reciprocal ? value : quantity::ToSi(value, channel.unit);
    };
    statistics.mean_si = si(sum_.Total() / static_cast<double>(count_));
    statistics.least_si = si(least_);
    statistics.greatest_si = si(greatest_);
    statistics.least_line = least_line_;
    statistics.greatest_line = greatest_line_;
    return statistics;
  }

 private:
  int64_t count_ = 0;
  double least_ = 0;
  double greatest_ = 0;
  int64_t least_line_ = 0;
  int64_t greatest_line_ = 0;
  number::OrderedSum sum_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_RUNNING_READINGS_H_
