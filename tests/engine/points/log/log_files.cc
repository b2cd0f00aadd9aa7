#include "tests/engine/points/log/log_files.h"

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {

document::LineManifest SmallManifest() {
  document::LineManifest manifest;
  manifest.id = "line";
  manifest.specimens.push_back({.id = "s1"});
  document::Unit unit{.id = "u", .title = "u"};
  unit.nominal_capacity = {
      .quantity = "total_capacity", .value = 10, .unit = "kW", .value_si = 10000};
  unit.modes.push_back({.id = "cooling",
                        .kind = document::ModeKind::kCooling,
                        .capacity_quantity = "total_capacity",
                        .power_quantity = "power_input",
                        .conditions = {"outdoor_air_db", "entering_air_wb"},
                        .stages = {{.id = "1"}, {.id = "2"}}});
  unit.modes.push_back({.id = "heating",
                        .kind = document::ModeKind::kHeating,
                        .capacity_quantity = "heating_capacity",
                        .power_quantity = "power_input",
                        .conditions = {"outdoor_air_db"},
                        .stages = {{.id = "1"}, {.id = "2"}}});
  manifest.units.push_back(std::move(unit));
  return manifest;
}

document::LogFile SecondsLog() {
  document::LogFile log{
      .path = "logs/day1.csv", .unit = "u", .mode = "cooling", .stage = "1"};
  log.time = {.header = "t", .format = "s"};
  log.steady_windows = document::SteadyWindows{.length_s = 600};
  return log;
}

document::ToleranceFigure Absolute(double value, std::string unit) {
  document::ToleranceFigure figure{.absolute = value, .unit = unit};
  figure.absolute_si = quantity::DifferenceToSi(value, *quantity::FindUnit(unit));
  return figure;
}

document::ToleranceFigure Fraction(double fraction) {
  return {.relative_fraction = fraction};
}

absl::StatusOr<LogResult> Cut(const document::LineManifest& manifest,
                              const document::LogFile& log, std::string_view text,
                              const std::vector<size_t>& chunks, RowReducer reducer,
                              std::optional<SteadyReference> steady) {
  auto intake = LogIntake::Create(manifest, log, {}, std::move(reducer), steady);
  if (!intake.ok()) return intake.status();
  if (chunks.empty()) {
    const absl::Status fed = intake->Feed(text);
    if (!fed.ok()) return fed;
  }
  for (size_t i = 0; !chunks.empty() && !text.empty(); ++i) {
    const size_t size = std::min(chunks[i % chunks.size()], text.size());
    const std::string chunk(text.substr(0, size));  // so that a view kept too long shows
    const absl::Status fed = intake->Feed(chunk);
    if (!fed.ok()) return fed;
    text.remove_prefix(size);
  }
  return intake->Finish();
}

std::string ReadData(const std::string& path) {
  std::ifstream file(absl::StrCat(RATEBOUND_SOURCE_DIR, "/tests/data/", path),
                     std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

const document::CycleFigure* FindFigure(const std::vector<document::CycleFigure>& figures,
                                        std::string_view name) {
  for (const document::CycleFigure& figure : figures) {
    if (figure.name == name) return &figure;
  }
  return nullptr;
}

double FigureValue(const std::vector<document::CycleFigure>& figures,
                   std::string_view name) {
  const document::CycleFigure* figure = FindFigure(figures, name);
  return figure == nullptr ? std::numeric_limits<double>::quiet_NaN() : figure->value;
}

std::vector<std::string> SpanTexts(const LogResult& result) {
  constexpr const char* kKinds[] = {"window", "cycle", "rejected", "ignored"};
  std::vector<std::string> texts;
  for (const document::LogSpan& span : result.report.spans) {
    texts.push_back(absl::StrCat(kKinds[static_cast<int>(span.kind)], " ",
                                 span.first_line, "-", span.last_line, " ",
                                 span.reason.empty() ? span.point : span.reason));
  }
  return texts;
}

}  // namespace ratebound::points
