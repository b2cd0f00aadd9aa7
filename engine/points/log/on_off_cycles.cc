#include "engine/points/log/on_off_cycles.h"

#include <algorithm>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/log/cycle_row.h"
#include "engine/points/log/frost_cycles.h"

namespace ratebound::points {
namespace {

using document::CycleFigure;
using document::LogSpanKind;

constexpr char kTrapezoid[] = "trapezoid rule from row to row";

class OnOffCutter : public LogCut {
 public:
  OnOffCutter(LogContext& context, CycleRowReader reader)
      : context_(context),
        plan_(*context.log->on_off_cycles),
        reader_(std::move(reader)),
        integrals_(0) {
    before_first_ = context.spans->AddReason("before the first start");
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
    const bool on = now_.signal >= plan_.threshold;
    if (!has_previous_) {
      stretch_ = now_;
      off_since_s_ = now_.time_s;
    } else {
      AddStep();
      if (on && !was_on_) Start();
      if (!on && was_on_) off_since_s_ = now_.time_s;
    }
    if (on) {
      least_on_w_ = std::min(least_on_w_, now_.power_w);
      greatest_on_w_ = std::max(greatest_on_w_, now_.power_w);
    }
    was_on_ = on;
    has_previous_ = true;
    std::swap(previous_, now_);
  }

  void Stop(StopCause cause, double) override {
    if (cause == StopCause::kRejectedRow) return;
    if (has_previous_) {
      const int reason = in_cycle_
                             ? context_.spans->AddReason(absl::StrCat(
                                   "incomplete cycle ", base::Absl(BeforeWhat(cause))))
                             : before_first_;
      context_.spans->RejectApart(reason, StretchToPrevious());
    }
    has_previous_ = false;
    in_cycle_ = false;
  }

  void Withdraw(int64_t line, int) override {
    std::vector<document::CycleSummary>& cycles = context_.result->report.cycles;
    while (!cycles.empty() && cycles.back().last_line >= line) cycles.pop_back();
  }

  bool IsAtRest(const LogRow& row) const override {
    return row.values[reader_.signal_channel()] < plan_.threshold;
  }

  void Finish() override {
    std::vector<CycleFigure>& figures = context_.result->report.figures;
    const auto count = static_cast<double>(context_.result->report.cycles.size());
    figures.push_back({"cycle_count", count, "1", "whole cycles behind the warm-up"});
    figures.push_back(
        {"start_count", static_cast<double>(start_count_), "1", "from off to on"});
    const double total_s = on_s_.Total() + off_s_.Total();
    if (total_s > 0) {
      figures.push_back({"on_time_fraction", on_s_.Total() / total_s, "1",
                         "of all the time covered by rows"});
    }
    if (on_s_.Total() > 0) {
      figures.push_back({"power_on_mean", on_energy_j_.Total() / on_s_.Total(), "W",
                         "time mean while on"});
      figures.push_back({"power_on_least", least_on_w_, "W", "least reading while on"});
      figures.push_back(
          {"power_on_greatest", greatest_on_w_, "W", "greatest reading while on"});
    }
    const double standby_w = standby_j_.Total() / standby_s_.Total();
    const bool has_standby = standby_s_.Total() > 0;
    if (has_standby) {
      figures.push_back({"standby_power", standby_w, "W",
                         absl::StrFormat("time mean while off, from %s s after a stop on",
                                         base::ShortestText(kStandbyDelayS))});
    }
    for (const Column& column : ColumnsOfCycles()) {
      const Repeats repeats = RepeatsOf(column.values);
      figures.push_back({column.name, repeats.mean, column.unit, "mean of the cycles"});
      if (column.values.size() < 2) continue;
      figures.push_back({absl::StrCat(column.name, "_repeatability"),
                         repeats.relative_spread, "1",
                         "(greatest - least) / mean of the cycles"});
    }
    if (has_standby && context_.steady_point && context_.steady_point->power_w > 0) {
      figures.push_back({"standby_share_coefficient",
                         1 - standby_w / context_.steady_point->power_w, "1",
                         "C_c = 1 - standby power / steady power"});
    }
    if (context_.result->report.cycles.empty()) {
      context_.AddFinding(
          document::Severity::kWarning,
          absl::StrFormat("no whole cycle behind %d of warm-up: the log has %d starts",
                          plan_.warm_up_cycles, start_count_),
          0);
    }
  }

 private:
  struct Column {
    std::string name;
    std::string unit;
    std::vector<double> values;  // by cycle
  };

  // Figures by name, in the order in which cycles first give them.
  std::vector<Column> ColumnsOfCycles() const {
    std::vector<Column> columns;
    for (const document::CycleSummary& cycle : context_.result->report.cycles) {
      for (const CycleFigure& figure : cycle.figures) {
        auto column = std::find_if(columns.begin(), columns.end(), [&](const Column& c) {
          return c.name == figure.name;
        });
        if (column == columns.end()) {
          column = columns.insert(columns.end(), {figure.name, figure.unit, {}});
        }
        column->values.push_back(figure.value);
      }
    }
    return columns;
  }

