#include "engine/points/log/log_intake.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/fault.h"
#include "engine/base/text.h"
#include "engine/points/csv.h"
#include "engine/points/headings.h"
#include "engine/points/log/csv_feed.h"
#include "engine/points/log/frost_cycles.h"
#include "engine/points/log/label_reader.h"
#include "engine/points/log/log_plan_checks.h"
#include "engine/points/log/log_row.h"
#include "engine/points/log/on_off_cycles.h"
#include "engine/points/log/row_screen.h"
#include "engine/points/log/running_readings.h"
#include "engine/points/log/span_list.h"
#include "engine/points/log/stamp_reader.h"
#include "engine/points/log/steady_windows.h"

namespace ratebound::points {
namespace {

using document::Severity;

constexpr size_t kStepsOfMedian = 100;
constexpr double kGapSteps = 5;

}  // namespace

class LogIntake::Impl : public CsvSink {
 public:
  Impl(const document::LineManifest& manifest, const document::LogFile& log,
       std::span<const document::TestTolerance> method_tolerances, RowReducer reducer,
       std::optional<SteadyReference> steady_point, StampReader stamps)
      : manifest_(manifest),
        log_(log),
        method_tolerances_(method_tolerances.begin(), method_tolerances.end()),
        stamps_(std::move(stamps)),
        ignored_(log.ignored_spans),
        spans_(kMostSpans),
        feed_(log.path, *this, faults_) {
    std::stable_sort(ignored_.begin(), ignored_.end(), [](const auto& a, const auto& b) {
      return std::pair(a.first_line, a.last_line) < std::pair(b.first_line, b.last_line);
    });
    context_.manifest = &manifest_;
    context_.log = &log_;
    for (const document::Unit& unit : manifest_.units) {
      if (unit.id == log_.unit) context_.unit = &unit;
    }
    for (const document::Mode& mode : context_.unit->modes) {
      if (mode.id == log_.mode) context_.mode = &mode;
    }
    context_.reducer = std::move(reducer);
    context_.steady_point = steady_point;
    context_.faults = &faults_;
    context_.spans = &spans_;
    context_.result = &result_;
  }

  absl::Status Feed(std::string_view chunk) {
    feed_.Feed(chunk);
    return feed_.stopped() ? faults_.ToStatus() : absl::OkStatus();
  }

  absl::StatusOr<LogResult> Finish() {
    feed_.Finish();
    if (cut_ != nullptr) {
      if (!steps_known_) LearnSteps();
      cut_->Stop(StopCause::kEnd, last_s_ + context_.typical_step_s);
      cut_->Finish();
      screen_->Tell();
      TellWhole();
    }
    if (!faults_.empty()) return faults_.ToStatus();
    TellStatistics();
    result_.report.path = log_.path;
    result_.report.duration_s = last_s_;
    result_.report.spans = spans_.Take();
    if (spans_.left_out() > 0) {
      context_.AddFinding(
          Severity::kNote,
          absl::StrCat("the report holds the first ", kMostSpans, " spans; ",
                       spans_.left_out(), " more are left out"),
          0);
    }
    return std::move(result_);
  }

  std::optional<std::vector<CsvUse>> OnHeader(std::string_view bytes) override;
  bool Ignores(int line) override {
    while (ignored_cursor_ < ignored_.size() &&
           ignored_[ignored_cursor_].last_line < line) {
      ++ignored_cursor_;
    }
    return ignored_cursor_ < ignored_.size() &&
           ignored_[ignored_cursor_].first_line <= line;
  }
  void OnRow(const FedRow& row) override;

 private:
  // A row, or a stretch of ignored ones, that waits for the typical step to be known.
  struct Waiting {
    LogRow row;
    std::vector<double> values;
    LogLabels labels;
    int64_t labels_version = 0;
    bool off = false;
    const std::string* ignored_reason = nullptr;
    LogStretch ignored;
  };

