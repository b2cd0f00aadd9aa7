#include "engine/points/log/steady_windows.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/log/log_intake.h"
#include "engine/points/log/sample_statistics.h"
#include "engine/points/log/sliding_figures.h"
#include "engine/points/log/tolerance.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using document::LogSpanKind;
using Verdict = JudgedFigure::Verdict;

// Of one window; 64 MiB.
constexpr size_t kMostWindowCells = size_t{1} << 23;

// The rows that a window may still be made of, the oldest first.
class HeldRows {
 public:
  explicit HeldRows(size_t width) : width_(width) {}

  bool empty() const { return head_ == rows_.size(); }
  size_t size() const { return rows_.size() - head_; }
  const LogRow& at(size_t i) const { return rows_[head_ + i]; }
  double value(size_t i, size_t channel) const {
    return values_[(head_ + i) * width_ + channel];
  }
  void Push(const LogRow& row) {
    if (head_ > 64 && 2 * head_ > rows_.size()) {
      const auto gone = static_cast<std::ptrdiff_t>(head_);
      rows_.erase(rows_.begin(), rows_.begin() + gone);
      values_.erase(values_.begin(),
                    values_.begin() + gone * static_cast<std::ptrdiff_t>(width_));
      head_ = 0;
    }
    rows_.push_back(row);
    rows_.back().values = nullptr;
    values_.insert(values_.end(), row.values, row.values + width_);
  }
  void PopFront() { ++head_; }
  void Clear() {
    rows_.clear();
    values_.clear();
    head_ = 0;
  }

 private:
  size_t width_;
  size_t head_ = 0;
  std::vector<LogRow> rows_;
  std::vector<double> values_;
};

class SteadyFinder : public LogCut {
 public:
  SteadyFinder(LogContext& context, std::vector<ChannelTolerance> tolerances,
               std::vector<size_t> change_on)
      : context_(context),
        plan_(*context.log->steady_windows),
        tolerances_(std::move(tolerances)),
        change_on_(std::move(change_on)),
        rows_(context.channels.size()),
        last_values_(context.channels.size(), 0.0) {
    SpanList& spans = *context.spans;
    for (const ChannelTolerance& tolerance : tolerances_) {
      figures_.emplace_back(tolerance.needs_sums(), tolerance.needs_extremes());
      auto& reasons = failed_.emplace_back();
      for (int k = 0; k < kToleranceKindCount; ++k) {
        reasons[k] = spans.AddReason([&tolerance, k](double worst) {
          return tolerance.Describe(static_cast<ToleranceKind>(k), worst);
        });
      }
      const std::string& name =
          context.channels[static_cast<size_t>(tolerance.channel())].name;
      not_measured_.push_back(spans.AddReason(absl::StrCat(name, " was not measured")));
    }
    const std::string length = base::ShortestText(plan_.length_s);
    for (int cause = 0; cause < kStopCauseCount; ++cause) {
      too_short_[cause] = spans.AddReason([length, cause](double longest) {
        return absl::StrFormat("only %.6g s %s; a window takes %s s", longest,
                               std::string(BeforeWhat(static_cast<StopCause>(cause))),
                               length);
      });
    }
    delayed_ = spans.AddReason(absl::StrCat(
        "within ", base::ShortestText(plan_.delay_after_change_s), " s of a change"));
    single_ =
        spans.AddReason(absl::StrCat("fewer than 2 readings within ", length, " s"));
  }

  void Row(const LogRow& row) override {
    if (has_last_ && HasStep(row)) {
      EndOfSteady(StopCause::kChange, row.time_s);
      step_s_ = row.time_s;
    }
    has_last_ = true;
    std::copy(row.values, row.values + last_values_.size(), last_values_.begin());
    for (size_t i = 0; i < tolerances_.size(); ++i) {
      if (row.values[tolerances_[i].channel()] == row.values[tolerances_[i].channel()]) {
        continue;
      }
      EndOfSteady(StopCause::kRejectedRow, row.time_s);
      context_.spans->Reject(not_measured_[i], At(row));
      return;
    }
    CutUntil(row.time_s);
    const double change_s = std::max(context_.change_s, step_s_);
    if (row.time_s < change_s + plan_.delay_after_change_s - kStampSlackS) {
      context_.spans->Reject(delayed_, At(row));
      return;
    }
    rows_.Push(row);
    if (sliding_) {
      for (size_t i = 0; i < tolerances_.size(); ++i) {
        figures_[i].Push(row.values[tolerances_[i].channel()]);
      }
    }
    if (rows_.size() * last_values_.size() > kMostWindowCells && !too_large_) {
      too_large_ = true;
      context_.AddFault(
          static_cast<int>(row.line),
          absl::StrCat("a window of ", base::ShortestText(plan_.length_s),
                       " s holds more than ", kMostWindowCells, " readings"),
          "shorten length_s or thin the log out");
    }
    if (too_large_) ClearRows();
  }

