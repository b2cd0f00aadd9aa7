// A manifest, logs to push through the intake, and the texts of logs with known truth.
#ifndef RATEBOUND_TESTS_ENGINE_POINTS_LOG_LOG_FILES_H_
#define RATEBOUND_TESTS_ENGINE_POINTS_LOG_LOG_FILES_H_

#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/points/log/log_intake.h"

namespace ratebound::points {

// One unit "u" with modes "cooling" and "heating", stages "1" and "2", nominal 10 kW.
document::LineManifest SmallManifest();

// A log "logs/day1.csv" of that unit in mode "cooling", stage "1", stamps in a column "t"
// of seconds; windows of 600 s without tolerances.
document::LogFile SecondsLog();

document::ToleranceFigure Absolute(double value, std::string unit);
document::ToleranceFigure Fraction(double fraction);

// The whole text at once, or in chunks of the sizes given, over and over.
absl::StatusOr<LogResult> Cut(const document::LineManifest& manifest,
                              const document::LogFile& log, std::string_view text,
                              const std::vector<size_t>& chunks = {},
                              RowReducer reducer = {},
                              std::optional<SteadyReference> steady = {});

std::string ReadData(const std::string& path);  // below tests/data

const document::CycleFigure* FindFigure(const std::vector<document::CycleFigure>& figures,
                                        std::string_view name);
double FigureValue(const std::vector<document::CycleFigure>& figures,
                   std::string_view name);

// "kind first-last reason-or-point", one for each span.
std::vector<std::string> SpanTexts(const LogResult& result);

}  // namespace ratebound::points

#endif  // RATEBOUND_TESTS_ENGINE_POINTS_LOG_LOG_FILES_H_
