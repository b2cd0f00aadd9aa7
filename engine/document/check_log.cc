#include <algorithm>
#include <array>
#include <set>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/document/check_line_parts.h"
#include "engine/document/check_tolerance.h"
#include "engine/document/log.h"

namespace ratebound::document {
namespace {

using base::Absl;

constexpr char kHowToWriteFormat[] =
    "write s, min, h or iso8601, or a pattern such as %Y-%m-%d %H:%M:%S";

void CheckPattern(const std::string& pattern, const Node& node) {
  constexpr int kField = v1::TimeColumn::kFormatFieldNumber;
  constexpr std::string_view kLetters = "YmdHMS";
  std::array<int, kLetters.size()> counts{};
  std::string unknown;
  for (size_t at = pattern.find('%'); at != std::string::npos;
       at = pattern.find('%', std::min(at + 2, pattern.size()))) {
    const std::string_view field = std::string_view(pattern).substr(at, 2);
    const size_t letter =
        field.size() == 2 ? kLetters.find(field[1]) : std::string_view::npos;
    if (letter != std::string_view::npos) {
      ++counts[letter];
    } else {
      absl::StrAppend(&unknown, unknown.empty() ? "'" : ", '", base::Printable(field),
                      "'");
    }
  }
  if (!unknown.empty()) {
    node.Fault(kField, absl::StrCat("the pattern has ", unknown),
               "only %Y %m %d %H %M %S are known");
    return;
  }
  for (size_t i = 0; i < kLetters.size(); ++i) {
    if (counts[i] < 2) continue;
    node.Fault(kField,
               absl::StrCat("the pattern has '%", Absl(kLetters.substr(i, 1)), "' twice"),
               "keep one");
    return;
  }
  const auto has = [&](char letter) {
    const size_t at = kLetters.find(letter);
    return at < counts.size() && counts[at] > 0;
  };
  if (!has('H') || !has('M')) {
    node.Fault(kField, "the pattern gives no time of day", "write %H and %M, and %S");
  } else if (has('m') != has('d') || (has('Y') && !has('m'))) {
    // Many a logger leaves out the year.
    node.Fault(kField, "the pattern gives part of a date",
               "write %m and %d, with %Y or without, or no date at all");
  }
}

void CheckTime(const v1::LogFile& log, const Node& node) {
  using T = v1::TimeColumn;
  const v1::TimeColumn& time = log.time();
  node.Require({T::kHeaderFieldNumber, T::kFormatFieldNumber});
  for (const v1::Column& column : log.columns()) {
    if (time.header().empty() || column.header() != time.header()) continue;
    node.Fault(T::kHeaderFieldNumber,
               absl::StrCat("'", base::Printable(time.header()),
                            "' stands among the columns, too"),
               "leave the column out");
    break;
  }
  const std::vector<std::string> kinds = {"s", "min", "h", "iso8601"};
  if (time.format().find('%') != std::string::npos) {
    CheckPattern(time.format(), node);
  } else if (!time.format().empty() &&
             std::find(kinds.begin(), kinds.end(), time.format()) == kinds.end()) {
    node.Fault(T::kFormatFieldNumber,
               absl::StrCat("unknown format '", base::Printable(time.format()), "'",
                            base::DidYouMean(time.format(), kinds)),
               kHowToWriteFormat);
  }
  if (time.has_longest_step_s()) {
    CheckAbove(node, T::kLongestStepSFieldNumber, time.longest_step_s(), 0);
  }
}

class LogCheck {
 public:
  LogCheck(const v1::LogFile& log, const LineNames& names) : log_(log), names_(names) {
    for (const v1::Column& column : log.columns()) headers_.insert(column.header());
  }

  void Check(const Node& node) const {
    using L = v1::LogFile;
    node.Require({L::kPathFieldNumber, L::kUnitFieldNumber, L::kModeFieldNumber,
                  L::kTimeFieldNumber});
    CheckPath(node);
    CheckColumns(log_, L::kColumnsFieldNumber, names_, node);
    CheckLabels(node);
    CheckBelonging(log_, names_, node);
    CheckStage(node);
    if (log_.has_time()) CheckTime(log_, node.Child(L::kTimeFieldNumber));
    CheckCut(node);
    CheckIgnored(node);
    if (log_.stuck_after_s() < 0) {
      node.Fault(L::kStuckAfterSFieldNumber, "is negative", "write 0 for never");
    }
    Unique still("quantity");
    for (int i = 0; i < log_.may_stand_still_size(); ++i) {
      CheckSignal(node, L::kMayStandStillFieldNumber, log_.may_stand_still(i), i);
      still.Check(node, L::kMayStandStillFieldNumber, log_.may_stand_still(i), i);
    }
  }

 private:
  void CheckPath(const Node& node) const {
    const std::string& path = log_.path();
    if (path.empty()) return;
    if (IsPathBelow(path) && path.starts_with("logs/") && path.ends_with(".csv")) return;
    node.Fault(v1::LogFile::kPathFieldNumber,
               absl::StrCat("'", base::Printable(path),
                            "' is no path of a log of the line folder"),
               "write it with forward slashes, such as logs/day1.csv");
  }

