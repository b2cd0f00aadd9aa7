#include "engine/document/convert_parts.h"

namespace ratebound::document {

static void Read(const v1::TimeColumn& from, TimeColumn& to, base::FaultList&) {
  to.header = from.header();
  to.format = from.format();
  if (from.has_longest_step_s()) to.longest_step_s = from.longest_step_s();
}

static void Write(const TimeColumn& from, v1::TimeColumn* to) {
  to->set_header(from.header);
  to->set_format(from.format);
  if (from.longest_step_s.has_value()) to->set_longest_step_s(*from.longest_step_s);
}

static void Read(const v1::SteadyWindows& from, SteadyWindows& to,
                 base::FaultList& faults) {
  to.length_s = from.length_s();
  to.delay_after_change_s = from.delay_after_change_s();
  to.change_on = Plainly(from.change_on());
  to.method = from.method();
  ReadAll(from.tolerances(), to.tolerances, faults);
  ReadAll(from.set_points(), to.set_points, faults);
}

static void Write(const SteadyWindows& from, v1::SteadyWindows* to) {
  to->set_length_s(from.length_s);
  to->set_delay_after_change_s(from.delay_after_change_s);
  Fill(from.change_on, to->mutable_change_on());
  to->set_method(from.method);
  WriteAll(from.tolerances, to->mutable_tolerances());
  WriteAll(from.set_points, to->mutable_set_points());
}

static void Read(const v1::FrostCycles& from, FrostCycles& to, base::FaultList&) {
  to.signal = from.signal();
  to.threshold = from.threshold();
  to.least_cycles = from.least_cycles();
  to.least_time_s = from.least_time_s();
  to.most_time_s = from.most_time_s();
  to.source = from.source();
}

static void Write(const FrostCycles& from, v1::FrostCycles* to) {
  to->set_signal(from.signal);
  to->set_threshold(from.threshold);
  to->set_least_cycles(from.least_cycles);
  to->set_least_time_s(from.least_time_s);
  to->set_most_time_s(from.most_time_s);
  to->set_source(from.source);
}

static void Read(const v1::OnOffCycles& from, OnOffCycles& to, base::FaultList&) {
  to.signal = from.signal();
  to.threshold = from.threshold();
  to.warm_up_cycles = from.warm_up_cycles();
  to.steady_point = from.steady_point();
  to.source = from.source();
}

static void Write(const OnOffCycles& from, v1::OnOffCycles* to) {
  to->set_signal(from.signal);
  to->set_threshold(from.threshold);
  to->set_warm_up_cycles(from.warm_up_cycles);
  to->set_steady_point(from.steady_point);
  to->set_source(from.source);
}

static void Read(const v1::IgnoredSpan& from, IgnoredSpan& to, base::FaultList&) {
  to.first_line = from.first_line();
  to.last_line = from.last_line();
  to.reason = from.reason();
}

static void Write(const IgnoredSpan& from, v1::IgnoredSpan* to) {
  to->set_first_line(from.first_line);
  to->set_last_line(from.last_line);
  to->set_reason(from.reason);
}

void Read(const v1::LogFile& from, LogFile& to, base::FaultList& faults) {
  to.path = from.path();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.off_stages = Plainly(from.off_stages());
  to.block = from.block();
  to.specimen = from.specimen();
  to.regime = from.regime();
  to.tested_on = from.tested_on();
  ReadAll(from.columns(), to.columns, faults);
  Read(from.time(), to.time, faults);
  switch (from.cut_case()) {
    case v1::LogFile::kSteadyWindows:
      Read(from.steady_windows(), to.steady_windows.emplace(), faults);
      break;
    case v1::LogFile::kFrostCycles:
      Read(from.frost_cycles(), to.frost_cycles.emplace(), faults);
      break;
    case v1::LogFile::kOnOffCycles:
      Read(from.on_off_cycles(), to.on_off_cycles.emplace(), faults);
      break;
    case v1::LogFile::CUT_NOT_SET:
      faults.Add({.field = "LogFile.cut", .message = "is missing"});
      break;
  }
  ReadAll(from.ignored_spans(), to.ignored_spans, faults);
  if (from.has_stuck_after_s()) to.stuck_after_s = from.stuck_after_s();
  to.may_stand_still = Plainly(from.may_stand_still());
}

void Write(const LogFile& from, v1::LogFile* to) {
  to->set_path(from.path);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  Fill(from.off_stages, to->mutable_off_stages());
  to->set_block(from.block);
  to->set_specimen(from.specimen);
  to->set_regime(from.regime);
  to->set_tested_on(from.tested_on);
  WriteAll(from.columns, to->mutable_columns());
  Write(from.time, to->mutable_time());
  if (from.steady_windows.has_value()) {
    Write(*from.steady_windows, to->mutable_steady_windows());
  } else if (from.frost_cycles.has_value()) {
    Write(*from.frost_cycles, to->mutable_frost_cycles());
  } else if (from.on_off_cycles.has_value()) {
    Write(*from.on_off_cycles, to->mutable_on_off_cycles());
  }
  WriteAll(from.ignored_spans, to->mutable_ignored_spans());
  to->set_stuck_after_s(from.stuck_after_s);
  Fill(from.may_stand_still, to->mutable_may_stand_still());
}

}  // namespace ratebound::document
