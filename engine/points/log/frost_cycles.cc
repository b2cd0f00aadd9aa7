#include "engine/points/log/frost_cycles.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/log/cycle_row.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using document::CycleSummary;
using document::LogSpanKind;

constexpr char kIntegrated[] = "integrated_heating_capacity";
constexpr char kTrapezoid[] = "trapezoid rule from row to row, over the cycle's time";

class FrostCutter : public LogCut {
 public:
  FrostCutter(LogContext& context, CycleRowReader reader)
      : context_(context),
        plan_(*context.log->frost_cycles),
        reader_(std::move(reader)),
        integrals_(reader_.conditions().size()) {
    SpanList& spans = *context.spans;
    before_first_ = spans.AddReason("before the end of the first defrost");
    done_ = spans.AddReason("behind the cycles of the point");
    too_long_ = spans.AddReason([](double longest) {
      return absl::StrFormat("a cycle of %.6g s makes the test longer than most_time_s",
                             longest);
    });
  }

  void Row(const LogRow& row) override {
    const std::string_view why = reader_.Read(row, now_);
    if (!why.empty()) {
      context_.spans->Reject(context_.spans->AddReason(std::string(why)),
                             {row.line, row.line, row.time_s, row.time_s});
      return;
    }
    if (has_previous_ &&
        now_.time_s - previous_.time_s > context_.longest_step_s + kStampSlackS) {
      Stop(StopCause::kGap, previous_.time_s);
    }
    if (finished_) {
      context_.spans->Reject(done_, {row.line, row.line, row.time_s, row.time_s});
      return;
    }
    const bool defrosting = now_.signal >= plan_.threshold;
    if (!has_previous_) {
      stretch_ = now_;
      labels_ = context_.labels;
    } else {
      if (in_cycle_) {
        integrals_.Add(previous_, now_);
        if (was_defrosting_) defrost_s_.Add(now_.time_s - previous_.time_s);
      }
      if (was_defrosting_ && !defrosting) EndOfDefrost();
      if (finished_) {
        context_.spans->Reject(done_, {now_.line, now_.line, now_.time_s, now_.time_s});
      }
    }
    was_defrosting_ = defrosting;
    has_previous_ = true;
    std::swap(previous_, now_);
  }

  void Stop(StopCause cause, double) override {
    if (cause == StopCause::kRejectedRow) return;
    if (has_previous_ && !finished_) {
      const double test_s = GroupSeconds() + previous_.time_s - stretch_.time_s;
      if (!group_.empty() && test_s > plan_.most_time_s) {
        MakePoint(true);
        RejectStretch(done_, previous_, 0);
      } else {
        GiveUpGroup(BeforeWhat(cause));
        RejectStretch(in_cycle_ ? context_.spans->AddReason(absl::StrCat(
                                      "incomplete cycle ", base::Absl(BeforeWhat(cause))))
                                : before_first_,
                      previous_, 0);
      }
    }
    has_previous_ = false;
    in_cycle_ = false;
    was_defrosting_ = false;
  }

  void Withdraw(int64_t line, int) override {
    std::vector<CycleSummary>& cycles = context_.result->report.cycles;
    const bool reaches_point =
        finished_ && !cycles.empty() && cycles.back().last_line >= line;
    if (!reaches_point) return;
    cycles.clear();
    context_.result->report.figures.clear();
    finished_ = false;
  }

  void Finish() override {
    if (finished_) return;
    context_.AddFinding(
        document::Severity::kWarning,
        absl::StrFormat("no test point: the log has %d whole cycles of frost and defrost "
                        "in a row, and %d of them and %s s are asked for",
                        most_in_a_row_, plan_.least_cycles,
                        base::ShortestText(plan_.least_time_s)),
        0);
  }

 private:
  struct Cycle {
    CycleSummary summary;
    LogStretch stretch;
    double capacity_w = 0;
    double power_w = 0;
    std::vector<double> conditions;
    CycleIntegrals integrals;
    std::optional<int32_t> day;
  };

