// Fits against published tables and curves (tests/data/hp-en14511-tables,
// tests/data/chiller-dx-curves).
#include <cmath>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/diagnose.h"
#include "engine/map/fit_response.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::map {
namespace {

using document::ModelFamily;
using document::ModelRequest;
using document::Surface;
using document::SurfacePurpose;
using ratebound::testing::OutsideCheck;
using ratebound::testing::StatusIs;
using ::testing::HasSubstr;

using Row = std::map<std::string, std::string>;

std::vector<Row> ReadRows(const std::string& name) {
  std::ifstream file(std::string(RATEBOUND_SOURCE_DIR) + "/tests/data/" + name);
  std::vector<std::string> headings;
  std::vector<Row> rows;
  std::string line;
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::string cell;
    std::vector<std::string> values;
    while (std::getline(cells, cell, ',')) values.push_back(cell);
    if (headings.empty()) {
      headings = values;
      continue;
    }
    Row& row = rows.emplace_back();
    for (size_t j = 0; j < headings.size(); ++j) {
      row[headings[j]] = j < values.size() ? values[j] : "";
    }
  }
  return rows;
}

double Number(const Row& row, const std::string& name) { return std::stod(row.at(name)); }

struct Table {
  std::vector<std::string> conditions = {"outdoor_air_db", "leaving_water_temp"};
  std::vector<std::vector<double>> columns = {{}, {}};
  std::vector<double> capacity_w;
  std::vector<double> power_w;
  std::vector<std::string> ids;

  ResponseProblem Problem(bool power) const {
    return {.quantity = power ? "power_input" : "heating_capacity",
            .values = power ? power_w : capacity_w,
            .conditions = conditions,
            .columns = columns,
            .point_ids = ids};
  }
};

std::map<std::string, Table> Tables() {
  std::map<std::string, Table> tables;
  for (const Row& row : ReadRows("hp-en14511-tables/points.csv")) {
    Table& table = tables[row.at("unit")];
    table.columns[0].push_back(Number(row, "t_source_c"));
    table.columns[1].push_back(Number(row, "t_sink_c"));
    table.capacity_w.push_back(Number(row, "capacity_w"));
    table.power_w.push_back(Number(row, "power_w"));
    table.ids.push_back(absl::StrCat("p", table.ids.size() + 1));
  }
  return tables;
}

TEST(PublishedTables, QuadraticsAreThoseOfAnotherImplementation) {
  OutsideCheck check(
      {.name = "map.heat_pump_tables",
       .source = "Heat pump tables at EN 14511 and EN 255 conditions, residual standard "
                 "deviation of quadratics by NumPy",
       .tolerance = 1e-9});
  const std::map<std::string, Table> tables = Tables();
  for (const Row& row : ReadRows("hp-en14511-tables/quadratic.csv")) {
    const Table& table = tables.at(row.at("unit"));
    for (bool power : {false, true}) {
      const auto fitted = FitResponse(table.Problem(power), 2, SurfacePurpose::kTable);
      if (row.at("rank") != "6") {
        // Two levels of one temperature do not carry its square.
        EXPECT_THAT(fitted, StatusIs(absl::StatusCode::kFailedPrecondition,
                                     HasSubstr("leaving_water_temp has 2 levels")));
        continue;
      }
      ASSERT_TRUE(fitted.ok()) << fitted.status();
      const double mean = fitted->surface.mean_si;
      check.Deviation(row.at("unit"),
                      std::fabs(fitted->surface.residual_sd_si -
                                Number(row, power ? "power_sd_w" : "capacity_sd_w")) /
                          mean);
    }
  }
}

// Where one temperature has two levels, it goes in linearly and the other one further.
TEST(PublishedTables, FewLevelsOfOneTemperatureDoNotHoldBackTheOther) {
  const ModelRequest request{
      .families = {ModelFamily::kTotalDegree, ModelFamily::kConditionDegrees},
      .rule = document::ModelRule::kLeastError};
  int reduced = 0;
  for (const auto& [unit, table] : Tables()) {
    ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                         FitBestResponse(table.Problem(false), {.request = &request}));
    const Surface& surface = fitted.surface;
    bool capped = false;
    for (const document::DegreeCandidate& candidate : surface.candidates) {
      if (candidate.model != "degree 2, leaving_water_temp up to 1") continue;
      capped = true;
      EXPECT_EQ(candidate.term_count, 5) << unit;
    }
    EXPECT_EQ(capped, unit == "unit-006" || unit == "unit-016") << unit;
    if (surface.fitted_term_count == 0) continue;
    ++reduced;
    // Coefficients of what was not fitted are 0, and so is their part of the covariance.
    for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
      if (surface.exponents[2 * t + 1] <= surface.condition_degrees[1]) continue;
      EXPECT_EQ(surface.coefficients_si[t], 0);
      EXPECT_EQ(surface.leverage_matrix[t * (t + 1) / 2 + t], 0);
    }
  }
  EXPECT_GT(reduced, 0);
}

