#include "engine/points/log/cycle_row.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/points/log/sample_statistics.h"
#include "engine/points/point_checks.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {

std::optional<CycleRowReader> CycleRowReader::Create(const LogContext& context,
                                                     std::string_view signal,
                                                     bool needs_capacity) {
  CycleRowReader reader(context);
  for (size_t i = 0; i < context.channels.size(); ++i) {
    if (context.channels[i].name == signal) reader.signal_channel_ = static_cast<int>(i);
  }
  reader.capacity_channel_ = context.FindChannel(context.mode->capacity_quantity);
  reader.power_channel_ = context.FindChannel(context.mode->power_quantity);
  reader.reduces_ = static_cast<bool>(context.reducer);
  for (const std::string& condition : AllConditions(*context.mode)) {
    const int channel = context.FindChannel(condition);
    if (channel >= 0) reader.conditions_.push_back(channel);
  }
  bool fits = true;
  const auto refuse = [&](std::string_view what) {
    context.AddFault(1, absl::StrCat("no column gives ", base::Absl(what)),
                     "map its heading, or give the mode a reduction that computes it");
    fits = false;
  };
  if (reader.signal_channel_ < 0) {
    context.AddFault(
        1, absl::StrCat("no column is the signal '", base::Printable(signal), "'"),
        "name a heading of the log or a quantity that it measures");
    fits = false;
  }
  if (reader.power_channel_ < 0 && !reader.reduces_) refuse(context.mode->power_quantity);
  if (needs_capacity && !reader.has_capacity()) refuse(context.mode->capacity_quantity);
  if (!fits) return {};
  return reader;
}

std::string_view CycleRowReader::Read(const LogRow& row, CycleRow& cycle_row) {
  cycle_row.line = row.line;
  cycle_row.time_s = row.time_s;
  cycle_row.day = row.day;
  cycle_row.signal = row.values[signal_channel_];
  if (std::isnan(cycle_row.signal)) return "the signal was not measured";
  std::optional<double> capacity_w;
  std::optional<double> power_w;
  const auto from_column = [&](int channel, std::optional<double>& figure) {
    if (channel < 0 || std::isnan(row.values[channel])) return;
    figure = quantity::ToSi(row.values[channel],
                            context_->channels[static_cast<size_t>(channel)].unit);
  };
  from_column(capacity_channel_, capacity_w);
  from_column(power_channel_, power_w);
  if (reduces_ && (capacity_channel_ < 0 || power_channel_ < 0)) {
    readings_.clear();
    for (size_t i = 0; i < context_->channels.size(); ++i) {
      const LogChannel& channel = context_->channels[i];
      if (!channel.is_quantity() || std::isnan(row.values[i])) continue;
      readings_.push_back(
          {channel.name, quantity::ToSi(row.values[i], channel.unit) + 0.0});
    }
    const RowFigures reduced = context_->reducer(readings_);
    if (capacity_channel_ < 0) capacity_w = reduced.capacity_w;
    if (power_channel_ < 0) power_w = reduced.power_w;
  }
  if (!power_w || !std::isfinite(*power_w)) return "no power could be had";
  if (has_capacity() && (!capacity_w || !std::isfinite(*capacity_w))) {
    return "no capacity could be had";
  }
  cycle_row.capacity_w = capacity_w.value_or(0);
  cycle_row.power_w = *power_w;
  cycle_row.conditions.clear();
  for (const int channel : conditions_) {
    cycle_row.conditions.push_back(row.values[channel]);
  }
  return "";
}

void CycleIntegrals::Add(const CycleRow& from, const CycleRow& to) {
  const double step_s = to.time_s - from.time_s;
  const double half_s = step_s / 2;
  duration_s_.Add(step_s);
  heat_j_.AddProduct(half_s, from.capacity_w);
  heat_j_.AddProduct(half_s, to.capacity_w);
  energy_j_.AddProduct(half_s, from.power_w);
  energy_j_.AddProduct(half_s, to.power_w);
  for (size_t i = 0; i < conditions_.size(); ++i) {
    const double a = from.conditions[i];
    const double b = to.conditions[i];
    if (std::isnan(a) || std::isnan(b)) continue;
    conditions_[i].AddProduct(half_s, a);
    conditions_[i].AddProduct(half_s, b);
    condition_s_[i].Add(step_s);
  }
}

void CycleIntegrals::Add(const CycleIntegrals& other) {
  duration_s_.Add(other.duration_s());
  heat_j_.Add(other.heat_j());
  energy_j_.Add(other.energy_j());
  for (size_t i = 0; i < conditions_.size(); ++i) {
    conditions_[i].Add(other.conditions_[i].Total());
    condition_s_[i].Add(other.condition_s_[i].Total());
  }
}

Repeats RepeatsOf(const std::vector<double>& figures) {
  if (figures.empty()) return {};
  const SampleStatistics statistics = StatisticsOf(figures);
  const double size = std::fabs(statistics.mean);
  return {
      .mean = statistics.mean,
      .standard_deviation = statistics.standard_deviation,
      .relative_spread = size > 0 ? (statistics.greatest - statistics.least) / size : 0};
}

}  // namespace ratebound::points
