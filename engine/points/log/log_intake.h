// A laboratory's time-stamped log, pushed in chunks of any size and cut into test points.
//
// Example:
//   ASSIGN_OR_RETURN(LogIntake intake,
//                    LogIntake::Create(manifest, manifest.log_files[0], tolerances, {}));
//   while (!(chunk = Next()).empty()) RETURN_IF_ERROR(intake.Feed(chunk));
//   ASSIGN_OR_RETURN(LogResult result, intake.Finish());
//   result.points[0].id;             // "day1.csv:601"
//   result.report.spans[0].reason;   // "leaving_air_db spread 1.3 degF, allowed 0.5"
//
// The text is that of csv.h, with the same faults; the result does not depend on how the
// bytes were split into chunks. Headings are those of headings.h, the log's own columns
// first. A label column of stage, block, specimen, regime or tested_on counts; a change
// of any of them is a change of the stage. Stamps are read as stamp_reader.h says.
//
// Every row has one fate, and the report's spans tell it: part of a window or cycle,
// ignored by decision, or rejected for a reason. What the three cuts do is written in
// steady_windows.h, frost_cycles.h and on_off_cycles.h. For all of them:
//   - A reading stands for the time up to the next row; the last one before a gap or the
//     end stands for the typical step, the median of the first 100.
//   - A gap is a step longer than longest_step_s, or 5 typical steps. What happened in it
//     is not known, so it is a change, and so are the start of the log and ignored rows.
//   - A row is rejected where a reading is outside the plausible range of its quantity (a
//     negative flow and a logger's -9999 among them), or a wet bulb or dew point is above
//     its dry bulb, or a dew point above its wet bulb, by more than ingest.h allows. Each
//     is a warning. Where it befalls more than half of the rows that are on, it is a
//     fault: then a column or a unit is wrong, and not a sensor for a while.
//   - A reading that stays the same for stuck_after_s while the unit is on makes a
//   warning
//     and rejects all rows from the first of them, windows already cut among them. Zero
//     counts as any other reading.
//
// INVALID_ARGUMENT, all faults together with file:line:column: what csv.h and headings.h
// refuse; a stamp that is not of the format, stands still or goes back (but not in
// ignored rows; a clock set back there goes on from where it was); labels that the
// manifest does not know; a column of points, units or modes; a tolerance, signal or
// change_on of the log itself that no column measures; a cycle log without power, or a
// frost log without capacity, where there is no reducer. Feed returns them early only
// where nothing behind can be read.
//
// Memory: one window's rows (or the sums of one cycle), the first 100 rows, the row being
// read (at most 1 MiB), at most kMostSpans spans and kMostPoints points. It does not grow
// with the log. Refers to no argument after Create but the reducer's own captures.
// Thread-safety: none; one thread at a time.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_LOG_INTAKE_H_
#define RATEBOUND_ENGINE_POINTS_LOG_LOG_INTAKE_H_

#include <memory>
#include <optional>
#include <span>
#include <string_view>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/points/log/log_result.h"

namespace ratebound::points {

class LogIntake {
 public:
  // Further spans are counted and not kept, which a note says.
  static constexpr int kMostSpans = 10000;
  // A log that gives more is refused.
  static constexpr int kMostPoints = 20000;

  // `method_tolerances` are those of the SteadyWindows' method; a tolerance of the log
  // itself takes the place of the method's for the same quantity. The reducer may be
  // empty. INVALID_ARGUMENT: an unknown unit or mode, a time format that cannot be read,
  // not exactly one cut, a length or count that is not positive, unknown quantities.
  static absl::StatusOr<LogIntake> Create(
      const document::LineManifest& manifest, const document::LogFile& log,
      std::span<const document::TestTolerance> method_tolerances, RowReducer reducer,
      std::optional<SteadyReference> steady_point = {});

  LogIntake(LogIntake&&) noexcept;
  LogIntake& operator=(LogIntake&&) noexcept;
  ~LogIntake();

  absl::Status Feed(std::string_view chunk);
  // Once, at the end of the log.
  absl::StatusOr<LogResult> Finish();

 private:
  class Impl;
  explicit LogIntake(std::unique_ptr<Impl> impl);

  std::unique_ptr<Impl> impl_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_LOG_INTAKE_H_