  void Stop(StopCause cause, double end_s) override {
    EndOfSteady(cause, end_s);
    has_last_ = has_last_ && cause == StopCause::kRejectedRow;
  }

  void Withdraw(int64_t line, int reason) override {
    if (rows_.empty()) return;
    size_t kept = 0;
    while (kept < rows_.size() && rows_.at(kept).line < line) ++kept;
    for (size_t i = 0; i < rows_.size(); ++i) {
      if (i < kept) {
        const int too_short = too_short_[static_cast<int>(StopCause::kStuck)];
        const double until_s =
            kept < rows_.size() ? rows_.at(kept).time_s : rows_.at(kept - 1).time_s;
        context_.spans->Reject(too_short, At(rows_.at(i)), until_s - rows_.at(0).time_s);
      } else {
        context_.spans->Reject(reason, At(rows_.at(i)));
      }
    }
    ClearRows();
  }

 private:
  static LogStretch At(const LogRow& row) {
    return {row.line, row.line, row.time_s, row.time_s};
  }

  bool HasStep(const LogRow& row) const {
    for (const size_t i : change_on_) {
      const auto channel = static_cast<size_t>(tolerances_[i].channel());
      const double before = last_values_[channel];
      const double after = row.values[channel];
      if (before == before && after == after && tolerances_[i].IsChange(before, after)) {
        return true;
      }
    }
    return false;
  }

  // Decides on every window that is whole by then.
  void CutUntil(double time_s) {
    while (!rows_.empty() &&
           rows_.at(0).time_s + plan_.length_s <= time_s + kStampSlackS) {
      TryWindow();
    }
  }

  void EndOfSteady(StopCause cause, double end_s) {
    CutUntil(end_s);
    const int reason = too_short_[static_cast<int>(cause)];
    for (size_t i = 0; i < rows_.size(); ++i) {
      context_.spans->Reject(reason, At(rows_.at(i)), end_s - rows_.at(0).time_s);
    }
    ClearRows();
  }

  void ClearRows() {
    rows_.Clear();
    if (sliding_) {
      for (SlidingFigures& figures : figures_) figures.Clear();
    }
    sliding_ = false;
  }

  void RejectFront(int reason, double figure) {
    context_.spans->Reject(reason, At(rows_.at(0)), figure);
    if (!sliding_) {
      rows_.PopFront();
      return Slide();
    }
    for (size_t i = 0; i < tolerances_.size(); ++i) {
      figures_[i].Pop(rows_.value(0, static_cast<size_t>(tolerances_[i].channel())));
    }
    rows_.PopFront();
    for (size_t i = 0; i < figures_.size(); ++i) {
      if (!figures_[i].needs_sums() || rows_.empty() ||
          figures_[i].pops() < static_cast<int64_t>(rows_.size())) {
        continue;
      }
      const auto channel = static_cast<size_t>(tolerances_[i].channel());
      figures_[i].Anchor(rows_.value(0, channel));
      for (size_t k = 0; k < rows_.size(); ++k) {
        figures_[i].AddAgain(rows_.value(k, channel));
      }
    }
  }

  // As long as windows follow one another, each is judged once, by its own rows. From
  // the first that fails on, windows are tried row by row, and sliding figures pay.
  void Slide() {
    sliding_ = true;
    for (size_t i = 0; i < tolerances_.size(); ++i) {
      const auto channel = static_cast<size_t>(tolerances_[i].channel());
      for (size_t k = 0; k < rows_.size(); ++k) figures_[i].Push(rows_.value(k, channel));
    }
  }

  JudgedFigure JudgeByRows(const ChannelTolerance& tolerance) {
    Gather(static_cast<size_t>(tolerance.channel()));
    return tolerance.Judge(StatisticsOf(readings_));
  }

  void TryWindow() {
    if (rows_.size() < 2) return RejectFront(single_, 0);
    for (size_t i = 0; i < tolerances_.size(); ++i) {
      JudgedFigure judged;
      if (sliding_) judged = tolerances_[i].Judge(figures_[i]);
      if (!sliding_ || judged.verdict == Verdict::kOpen) {
        judged = JudgeByRows(tolerances_[i]);
      }
      if (judged.verdict == Verdict::kFails) {
        return RejectFront(failed_[i][static_cast<int>(judged.kind)], judged.figure);
      }
    }
    TakeWindow();
  }

  void Gather(size_t channel) {
    readings_.clear();
    for (size_t k = 0; k < rows_.size(); ++k) {
      const double value = rows_.value(k, channel);
      if (value == value) readings_.push_back(value);
    }
  }