  // A log is cut into points, all of one unit and mode.
  void CheckLabels(const Node& node) const {
    for (int i = 0; i < log_.columns_size(); ++i) {
      const v1::ColumnLabel label = log_.columns(i).label();
      if (label != v1::COLUMN_LABEL_POINT && label != v1::COLUMN_LABEL_UNIT &&
          label != v1::COLUMN_LABEL_MODE) {
        continue;
      }
      node.Child(v1::LogFile::kColumnsFieldNumber, i)
          .Fault(v1::Column::kLabelFieldNumber,
                 "a log is of one unit and mode, and its rows are no points",
                 "write unused with this reason");
    }
  }

  void CheckStage(const Node& node) const {
    using L = v1::LogFile;
    const bool by_column = names_.gives_stage || GivesStage(log_);
    if (log_.stage().empty() && !by_column) {
      node.Fault(L::kStageFieldNumber, "is missing, and no column gives the stage",
                 "write stage: \"...\", or label: COLUMN_LABEL_STAGE for its column");
    }
    std::set<std::string> stages;
    for (const v1::Mode* mode : ModesOf(names_.manifest, log_.unit(), log_.mode())) {
      for (const v1::Stage& stage : mode->stages()) stages.insert(stage.id());
    }
    Unique off("stage");
    for (int i = 0; i < log_.off_stages_size(); ++i) {
      const std::string& stage = log_.off_stages(i);
      off.Check(node, L::kOffStagesFieldNumber, stage, i);
      if (stages.contains(stage)) {
        node.Fault(L::kOffStagesFieldNumber,
                   absl::StrCat("'", base::Printable(stage), "' is a stage of the mode"),
                   "name values at which the unit is off", i);
      }
    }
    if (log_.off_stages_size() > 0 && !by_column) {
      node.Fault(L::kOffStagesFieldNumber, "no column gives the stage",
                 "write label: COLUMN_LABEL_STAGE for its column, or leave this out");
    }
  }

  void CheckCut(const Node& node) const {
    using L = v1::LogFile;
    switch (log_.cut_case()) {
      case L::kSteadyWindows:
        CheckWindows(log_.steady_windows(), node.Child(L::kSteadyWindowsFieldNumber));
        return;
      case L::kFrostCycles:
        CheckFrost(log_.frost_cycles(), node.Child(L::kFrostCyclesFieldNumber));
        return;
      case L::kOnOffCycles:
        CheckOnOff(log_.on_off_cycles(), node.Child(L::kOnOffCyclesFieldNumber));
        return;
      case L::CUT_NOT_SET:
        node.Fault(L::kPathFieldNumber, "nothing says what the log is cut into",
                   "write steady_windows, frost_cycles or on_off_cycles");
        return;
    }
  }

  void CheckWindows(const v1::SteadyWindows& windows, const Node& node) const {
    using W = v1::SteadyWindows;
    node.Require({W::kLengthSFieldNumber});
    if (node.Has(W::kLengthSFieldNumber)) {
      CheckAbove(node, W::kLengthSFieldNumber, windows.length_s(), 0);
    }
    if (windows.delay_after_change_s() < 0) {
      node.Fault(W::kDelayAfterChangeSFieldNumber, "is negative",
                 "write it without a sign");
    }
    CheckFolderId(node, W::kMethodFieldNumber, windows.method());
    CheckTolerances(windows.tolerances(), W::kTolerancesFieldNumber, node);
    bool by_mode = false;
    for (const v1::Mode* mode : ModesOf(names_.manifest, log_.unit(), log_.mode())) {
      by_mode = by_mode || !mode->steadiness_method().empty();
    }
    if (windows.method().empty() && windows.tolerances_size() == 0 && !by_mode) {
      node.Fault(W::kMethodFieldNumber,
                 "is missing, and so is 'tolerances': nothing says what is steady",
                 "write one of them");
    }
    std::set<std::string> toleranced;
    for (const v1::TestTolerance& tolerance : windows.tolerances()) {
      toleranced.insert(tolerance.quantity());
    }
    Unique changes("quantity");
    for (int i = 0; i < windows.change_on_size(); ++i) {
      const std::string& name = windows.change_on(i);
      changes.Check(node, W::kChangeOnFieldNumber, name, i);
      if (CheckQuantity(node, W::kChangeOnFieldNumber, name, Use::kAny, i) == nullptr ||
          !windows.method().empty() || by_mode) {
        continue;
      }
      if (!toleranced.contains(name)) {
        node.Fault(W::kChangeOnFieldNumber,
                   absl::StrCat("'", name, "' has no tolerance to step by"),
                   "write one among the tolerances", i);
      }
    }
    Unique set_points("quantity");
    for (int i = 0; i < windows.set_points_size(); ++i) {
      const Node child = node.Child(W::kSetPointsFieldNumber, i);
      CheckMeasure(windows.set_points(i), child, Use::kAny);
      set_points.Check(child, v1::Measure::kQuantityFieldNumber,
                       windows.set_points(i).quantity());
    }
  }