  LogStretch StretchToPrevious() const {
    return {stretch_.line, previous_.line, stretch_.time_s, previous_.time_s};
  }

  void AddStep() {
    const double step_s = now_.time_s - previous_.time_s;
    const double energy_j = step_s * (0.5 * previous_.power_w + 0.5 * now_.power_w);
    if (in_cycle_) integrals_.Add(previous_, now_);
    if (was_on_) {
      on_s_.Add(step_s);
      on_energy_j_.Add(energy_j);
      cycle_on_s_.Add(step_s);
    } else {
      off_s_.Add(step_s);
      const bool at_rest =
          now_.signal < plan_.threshold &&
          previous_.time_s >= off_since_s_ + kStandbyDelayS - kStampSlackS;
      if (at_rest) {
        standby_s_.Add(step_s);
        standby_j_.Add(energy_j);
      }
    }
  }

  // now_ is the first row that is on.
  void Start() {
    ++start_count_;
    if (!in_cycle_) {
      context_.spans->RejectApart(before_first_, StretchToPrevious());
    } else {
      CloseCycle();
    }
    in_cycle_ = true;
    stretch_ = now_;
    integrals_ = CycleIntegrals(0);
    cycle_on_s_ = {};
  }

  void CloseCycle() {
    LogStretch stretch = StretchToPrevious();
    stretch.end_s = now_.time_s;
    if (warm_ups_ < plan_.warm_up_cycles) {
      ++warm_ups_;
      context_.spans->RejectApart(
          context_.spans->AddReason(
              absl::StrFormat("warm-up cycle %d of %d", warm_ups_, plan_.warm_up_cycles)),
          stretch);
      return;
    }
    std::vector<document::CycleSummary>& cycles = context_.result->report.cycles;
    if (cycles.size() == static_cast<size_t>(kMostCycles)) {
      if (!fluttered_) {
        context_.AddFault(
            static_cast<int>(now_.line),
            absl::StrCat("more than ", kMostCycles, " cycles of on and off"),
            "check signal and threshold");
      }
      fluttered_ = true;
      return;
    }
    const double tau_s = integrals_.duration_s();
    const double on_s = cycle_on_s_.Total();
    const double heat_j = integrals_.heat_j();
    const double energy_j = integrals_.energy_j();
    std::vector<CycleFigure> figures = {
        {"duration", tau_s, "s", "from a start to the next"},
        {"on_time", on_s, "s", "signal at or above its threshold"},
        {"off_time", tau_s - on_s, "s", "signal below its threshold"},
        {"electric_energy", energy_j, "J", kTrapezoid}};
    if (reader_.has_capacity()) {
      figures.push_back({"delivered_heat", heat_j, "J", kTrapezoid});
      if (energy_j > 0) {
        figures.push_back({"cyclic_efficiency", heat_j / energy_j, "W/W",
                           "delivered heat / electric energy"});
      }
      if (context_.steady_point) AddDegradation(heat_j, energy_j, tau_s, figures);
    }
    cycles.push_back({.first_line = stretch.first_line,
                      .last_line = stretch.last_line,
                      .figures = std::move(figures)});
    context_.spans->Keep(LogSpanKind::kCycle, stretch, "");
  }

  void AddDegradation(double heat_j, double energy_j, double tau_s,
                      std::vector<CycleFigure>& figures) const {
    const SteadyReference& steady = *context_.steady_point;
    if (!(steady.capacity_w > 0) || !(steady.power_w > 0)) return;
    const double load_factor = heat_j / (steady.capacity_w * tau_s);
    figures.push_back({"load_factor", load_factor, "1",
                       "delivered heat / (steady capacity x duration)"});
    if (!(energy_j > 0) || !(load_factor < 1)) return;
    const double efficiency_ratio =
        heat_j / energy_j / (steady.capacity_w / steady.power_w);
    figures.push_back({"degradation_coefficient",
                       (1 - efficiency_ratio) / (1 - load_factor), "1",
                       "C_D = (1 - cyclic / steady efficiency) / (1 - load factor)"});
  }

  LogContext& context_;
  const document::OnOffCycles& plan_;
  CycleRowReader reader_;
  int before_first_ = 0;
  CycleRow now_;
  CycleRow previous_;
  CycleRow stretch_;  // its first row
  bool has_previous_ = false;
  bool was_on_ = false;
  bool in_cycle_ = false;
  bool fluttered_ = false;
  double off_since_s_ = 0;
  int warm_ups_ = 0;
  int start_count_ = 0;
  CycleIntegrals integrals_;
  number::OrderedSum cycle_on_s_;
  // Over the whole log.
  number::OrderedSum on_s_, off_s_, on_energy_j_, standby_s_, standby_j_;
  double least_on_w_ = std::numeric_limits<double>::infinity();
  double greatest_on_w_ = -std::numeric_limits<double>::infinity();
};

}  // namespace

std::unique_ptr<LogCut> MakeOnOffCycles(LogContext& context) {
  auto reader =
      CycleRowReader::Create(context, context.log->on_off_cycles->signal, false);
  if (!reader) return nullptr;
  return std::make_unique<OnOffCutter>(context, *std::move(reader));
}

}  // namespace ratebound::points