// Samples a published biquadratic on a grid over its own range, fits, and turns the
// coefficients back. A coefficient counts by what its term amounts to over the range.
void Recover(const Row& row, const std::string& prefix, const std::string& a,
             const std::string& b, OutsideCheck& check) {
  const auto c = [&](int k) { return Number(row, absl::StrCat(prefix, "_c", k)); };
  const std::string unit = absl::StrCat(row.at("unit"), " ", prefix);
  Table table;
  const double a_low = Number(row, a + "_min_c"), a_high = Number(row, a + "_max_c");
  const double b_low = Number(row, b + "_min_c"), b_high = Number(row, b + "_max_c");
  ASSERT_LT(a_low, a_high) << unit;
  ASSERT_LT(b_low, b_high) << unit;
  for (int i = 0; i < 5; ++i) {
    for (int k = 0; k < 5; ++k) {
      const double x = a_low + (a_high - a_low) * i / 4;
      const double y = b_low + (b_high - b_low) * k / 4;
      table.columns[0].push_back(x);
      table.columns[1].push_back(y);
      table.capacity_w.push_back(c(1) + c(2) * x + c(3) * x * x + c(4) * y +
                                 c(5) * y * y + c(6) * x * y);
      table.ids.push_back(absl::StrCat(i, k));
    }
  }
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted, FitBestResponse(table.Problem(false)));
  const Surface& surface = fitted.surface;
  ASSERT_EQ(surface.degree, 2) << unit;
  ASSERT_OK_AND_ASSIGN(
      const fit::PolynomialBasis basis,
      fit::PolynomialBasis::Create({{surface.centre_si[0], surface.half_range_si[0]},
                                    {surface.centre_si[1], surface.half_range_si[1]}},
                                   2));
  const std::vector<double> found = UnscaledCoefficients(basis, surface.coefficients_si);
  const std::vector<double> published = {c(1), c(2), c(4), c(3), c(6), c(5)};
  const std::vector<double> size = {1,
                                    std::fabs(a_high),
                                    std::fabs(b_high),
                                    a_high * a_high,
                                    std::fabs(a_high * b_high),
                                    b_high * b_high};
  for (size_t t = 0; t < 6; ++t) {
    check.Deviation(absl::StrCat(unit, " ", basis.TermName(static_cast<int>(t))),
                    size[t] * std::fabs(found[t] - published[t]));
  }
}

// The same of a published curve over one condition, of as many coefficients as it has.
void RecoverCurve(const Row& row, const std::string& prefix, const std::string& low,
                  const std::string& high, OutsideCheck& check) {
  std::vector<double> published;
  for (int k = 1; k <= 4; ++k) {
    const auto cell = row.find(absl::StrCat(prefix, "_c", k));
    if (cell != row.end() && !cell->second.empty()) {
      published.push_back(Number(row, cell->first));
    }
  }
  while (published.size() > 1 && published.back() == 0) published.pop_back();
  const std::string unit = absl::StrCat(
      row.at("unit"), row.contains("stage") ? " " + row.at("stage") : "", " ", prefix);
  const int degree = static_cast<int>(published.size()) - 1;
  ASSERT_GE(degree, 1) << unit;
  const double from = Number(row, low);
  const double to = Number(row, high);
  std::vector<std::vector<double>> columns(1);
  std::vector<double> values;
  std::vector<std::string> ids;
  for (int i = 0; i <= 12; ++i) {
    const double x = from + (to - from) * i / 12;
    double y = 0;
    for (size_t k = published.size(); k-- > 0;) y = y * x + published[k];
    columns[0].push_back(x);
    values.push_back(y);
    ids.push_back(absl::StrCat(i));
  }
  const std::vector<std::string> conditions = {"load_ratio"};
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                       FitResponse({.quantity = "power_input",
                                    .values = values,
                                    .conditions = conditions,
                                    .columns = columns,
                                    .point_ids = ids},
                                   degree, document::SurfacePurpose::kTable));
  const Surface& surface = fitted.surface;
  ASSERT_OK_AND_ASSIGN(const fit::PolynomialBasis basis,
                       fit::PolynomialBasis::Create(
                           {{surface.centre_si[0], surface.half_range_si[0]}}, degree));
  const std::vector<double> found = UnscaledCoefficients(basis, surface.coefficients_si);
  double size = 1;
  for (size_t k = 0; k < published.size(); ++k) {
    check.Deviation(absl::StrCat(unit, " c", k + 1),
                    size * std::fabs(found[k] - published[k]));
    size *= to;
  }
}

TEST(PublishedCurves, CoefficientsOfChillersComeBack) {
  OutsideCheck check({.name = "map.chiller_curves",
                      .source = "Published biquadratics and load curves of 48 chillers",
                      .tolerance = 1e-9});
  for (const Row& row : ReadRows("chiller-dx-curves/chillers.csv")) {
    Recover(row, "capacity_temp", "t_lwt", "t_ecwt", check);
    Recover(row, "power_ratio_temp", "t_lwt", "t_ecwt", check);
    RecoverCurve(row, "power_ratio_load", "plr_min", "plr_max", check);
  }
}

TEST(PublishedCurves, CoefficientsOfCoilsComeBack) {
  OutsideCheck check({.name = "map.dx_coil_curves",
                      .source = "Published biquadratics and flow curves of stages of 9 "
                                "direct-expansion cooling coils",
                      .tolerance = 1e-9});
  for (const Row& row : ReadRows("chiller-dx-curves/dx-cooling.csv")) {
    Recover(row, "capacity_temp", "t_iwb", "t_odb", check);
    Recover(row, "power_ratio_temp", "t_iwb", "t_odb", check);
    RecoverCurve(row, "capacity_flow", "ff_min", "ff_max", check);
    RecoverCurve(row, "power_ratio_flow", "ff_min", "ff_max", check);
  }
}

}  // namespace
}  // namespace ratebound::map