  void CheckFrost(const v1::FrostCycles& cycles, const Node& node) const {
    using F = v1::FrostCycles;
    node.Require({F::kSignalFieldNumber, F::kThresholdFieldNumber,
                  F::kLeastCyclesFieldNumber, F::kLeastTimeSFieldNumber,
                  F::kMostTimeSFieldNumber, F::kSourceFieldNumber});
    CheckSignal(node, F::kSignalFieldNumber, cycles.signal());
    if (node.Has(F::kLeastCyclesFieldNumber) && cycles.least_cycles() < 1) {
      node.Fault(F::kLeastCyclesFieldNumber,
                 absl::StrCat(cycles.least_cycles(), " is no number of cycles"),
                 "write 1 or more");
    }
    if (node.Has(F::kLeastTimeSFieldNumber)) {
      CheckAbove(node, F::kLeastTimeSFieldNumber, cycles.least_time_s(), 0);
    }
    if (!node.Has(F::kMostTimeSFieldNumber)) return;
    CheckAbove(node, F::kMostTimeSFieldNumber, cycles.most_time_s(), 0);
    if (cycles.most_time_s() < cycles.least_time_s()) {
      node.Fault(
          F::kMostTimeSFieldNumber,
          absl::StrCat("the times are reversed: at most ",
                       base::ShortestText(cycles.most_time_s()), " s and at least ",
                       base::ShortestText(cycles.least_time_s()), " s"));
    }
  }

  void CheckOnOff(const v1::OnOffCycles& cycles, const Node& node) const {
    using O = v1::OnOffCycles;
    node.Require(
        {O::kSignalFieldNumber, O::kThresholdFieldNumber, O::kSourceFieldNumber});
    CheckSignal(node, O::kSignalFieldNumber, cycles.signal());
    if (cycles.warm_up_cycles() < 0) {
      node.Fault(O::kWarmUpCyclesFieldNumber, "is negative", "write 0 for none");
    }
  }

  // A quantity of the vocabulary, or a state: the heading of a column.
  void CheckSignal(const Node& node, int field, const std::string& name,
                   int index = -1) const {
    if (name.empty()) {
      if (index >= 0) node.Fault(field, "is empty", "name a quantity or heading", index);
      return;
    }
    if (node.FaultsAreMany() || quantity::FindQuantity(name).ok() ||
        names_.headers.Contains(name) || headers_.contains(name)) {
      return;
    }
    std::vector<std::string> known(headers_.begin(), headers_.end());
    const auto of_manifest = names_.headers.all();
    constexpr size_t kMostCompared = 1000;
    if (known.size() + of_manifest.size() <= kMostCompared) {
      known.insert(known.end(), of_manifest.begin(), of_manifest.end());
      for (const quantity::Quantity& quantity : quantity::AllQuantities()) {
        known.emplace_back(quantity.name);
      }
    } else {
      known.clear();
    }
    node.Fault(field,
               absl::StrCat("'", base::Printable(name),
                            "' is neither a quantity nor the heading of a column",
                            base::DidYouMean(name, known)),
               "", index);
  }

  void CheckIgnored(const Node& node) const {
    using S = v1::IgnoredSpan;
    std::vector<int> order;
    for (int i = 0; i < log_.ignored_spans_size(); ++i) {
      const v1::IgnoredSpan& span = log_.ignored_spans(i);
      const Node child = node.Child(v1::LogFile::kIgnoredSpansFieldNumber, i);
      child.Require(
          {S::kFirstLineFieldNumber, S::kLastLineFieldNumber, S::kReasonFieldNumber});
      if (!child.Has(S::kFirstLineFieldNumber) || !child.Has(S::kLastLineFieldNumber)) {
        continue;
      }
      if (span.first_line() < 1) {
        child.Fault(S::kFirstLineFieldNumber,
                    absl::StrCat(span.first_line(), " is no line of a file"),
                    "lines are counted from 1");
      } else if (span.last_line() < span.first_line()) {
        child.Fault(S::kLastLineFieldNumber,
                    absl::StrCat("the span is reversed: ", span.last_line(),
                                 " is before ", span.first_line()));
      } else {
        order.push_back(i);
      }
    }
    std::stable_sort(order.begin(), order.end(), [this](int a, int b) {
      return log_.ignored_spans(a).first_line() < log_.ignored_spans(b).first_line();
    });
    const v1::IgnoredSpan* before = nullptr;
    for (int i : order) {
      const v1::IgnoredSpan& span = log_.ignored_spans(i);
      if (before != nullptr && span.first_line() <= before->last_line()) {
        node.Child(v1::LogFile::kIgnoredSpansFieldNumber, i)
            .Fault(S::kFirstLineFieldNumber,
                   absl::StrCat("the span overlaps that of lines ", before->first_line(),
                                " to ", before->last_line()),
                   "make them one");
      }
      if (before == nullptr || before->last_line() < span.last_line()) before = &span;
    }
  }

  const v1::LogFile& log_;
  const LineNames& names_;
  std::set<std::string> headers_;  // of the log's own columns
};

}  // namespace

void CheckLogFile(const v1::LogFile& log, const LineNames& names, const Node& node) {
  LogCheck(log, names).Check(node);
}

}  // namespace ratebound::document
