// What a cycle is made of: a row's capacity and power, its state, and integrals from row
// to row.
//
// Inside of LogIntake. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_CYCLE_ROW_H_
#define RATEBOUND_ENGINE_POINTS_LOG_CYCLE_ROW_H_

#include <string>
#include <string_view>
#include <vector>

#include "engine/number/sum.h"
#include "engine/points/log/log_row.h"

namespace ratebound::points {

struct CycleRow {
  int64_t line = 0;
  double time_s = 0;
  std::optional<int32_t> day;
  double signal = 0;      // in the column's unit
  double capacity_w = 0;  // 0 where the log gives none
  double power_w = 0;
  std::vector<double> conditions;  // in the columns' units, NaN where not measured
};

// Reads rows for a cut of cycles: capacity and power from their columns or, where there
// are none, from the reducer.
class CycleRowReader {
 public:
  // Faults: no column of the signal; no power, or where `needs_capacity` no capacity.
  static std::optional<CycleRowReader> Create(const LogContext& context,
                                              std::string_view signal,
                                              bool needs_capacity);

  bool has_capacity() const { return capacity_channel_ >= 0 || reduces_; }
  int signal_channel() const { return signal_channel_; }
  // The channels of the mode's conditions that the log measures.
  const std::vector<int>& conditions() const { return conditions_; }

  // Empty for a complete row; otherwise why it cannot be used.
  std::string_view Read(const LogRow& row, CycleRow& cycle_row);

 private:
  explicit CycleRowReader(const LogContext& context) : context_(&context) {}

  const LogContext* context_;
  int signal_channel_ = -1;
  int capacity_channel_ = -1;
  int power_channel_ = -1;
  bool reduces_ = false;
  std::vector<int> conditions_;
  std::vector<RowReading> readings_;
};

// Integrals over time by the trapezoid rule, from the stamp of the first row to that of
// the last: neighbouring cycles share a row, so they tile the time without overlap or
// loss, and nothing is added at the ends. Exact for figures that are linear from row to
// row; for a step between two rows, half a row step of it is uncertain.
class CycleIntegrals {
 public:
  explicit CycleIntegrals(size_t condition_count)
      : conditions_(condition_count), condition_s_(condition_count) {}

  void Add(const CycleRow& from, const CycleRow& to);
  void Add(const CycleIntegrals& other);

  double duration_s() const { return duration_s_.Total(); }
  double heat_j() const { return heat_j_.Total(); }
  double energy_j() const { return energy_j_.Total(); }
  // Over the time in which it was measured, in the column's unit; NaN where never.
  double MeanCondition(size_t i) const {
    return conditions_[i].Total() / condition_s_[i].Total();
  }

 private:
  number::OrderedSum duration_s_;
  number::OrderedSum heat_j_;
  number::OrderedSum energy_j_;
  std::vector<number::OrderedSum> conditions_;
  std::vector<number::OrderedSum> condition_s_;
};

// Figures that repeat from cycle to cycle.
struct Repeats {
  double mean = 0;
  double standard_deviation = 0;
  double relative_spread = 0;  // (greatest - least) / |mean|
};
Repeats RepeatsOf(const std::vector<double>& figures);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_CYCLE_ROW_H_
