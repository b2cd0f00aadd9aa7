// The small line with time-stamped logs: a day of steady rows that gives windows, and a
// log of cycles of on and off.
#ifndef RATEBOUND_TESTS_ENGINE_RELEASE_LOGGED_LINE_H_
#define RATEBOUND_TESTS_ENGINE_RELEASE_LOGGED_LINE_H_

#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/release/log_reader.h"
#include "tests/engine/release/line_of_units.h"

namespace ratebound::release {

// An entry that cuts a log of the small line into windows of 600 s; `rest` adds to it.
inline std::string WindowsEntry(std::string_view path, std::string_view rest = "") {
  return absl::StrFormat(R"(
log_files {
  path: "%s" unit: "u1" mode: "cooling" stage: "full" block: "logged"
  time { header: "t" format: "s" }
  steady_windows {
    length_s: 600 %s
    tolerances {
      quantity: "entering_air_wb"
      greatest_spread { absolute: 0.5 unit: "delta_degC" }
      citation { source: "a test" basis: BASIS_MEMORY }
    }
  }
}
)",
                         path, rest);
}

inline std::string OnOffEntry(std::string_view steady_point) {
  return absl::StrFormat(R"(
log_files {
  path: "logs/cycles.csv" unit: "u1" mode: "cooling" stage: "full"
  columns { header: "on" unused: "state" }
  time { header: "t" format: "s" }
  on_off_cycles {
    signal: "on" threshold: 0.5 source: "a test" steady_point: "%s"
  }
  stuck_after_s: 0
}
)",
                         steady_point);
}

// Rows 10 s apart at 25 degC and 18 degC, where the truth of the small line is 50 kW and
// 10 kW; every reading swings a little so that none stands still.
inline std::string SteadyLog(int duration_s = 1300) {
  std::string csv =
      "t,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
      "power_input[kW]\n";
  for (int s = 0; s <= duration_s; s += 10) {
    const double swing = (s / 10 % 3 - 1) * 0.01;
    absl::StrAppendFormat(&csv, "%d,%.2f,%.2f,%.2f,%.3f\n", s, 25 + swing, 18 - swing,
                          50 + swing, 10 - swing);
  }
  return csv;
}

// 600 s on at 48 kW and 9.9 kW, 600 s off.
inline std::string OnOffLog() {
  std::string csv =
      "t,on,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
      "power_input[kW]\n";
  for (int s = 0; s <= 6000; s += 10) {
    const bool on = s % 1200 < 600;
    absl::StrAppendFormat(&csv, "%d,%d,%.2f,18,%g,%g\n", s, on ? 1 : 0,
                          25 + s / 10 % 2 * 0.01, on ? 48.0 : 0.0, on ? 9.9 : 0.05);
  }
  return csv;
}

inline Files LoggedLine() {
  Files files = SmallLine();
  BytesOf(files, "line.textproto") += WindowsEntry("logs/day.csv") + OnOffEntry("p21");
  BytesOf(files, "logs/day.csv") = SteadyLog();
  BytesOf(files, "logs/cycles.csv") = OnOffLog();
  return files;
}

// The same folder as an upload gives it: logs read in chunks behind the other files.
inline Files Streamed(const Files& files, size_t chunk_bytes,
                      std::span<const document::MeasurementMethod> methods = {}) {
  Files streamed;
  for (const LineFile& file : files) {
    if (!file.path.starts_with("logs/")) streamed.push_back(file);
  }
  const Files others = streamed;
  for (const LineFile& file : files) {
    if (!file.path.starts_with("logs/")) continue;
    LogReader reader = LogReader::Open(others, methods, file.path);
    for (size_t at = 0; at < file.bytes.size(); at += chunk_bytes) {
      // A copy, so that a view kept too long shows.
      reader.Feed(std::string(file.bytes.substr(at, chunk_bytes)));
    }
    streamed.push_back({.path = file.path, .bytes = "", .log = reader.Finish()});
  }
  return streamed;
}

}  // namespace ratebound::release

#endif  // RATEBOUND_TESTS_ENGINE_RELEASE_LOGGED_LINE_H_