  void Fault(CsvPlace place, std::string message, std::string remedy) {
    faults_.Add({.file = log_.path,
                 .line = place.line,
                 .column = place.column,
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }

  bool ReadTime(const FedRow& row, std::optional<int32_t>& day);
  void OnIgnoredRow(const FedRow& row);
  void LearnSteps();
  void CutRow(const LogRow& row, const LogLabels& labels, int64_t version, bool off);
  void CutIgnored(const std::string& reason, const LogStretch& stretch);
  void CutStuck(const RowScreen::Stuck& stuck, double time_s);
  void TellWhole();
  void TellStatistics();

  const document::LineManifest manifest_;
  const document::LogFile log_;
  const std::vector<document::TestTolerance> method_tolerances_;
  const StampReader stamps_;
  std::vector<document::IgnoredSpan> ignored_;  // by first line
  size_t ignored_cursor_ = 0;
  base::FaultList faults_;
  SpanList spans_;
  LogResult result_;
  LogContext context_;
  CsvFeed feed_;
  int time_column_ = 0;
  std::optional<LabelReader> labels_;
  std::optional<RowScreen> screen_;
  std::unique_ptr<LogCut> cut_;            // null where headings are at fault
  std::vector<double> values_;             // of the row at hand, by channel
  std::vector<RunningReadings> readings_;  // by channel

  // Reading of stamps.
  bool any_time_ = false;
  bool zoned_ = false;
  double first_stamp_s_ = 0;
  double offset_s_ = 0;  // of midnights passed and clocks set back
  double last_s_ = 0;    // of the row before that is not ignored
  double last_step_s_ = 1;
  bool ignored_since_ = false;
  int clock_set_back_line_ = 0;

  // Before the typical step is known.
  bool steps_known_ = false;
  std::vector<double> steps_;
  std::vector<Waiting> waiting_;

  // Cutting.
  bool any_cut_ = false;
  int64_t labels_version_ = 0;  // of context_.labels
  bool ignored_before_ = false;
  LogRow before_;
  int off_reason_ = 0;
  int gap_reason_ = 0;
  int64_t gap_count_ = 0;
  double longest_gap_s_ = 0;
  int64_t first_gap_line_ = 0;
};

std::optional<std::vector<CsvUse>> LogIntake::Impl::OnHeader(std::string_view bytes) {
  const auto csv = CsvFile::Open(log_.path, bytes, CsvLimits(), faults_);
  if (!csv) return {};
  const std::vector<CsvCell>& header = csv->header();
  const auto column_of = [&](std::string_view heading) {
    const auto found =
        std::find_if(header.begin(), header.end(),
                     [&](const CsvCell& cell) { return cell.text == heading; });
    return found == header.end() ? -1 : static_cast<int>(found - header.begin());
  };
  const CsvPlace place{header[0].place.line, 0};
  time_column_ = column_of(log_.time.header);
  if (time_column_ < 0) {
    Fault(place,
          absl::StrCat("file has no heading '", base::Printable(log_.time.header),
                       "', which its log_files entry names for time"),
          "correct the heading in the manifest");
    return {};
  }
  // To the reader of headings the log is a file of points whose stamps are not used.
  document::PointFile own;
  own.columns.push_back({.header = log_.time.header, .unused_reason = "time stamps"});
  for (const document::Column& column : log_.columns) {
    if (column_of(column.header) >= 0) {
      own.columns.push_back(column);
    } else {
      Fault(place,
            absl::StrCat("file has no heading '", base::Printable(column.header),
                         "', which its log_files entry describes"),
            "correct the heading in the manifest");
    }
  }
  const std::string signal = log_.frost_cycles    ? log_.frost_cycles->signal
                             : log_.on_off_cycles ? log_.on_off_cycles->signal
                                                  : "";
  const std::vector<Heading> headings = ResolveHeadings(manifest_, &own, *csv, faults_);
  labels_.emplace(context_);
  std::vector<CsvUse> uses;
  for (size_t j = 0; j < headings.size(); ++j) {
    const Heading& heading = headings[j];
    const auto column = static_cast<int>(j);
    CsvUse use = CsvUse::kSkip;
    if (heading.use == Heading::Use::kQuantity) {
      use = CsvUse::kNumber;
      if (heading.statistic == document::ReadingStatistic::kMean) {
        context_.channels.push_back({.name = std::string(heading.quantity->name),
                                     .column = column,
                                     .quantity = heading.quantity,
                                     .unit = heading.unit});
      } else {
        Fault(header[j].place, "a log's columns are readings, not their scatter",
              "say in the log's columns why this one is unused");
      }
    } else if (heading.use == Heading::Use::kLabel) {
      use = CsvUse::kText;
      if (!labels_->AddColumn(heading.label, column)) {
        Fault(header[j].place,
              absl::StrCat("a log has no column of ",
                           base::Absl(LabelName(heading.label)), "s"),
              "the log_files entry says it for all rows; mark the column as unused");
      }
    }
    uses.push_back(column == time_column_ ? CsvUse::kText : use);
  }
  // A state is read by its heading, whatever else the column is.
  if (const int column = signal.empty() ? -1 : column_of(signal);
      column >= 0 && column != time_column_ && context_.FindChannel(signal) < 0 &&
      uses[static_cast<size_t>(column)] != CsvUse::kText) {
    uses[static_cast<size_t>(column)] = CsvUse::kNumber;
    context_.channels.push_back({.name = signal, .column = column});
  }
  values_.resize(context_.channels.size());
  readings_.resize(context_.channels.size());
  off_reason_ = spans_.AddReason("the unit is off");
  gap_reason_ = spans_.AddReason([](double longest) {
    return absl::StrFormat("gap of %.6g s between two rows", longest);
  });
  screen_.emplace(context_);
  if (faults_.empty()) {
    if (log_.steady_windows) {
      cut_ = MakeSteadyWindows(context_, method_tolerances_);
    } else if (log_.frost_cycles) {
      cut_ = MakeFrostCycles(context_);
    } else {
      cut_ = MakeOnOffCycles(context_);
    }
  }
  return uses;
}

// False, with a fault told, where the row has no time.
bool LogIntake::Impl::ReadTime(const FedRow& row, std::optional<int32_t>& day) {
  const CsvPlace place{row.line, row.text_columns[time_column_]};
  const std::string_view text = row.texts[time_column_];
  const auto shown = [&] { return absl::StrCat("'", base::Printable(text), "'"); };
  const std::optional<Stamp> stamp = stamps_.Read(text);
  if (!stamp) {
    Fault(
        place,
        absl::StrCat(shown(), " is no time stamp of the format '", stamps_.format(), "'"),
        "correct it, or the format in the manifest");
    return false;
  }
  if (any_time_ && stamp->zoned != zoned_) {
    Fault(
        place,
        absl::StrCat(shown(), stamp->zoned ? " names a time zone" : " names no time zone",
                     ", unlike the stamps before it"),
        "write all stamps in one way");
    return false;
  }
  day = stamp->day;
  if (!any_time_) {
    any_time_ = true;
    zoned_ = stamp->zoned;
    first_stamp_s_ = stamp->seconds;
    ignored_since_ = false;
    return true;
  }
  double time_s = stamp->seconds - first_stamp_s_ + offset_s_;
  if (stamps_.period_s() > 0 && time_s < last_s_ - stamps_.period_s() / 2) {
    offset_s_ += stamps_.period_s();
    time_s += stamps_.period_s();
  }
  if (!(time_s > last_s_)) {
    if (!ignored_since_) {
      Fault(place,
            time_s == last_s_ ? absl::StrCat("time stamp ", shown(), " stands twice")
                              : absl::StrCat("the clock goes back to ", shown(), ", by ",
                                             absl::StrFormat("%.6g s", last_s_ - time_s)),
            "correct the log, or leave the rows out with ignored_spans");
      return false;
    }
    clock_set_back_line_ = row.line;
    offset_s_ += last_s_ + last_step_s_ - time_s;
    time_s = last_s_ + last_step_s_;
  }
  if (!ignored_since_) {
    last_step_s_ = time_s - last_s_;
    if (!steps_known_) steps_.push_back(last_step_s_);
  }
  ignored_since_ = false;
  last_s_ = time_s;
  return true;
}

void LogIntake::Impl::OnIgnoredRow(const FedRow& row) {
  ignored_since_ = true;
  double time_s = last_s_;
  if (row.whole && any_time_) {
    const std::optional<Stamp> stamp = stamps_.Read(row.texts[time_column_]);
    if (stamp) time_s = std::max(time_s, stamp->seconds - first_stamp_s_ + offset_s_);
  }
  if (cut_ == nullptr) return;
  // The row may go on over several lines, and the cursor with it.
  const auto span = std::find_if(ignored_.begin(), ignored_.end(), [&](const auto& each) {
    return each.first_line <= row.line && row.line <= each.last_line;
  });
  const std::string& reason = span->reason;
  const LogStretch stretch{row.line, row.line, time_s, time_s};
  if (steps_known_) return CutIgnored(reason, stretch);
  if (waiting_.empty() || waiting_.back().ignored_reason != &reason) {
    waiting_.push_back({.ignored_reason = &reason, .ignored = stretch});
  }
  waiting_.back().ignored.last_line = stretch.last_line;
  waiting_.back().ignored.end_s = std::max(waiting_.back().ignored.end_s, stretch.end_s);
}

void LogIntake::Impl::OnRow(const FedRow& row) {
  ++result_.report.row_count;
  if (row.ignored) return OnIgnoredRow(row);
  LogRow log_row{.line = row.line};
  if (!ReadTime(row, log_row.day)) return;
  labels_->Read(row.line, row.texts);
  if (cut_ == nullptr) return;
  log_row.time_s = last_s_;
  for (size_t i = 0; i < values_.size(); ++i) {
    const LogChannel& channel = context_.channels[i];
    values_[i] = row.numbers[channel.column];
    if (channel.unit.reciprocal) {
      const double value_si = quantity::ToSi(values_[i], channel.unit);
      values_[i] = std::isfinite(value_si) ? value_si : -1;  // 0 kW/ton: not plausible
    }
  }
  if (steps_known_) {
    log_row.values = values_.data();
    return CutRow(log_row, labels_->labels(), labels_->version(), labels_->is_off());
  }
  waiting_.push_back({.row = log_row,
                      .values = values_,
                      .labels = labels_->labels(),
                      .labels_version = labels_->version(),
                      .off = labels_->is_off()});
  if (steps_.size() == kStepsOfMedian) LearnSteps();
}

void LogIntake::Impl::LearnSteps() {
  steps_known_ = true;
  if (!steps_.empty()) {
    // The lower of the two in the middle.
    auto middle = steps_.begin() + static_cast<std::ptrdiff_t>((steps_.size() - 1) / 2);
    std::nth_element(steps_.begin(), middle, steps_.end());
    context_.typical_step_s = *middle;
  }
  context_.longest_step_s =
      log_.time.longest_step_s.value_or(kGapSteps * context_.typical_step_s);
  std::vector<Waiting> waiting = std::move(waiting_);
  waiting_ = {};
  for (Waiting& each : waiting) {
    if (each.ignored_reason != nullptr) {
      CutIgnored(*each.ignored_reason, each.ignored);
    } else {
      each.row.values = each.values.data();
      CutRow(each.row, each.labels, each.labels_version, each.off);
    }
  }
}

void LogIntake::Impl::CutIgnored(const std::string& reason, const LogStretch& stretch) {
  if (!ignored_before_) {
    cut_->Stop(StopCause::kIgnored, before_.time_s + context_.typical_step_s);
    screen_->ForgetStillness();
  }
  ignored_before_ = true;
  spans_.Ignore(reason, stretch);
}

void LogIntake::Impl::CutRow(const LogRow& row, const LogLabels& labels, int64_t version,
                             bool off) {
  const bool relabelled = version != labels_version_ && labels != context_.labels;
  labels_version_ = version;
  const LogStretch stretch{row.line, row.line, row.time_s, row.time_s};
  const double step_s = row.time_s - before_.time_s;
  if (any_cut_ && !ignored_before_ && step_s > context_.longest_step_s + kStampSlackS) {
    cut_->Stop(StopCause::kGap, before_.time_s + context_.typical_step_s);
    screen_->ForgetStillness();
    spans_.RejectApart(gap_reason_, {before_.line, row.line, before_.time_s, row.time_s},
                       step_s);
    if (gap_count_++ == 0) first_gap_line_ = row.line;
    longest_gap_s_ = std::max(longest_gap_s_, step_s);
  }
  if (!any_cut_ || ignored_before_ || step_s > context_.longest_step_s + kStampSlackS ||
      relabelled) {
    context_.change_s = row.time_s;
  }
  any_cut_ = true;
  ignored_before_ = false;
  before_ = row;
  if (relabelled) {
    cut_->Stop(off ? StopCause::kOff : StopCause::kChange, row.time_s);
    context_.labels = labels;
  }
  if (off) {
    screen_->ForgetStillness();
    spans_.Reject(off_reason_, stretch);
    return;
  }
  if (cut_->IsAtRest(row)) screen_->ForgetStillness();
  std::optional<RowScreen::Stuck> stuck;
  const int reason = screen_->Check(row, stuck);
  if (stuck) CutStuck(*stuck, row.time_s);
  if (reason >= 0) {
    cut_->Stop(StopCause::kRejectedRow, row.time_s);
    spans_.Reject(reason, stretch);
    return;
  }
  for (size_t i = 0; i < readings_.size(); ++i) readings_[i].Add(row.values[i], row.line);
  cut_->Row(row);
}

// Windows are greedy from the left, so those ahead of the first bad row would have been
// cut the same had it been known, and those that reach it would not have been cut.
void LogIntake::Impl::CutStuck(const RowScreen::Stuck& stuck, double time_s) {
  std::erase_if(result_.points, [&](const document::TestPoint& point) {
    return point.last_line >= stuck.first_line;
  });
  cut_->Withdraw(stuck.first_line, stuck.reason);
  spans_.Withdraw(stuck.first_line, stuck.reason);
  cut_->Stop(StopCause::kStuck, time_s);
}

void LogIntake::Impl::TellWhole() {
  if (gap_count_ > 0) {
    context_.AddFinding(
        Severity::kWarning,
        absl::StrFormat("%d gaps, the longest of %.6g s", gap_count_, longest_gap_s_),
        first_gap_line_);
  }
  if (clock_set_back_line_ > 0) {
    context_.AddFinding(
        Severity::kNote,
        "the clock was set back within ignored rows; times behind them go "
        "on from where they were",
        clock_set_back_line_);
  }
  if (log_.steady_windows && result_.points.empty()) {
    context_.AddFinding(Severity::kWarning,
                        absl::StrCat("no steady window of ",
                                     base::ShortestText(log_.steady_windows->length_s),
                                     " s; the report's spans tell why"),
                        0);
  }
}

void LogIntake::Impl::TellStatistics() {
  for (size_t i = 0; i < readings_.size(); ++i) {
    const LogChannel& channel = context_.channels[i];
    if (channel.is_quantity()) {
      result_.statistics.push_back(readings_[i].Statistics(channel));
    }
  }
}

LogIntake::LogIntake(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
LogIntake::LogIntake(LogIntake&&) noexcept = default;
LogIntake& LogIntake::operator=(LogIntake&&) noexcept = default;
LogIntake::~LogIntake() = default;

absl::StatusOr<LogIntake> LogIntake::Create(
    const document::LineManifest& manifest, const document::LogFile& log,
    std::span<const document::TestTolerance> method_tolerances, RowReducer reducer,
    std::optional<SteadyReference> steady_point) {
  base::FaultList faults = CheckLogPlan(manifest, log, method_tolerances);
  auto stamps = StampReader::Create(log.time.format, log.tested_on);
  if (!stamps.ok()) {
    faults.Add({.file = log.path,
                .field = "time.format",
                .message = std::string(stamps.status().message())});
  }
  if (!faults.empty()) return faults.ToStatus();
  return LogIntake(std::make_unique<Impl>(manifest, log, method_tolerances,
                                          std::move(reducer), steady_point,
                                          *std::move(stamps)));
}

absl::Status LogIntake::Feed(std::string_view chunk) { return impl_->Feed(chunk); }
absl::StatusOr<LogResult> LogIntake::Finish() { return impl_->Finish(); }

}  // namespace ratebound::points