  void TakeWindow() {
    const LogRow& first = rows_.at(0);
    const LogRow& last = rows_.at(rows_.size() - 1);
    std::vector<document::TestPoint>& points = context_.result->points;
    if (points.size() == static_cast<size_t>(LogIntake::kMostPoints)) {
      if (!too_large_) {
        context_.AddFault(static_cast<int>(first.line),
                          absl::StrCat("more than ", LogIntake::kMostPoints, " windows"),
                          "lengthen length_s");
      }
      too_large_ = true;
      return ClearRows();
    }
    document::TestPoint point =
        context_.MakePoint(labels_of_rows(), first.line, last.line, first.day);
    for (size_t channel = 0; channel < context_.channels.size(); ++channel) {
      const LogChannel& of = context_.channels[channel];
      if (!of.is_quantity()) continue;
      Gather(channel);
      if (readings_.empty()) continue;
      const SampleStatistics statistics = StatisticsOf(readings_);
      document::SiValue value{.quantity = of.name,
                              .value_si = quantity::ToSi(statistics.mean, of.unit) + 0.0};
      if (statistics.count >= 2) {
        value.standard_deviation_si =
            quantity::DifferenceToSi(statistics.standard_deviation, of.unit);
        value.spread_si =
            quantity::DifferenceToSi(statistics.greatest - statistics.least, of.unit);
      }
      value.reading_count = EffectiveReadings(readings_, statistics.standard_deviation);
      point.values.push_back(std::move(value));
    }
    std::sort(point.values.begin(), point.values.end(),
              [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
    context_.spans->Keep(
        LogSpanKind::kWindow,
        {first.line, last.line, first.time_s, first.time_s + plan_.length_s}, point.id);
    points.push_back(std::move(point));
    ClearRows();
  }

  // A change of labels stops ahead of them, so all rows held have those at hand.
  const LogLabels& labels_of_rows() const { return context_.labels; }

  LogContext& context_;
  const document::SteadyWindows& plan_;
  const std::vector<ChannelTolerance> tolerances_;
  const std::vector<size_t> change_on_;  // of tolerances_
  std::vector<SlidingFigures> figures_;  // by tolerance
  std::vector<std::array<int, kToleranceKindCount>> failed_;
  std::vector<int> not_measured_;
  std::array<int, kStopCauseCount> too_short_ = {};
  int delayed_ = 0;
  int single_ = 0;
  HeldRows rows_;
  std::vector<double> last_values_;
  std::vector<double> readings_;
  bool has_last_ = false;
  double step_s_ = 0;  // the last step of a change_on quantity
  bool too_large_ = false;
  bool sliding_ = false;  // figures_ are of the rows held
};

}  // namespace

std::unique_ptr<LogCut> MakeSteadyWindows(
    LogContext& context, std::span<const document::TestTolerance> method_tolerances) {
  const document::SteadyWindows& plan = *context.log->steady_windows;
  const int faults_before = context.faults->total();
  std::vector<document::TestTolerance> all = plan.tolerances;
  const size_t own = all.size();
  for (const document::TestTolerance& tolerance : method_tolerances) {
    const auto same = [&](const auto& other) {
      return other.quantity == tolerance.quantity;
    };
    if (std::none_of(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(own), same)) {
      all.push_back(tolerance);
    }
  }
  std::vector<ChannelTolerance> tolerances;
  std::vector<size_t> change_on;
  for (size_t i = 0; i < all.size(); ++i) {
    const std::string& name = all[i].quantity;
    const int channel = context.FindChannel(name);
    if (channel < 0) {
      if (i < own) {
        context.AddFault(1,
                         absl::StrCat("no column measures ", name,
                                      ", of which the log's tolerances speak"),
                         "map its heading or leave the tolerance out");
      } else {
        context.AddFinding(document::Severity::kNote,
                           absl::StrCat("the tolerance of ", name,
                                        " is not judged: no column measures it"),
                           1);
      }
      continue;
    }
    std::optional<double> set_point_si;
    for (const document::Measure& aim : plan.set_points) {
      if (aim.quantity == name) set_point_si = aim.value_si;
    }
    ChannelTolerance tolerance(all[i], context.channels[static_cast<size_t>(channel)],
                               channel, set_point_si);
    if (tolerance.lacks_set_point()) {
      context.AddFinding(
          document::Severity::kNote,
          absl::StrCat("the mean of ", name, " is not judged: no set point is given"), 1);
    }
    if (!tolerance.empty()) tolerances.push_back(std::move(tolerance));
  }
  for (const std::string& name : plan.change_on) {
    const int channel = context.FindChannel(name);
    const auto found = std::find_if(tolerances.begin(), tolerances.end(),
                                    [&](const ChannelTolerance& tolerance) {
                                      return tolerance.channel() == channel;
                                    });
    if (found == tolerances.end()) {
      context.AddFault(1,
                       absl::StrCat("change_on names ", name,
                                    channel < 0 ? ", which no column measures"
                                                : ", which has no tolerance of a spread"),
                       "map its heading and give it a tolerance");
    } else {
      change_on.push_back(static_cast<size_t>(found - tolerances.begin()));
    }
  }
  if (context.faults->total() > faults_before) return nullptr;
  return std::make_unique<SteadyFinder>(context, std::move(tolerances),
                                        std::move(change_on));
}

}  // namespace ratebound::points
