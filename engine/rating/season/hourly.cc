#include "engine/rating/season/hourly.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::rating {
namespace {

// Two leap years together, and far more than any file of hours has.
constexpr size_t kMostHours = 100000;
constexpr int kEpwHeaderLines = 8;
constexpr int kEpwDryBulbField = 7;  // counted from 1
constexpr double kEpwMissing = 99.9;

// The next line without its end; `rest` begins behind it.
std::string_view NextLine(std::string_view& rest) {
  const size_t end = rest.find('\n');
  std::string_view line = rest.substr(0, end);
  rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  return line;
}

std::string_view Trimmed(std::string_view text) {
  const size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

// Fields between commas; a field in double quotes may hold commas.
std::vector<std::string_view> FieldsOf(std::string_view line) {
  std::vector<std::string_view> fields;
  size_t start = 0;
  bool quoted = false;
  for (size_t i = 0; i <= line.size(); ++i) {
    if (i < line.size() && line[i] == '"') quoted = !quoted;
    if (i < line.size() && (line[i] != ',' || quoted)) continue;
    std::string_view field = Trimmed(line.substr(start, i - start));
    if (field.size() >= 2 && field.front() == '"' && field.back() == '"') {
      field = field.substr(1, field.size() - 2);
    }
    fields.push_back(field);
    start = i + 1;
  }
  return fields;
}

class HourReader {
 public:
  HourReader(std::string_view name, std::string_view bytes) : name_(name), rest_(bytes) {}

  bool AtEnd() const { return rest_.empty(); }
  std::string_view Line() {
    ++line_;
    return NextLine(rest_);
  }

  void Fault(std::string message, std::string remedy = "") {
    faults_.Add({.file = name_,
                 .line = line_,
                 .column = 1,
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }

  void Add(std::string_view field, std::string_view unit, double missing) {
    if (!field.empty() && field.front() == '+') field.remove_prefix(1);
    double value = 0;
    const auto [end, error] =
        std::from_chars(field.data(), field.data() + field.size(), value);
    if (error != std::errc() || end != field.data() + field.size() ||
        !std::isfinite(value)) {
      Fault(absl::StrCat("'", base::Printable(field), "' is no temperature"),
            "write a decimal such as -3.5");
      return;
    }
    if (value == missing) {
      Fault("the temperature of this hour is missing", "fill it in at its source");
      return;
    }
    const auto found = quantity::FindUnit(unit, quantity::Dimension::kTemperature);
    const auto outdoor = quantity::FindQuantity("outdoor_air_db");
    if (found.ok() && outdoor.ok()) {
      const double value_c = quantity::ToSi(value, *found);
      if (value_c < (*outdoor)->least_si || value_c > (*outdoor)->greatest_si) {
        Fault(absl::StrCat(base::ShortestText(value), " ", base::Absl(unit),
                           " is no temperature outdoors"));
        return;
      }
    }
    hours_.push_back(value);
  }

  absl::StatusOr<std::vector<double>> Finish() {
    if (hours_.empty() && faults_.empty()) Fault("the file has no hours");
    if (hours_.size() > kMostHours) {
      Fault(absl::StrCat("the file has more than ", kMostHours, " hours"));
    }
    RETURN_IF_ERROR(faults_.ToStatus());
    return std::move(hours_);
  }

 private:
  std::string name_;
  std::string_view rest_;
  int line_ = 0;
  base::FaultList faults_;
  std::vector<double> hours_;
};

}  // namespace

absl::StatusOr<std::vector<double>> ReadEpwTemperatures(std::string_view name,
                                                        std::string_view bytes) {
  HourReader reader(name, bytes);
  for (int i = 0; i < kEpwHeaderLines; ++i) {
    if (reader.AtEnd()) {
      reader.Fault("the file ends in its header of 8 lines", "look whether it is EPW");
      return reader.Finish();
    }
    const std::string_view line = reader.Line();
    if (i == 0 && !line.starts_with("LOCATION")) {
      reader.Fault("an EPW file begins with LOCATION", "look whether it is EPW");
      return reader.Finish();
    }
  }
  while (!reader.AtEnd()) {
    const std::string_view line = reader.Line();
    if (Trimmed(line).empty()) continue;
    const std::vector<std::string_view> fields = FieldsOf(line);
    if (fields.size() < kEpwDryBulbField) {
      reader.Fault("the line has no dry bulb, which is its seventh field");
      continue;
    }
    reader.Add(fields[kEpwDryBulbField - 1], "degC", kEpwMissing);
  }
  return reader.Finish();
}

static absl::StatusOr<std::vector<double>> ReadCsv(std::string_view name,
                                                   std::string_view bytes,
                                                   std::string_view column,
                                                   std::string_view unit) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  HourReader reader(name, bytes);
  const std::vector<std::string_view> headings = FieldsOf(reader.Line());
  const auto found = std::find(headings.begin(), headings.end(), column);
  if (found == headings.end() ||
      std::count(headings.begin(), headings.end(), column) > 1) {
    reader.Fault(absl::StrCat(found == headings.end() ? "no column '" : "two columns '",
                              base::Printable(column), "'"),
                 "name the column by its heading");
    return reader.Finish();
  }
  const size_t index = static_cast<size_t>(found - headings.begin());
  while (!reader.AtEnd()) {
    const std::string_view line = reader.Line();
    if (Trimmed(line).empty()) continue;
    const std::vector<std::string_view> fields = FieldsOf(line);
    if (fields.size() <= index) {
      reader.Fault("the line ends before the column");
      continue;
    }
    // No number marks a missing hour: an empty field is no temperature.
    reader.Add(fields[index], unit, std::nan(""));
  }
  return reader.Finish();
}

absl::StatusOr<std::vector<double>> ReadCsvTemperatures(std::string_view name,
                                                        std::string_view bytes,
                                                        std::string_view column) {
  return ReadCsv(name, bytes, column, "");
}

absl::StatusOr<std::vector<double>> ReadHourly(const document::HourlyTemperatures& hourly,
                                               std::string_view temperature_unit,
                                               std::string_view bytes) {
  const bool epw = hourly.kind == document::HourlyFileKind::kEpw;
  const std::string from = epw ? "degC" : hourly.unit;
  ASSIGN_OR_RETURN(std::vector<double> hours,
                   epw ? ReadEpwTemperatures(hourly.path, bytes)
                       : ReadCsv(hourly.path, bytes, hourly.column, from));
  if (from == temperature_unit) return hours;
  ASSIGN_OR_RETURN(const quantity::Unit unit,
                   quantity::FindUnit(from, quantity::Dimension::kTemperature));
  ASSIGN_OR_RETURN(
      const quantity::Unit wanted,
      quantity::FindUnit(temperature_unit, quantity::Dimension::kTemperature));
  for (double& hour : hours) hour = quantity::FromSi(quantity::ToSi(hour, unit), wanted);
  return hours;
}

std::vector<document::Bin> BinHours(std::span<const double> hours, double step) {
  std::vector<document::Bin> bins;
  if (hours.empty()) return bins;
  if (!(step > 0)) {
    for (const double hour : hours) bins.push_back({.temperature = hour, .weight = 1});
    return bins;
  }
  const auto bin_of = [&](double hour) {
    return static_cast<long>(std::floor(hour / step + 0.5));
  };
  const auto [coldest, warmest] = std::minmax_element(hours.begin(), hours.end());
  const long first = bin_of(*coldest);
  const long last = bin_of(*warmest);
  for (long i = first; i <= last; ++i) {
    bins.push_back({.temperature = static_cast<double>(i) * step});
  }
  for (const double hour : hours)
    bins[static_cast<size_t>(bin_of(hour) - first)].weight += 1;
  return bins;
}

absl::Status ReadSeasonFiles(
    const std::function<absl::StatusOr<std::string_view>(const std::string& path)>&
        bytes_of,
    document::Procedure& procedure) {
  auto* season = std::get_if<document::BinSeason>(&procedure.form);
  if (season == nullptr) return absl::OkStatus();
  for (document::Climate& climate : season->climates) {
    if (!climate.hourly.has_value()) continue;
    const document::HourlyTemperatures& hourly = *climate.hourly;
    ASSIGN_OR_RETURN(const std::string_view bytes, bytes_of(hourly.path));
    ASSIGN_OR_RETURN(const std::vector<double> hours,
                     ReadHourly(hourly, season->temperature_unit, bytes));
    climate.bins = document::BinTable{.step = hourly.step,
                                      .sum = static_cast<double>(hours.size()),
                                      .bins = BinHours(hours, hourly.step),
                                      .citation = hourly.citation};
    climate.hourly.reset();
  }
  return absl::OkStatus();
}

}  // namespace ratebound::rating