  double GroupSeconds() const {
    return group_.empty() ? 0
                          : group_.back().stretch.end_s - group_.front().stretch.start_s;
  }

  LogStretch StretchTo(const CycleRow& last) const {
    return {stretch_.line, last.line, stretch_.time_s, last.time_s};
  }

  void RejectStretch(int reason, const CycleRow& last, double figure) {
    context_.spans->RejectApart(reason, StretchTo(last), figure);
  }

  // now_ is the first row behind a defrost.
  void EndOfDefrost() {
    if (!in_cycle_) {
      RejectStretch(before_first_, previous_, 0);
    } else {
      CloseCycle();
      if (finished_) return;
    }
    in_cycle_ = true;
    stretch_ = now_;
    integrals_ = CycleIntegrals(reader_.conditions().size());
    defrost_s_ = {};
  }

  void CloseCycle() {
    const double duration_s = integrals_.duration_s();
    if (GroupSeconds() + duration_s > plan_.most_time_s + kStampSlackS) {
      const bool enough = !group_.empty();
      if (enough) MakePoint(true);
      // The cycle ends where the next begins; that row is the next one's.
      RejectStretch(too_long_, previous_, duration_s);
      return;
    }
    if (group_.size() == static_cast<size_t>(kMostCycles)) {
      if (!fluttered_) {
        context_.AddFault(static_cast<int>(now_.line),
                          absl::StrCat("more than ", kMostCycles, " cycles of frost"),
                          "check signal and threshold, and least_time_s");
      }
      fluttered_ = true;
      return;
    }
    Cycle cycle{
        .stretch = StretchTo(previous_), .integrals = integrals_, .day = stretch_.day};
    cycle.stretch.end_s = now_.time_s;
    cycle.capacity_w = integrals_.heat_j() / duration_s;
    cycle.power_w = integrals_.energy_j() / duration_s;
    for (size_t i = 0; i < reader_.conditions().size(); ++i) {
      cycle.conditions.push_back(integrals_.MeanCondition(i));
    }
    cycle.summary = {.first_line = cycle.stretch.first_line,
                     .last_line = cycle.stretch.last_line};
    cycle.summary.figures = {
        {"duration", duration_s, "s", "from the end of a defrost to that of the next"},
        {"defrost_time", defrost_s_.Total(), "s", "signal at or above its threshold"},
        {kIntegrated, cycle.capacity_w, "W", kTrapezoid},
        {context_.mode->power_quantity, cycle.power_w, "W", kTrapezoid},
        {"delivered_heat", integrals_.heat_j(), "J", "trapezoid rule from row to row"},
        {"electric_energy", integrals_.energy_j(), "J",
         "trapezoid rule from row to row"}};
    group_.push_back(std::move(cycle));
    most_in_a_row_ = std::max(most_in_a_row_, static_cast<int>(group_.size()));
    if (static_cast<int>(group_.size()) >= plan_.least_cycles &&
        GroupSeconds() >= plan_.least_time_s - kStampSlackS) {
      MakePoint(false);
    }
  }

  // Whole cycles that do not come to a point.
  void GiveUpGroup(std::string_view before_what) {
    if (group_.empty()) return;
    const int reason = context_.spans->AddReason(
        absl::StrFormat("%d whole cycles, %.6g s, %s; %d and %s s are asked for",
                        group_.size(), GroupSeconds(), std::string(before_what),
                        plan_.least_cycles, base::ShortestText(plan_.least_time_s)));
    for (const Cycle& cycle : group_) context_.spans->RejectApart(reason, cycle.stretch);
    group_.clear();
  }

  void MakePoint(bool stopped_by_time) {
    finished_ = true;
    CycleIntegrals all(reader_.conditions().size());
    std::vector<double> capacities, powers;
    for (const Cycle& cycle : group_) {
      all.Add(cycle.integrals);
      capacities.push_back(cycle.capacity_w);
      powers.push_back(cycle.power_w);
    }
    const LogStretch whole{group_.front().stretch.first_line,
                           group_.back().stretch.last_line,
                           group_.front().stretch.start_s, group_.back().stretch.end_s};
    document::TestPoint point = context_.MakePoint(labels_, whole.first_line,
                                                   whole.last_line, group_.front().day);
    const auto add = [&](const std::string& name, double value_si,
                         const std::vector<double>& of_cycles, double scale) {
      const Repeats repeats = RepeatsOf(of_cycles);
      document::SiValue value{.quantity = name, .value_si = value_si + 0.0};
      value.reading_count = static_cast<int>(of_cycles.size());
      if (of_cycles.size() >= 2) {
        value.standard_deviation_si = repeats.standard_deviation * scale;
        value.spread_si = repeats.relative_spread * std::fabs(repeats.mean) * scale;
      }
      point.values.push_back(std::move(value));
    };
    const double capacity_w = all.heat_j() / all.duration_s();
    const double power_w = all.energy_j() / all.duration_s();
    add(kIntegrated, capacity_w, capacities, 1);
    add(context_.mode->power_quantity, power_w, powers, 1);
    for (size_t i = 0; i < reader_.conditions().size(); ++i) {
      const LogChannel& channel =
          context_.channels[static_cast<size_t>(reader_.conditions()[i])];
      std::vector<double> of_cycles;
      for (const Cycle& cycle : group_) {
        if (!std::isnan(cycle.conditions[i])) of_cycles.push_back(cycle.conditions[i]);
      }
      if (of_cycles.empty()) continue;
      add(channel.name, quantity::ToSi(all.MeanCondition(i), channel.unit), of_cycles,
          quantity::DifferenceToSi(1, channel.unit));
    }
    std::sort(point.values.begin(), point.values.end(),
              [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
    document::LogReport& report = context_.result->report;
    const std::string over = absl::StrCat("over ", group_.size(), " whole cycles");
    report.figures = {{"cycle_count", static_cast<double>(group_.size()), "1", ""},
                      {"duration", all.duration_s(), "s", over},
                      {kIntegrated, capacity_w, "W", over},
                      {context_.mode->power_quantity, power_w, "W", over},
                      {"capacity_repeatability", RepeatsOf(capacities).relative_spread,
                       "1", "(greatest - least) / mean of the cycles' capacities"}};
    for (Cycle& cycle : group_) {
      context_.spans->Keep(LogSpanKind::kCycle, cycle.stretch, point.id);
      report.cycles.push_back(std::move(cycle.summary));
    }
    if (stopped_by_time) {
      context_.AddFinding(document::Severity::kNote,
                          absl::StrFormat("the point is of %d cycles in %.6g s: another "
                                          "would have passed most_time_s",
                                          group_.size(), all.duration_s()),
                          whole.first_line);
    }
    context_.result->points.push_back(std::move(point));
    group_.clear();
  }

  LogContext& context_;
  const document::FrostCycles& plan_;
  CycleRowReader reader_;
  int before_first_ = 0;
  int done_ = 0;
  int too_long_ = 0;
  CycleRow now_;
  CycleRow previous_;
  CycleRow stretch_;  // its first row: of the cycle, or of what precedes the first
  LogLabels labels_;
  bool has_previous_ = false;
  bool was_defrosting_ = false;
  bool in_cycle_ = false;
  bool finished_ = false;
  bool fluttered_ = false;
  CycleIntegrals integrals_;
  number::OrderedSum defrost_s_;
  std::vector<Cycle> group_;
  int most_in_a_row_ = 0;
};

}  // namespace

std::unique_ptr<LogCut> MakeFrostCycles(LogContext& context) {
  auto reader = CycleRowReader::Create(context, context.log->frost_cycles->signal, true);
  if (!reader) return nullptr;
  return std::make_unique<FrostCutter>(context, *std::move(reader));
}

}  // namespace ratebound::points
