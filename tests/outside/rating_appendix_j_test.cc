// IPLV of chillers against the figures that a published data set declares.
//
// Source: ASHRAE Standard 205 example representations of the chiller curve sets of ASHRAE
// Standard 90.1-2022, Appendix J (tests/data/ashrae205/README.md). Each is a grid of
// capacity and power over leaving chilled water, entering condenser water and compressor
// sequence number, and declares a full-load COP and an IPLV. Here each sequence number
// has full quadratics in both temperatures, of capacity and of power over capacity, and
// the built-in procedure file rates the machine.
//
// The files say that the machines unload continuously, so that they can sit on every load
// point. They are rated so, with many levels between the four sequence numbers and power
// straight in load; and, as a coarser check, as machines of four fixed stages, which the
// procedure interpolates at the conditions of their own loads.
#include <algorithm>
#include <array>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/outside/rating_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::Procedure;
using document::Rating;
using ratebound::testing::OutsideCheck;

constexpr int kSequenceNumbers = 4;

struct Grid {
  std::vector<double> leaving_c;
  std::vector<double> entering_c;
  std::vector<double> capacity_w;
  std::vector<double> power_per_capacity;
};

struct CurveSet {
  double declared_cop = 0;
  double declared_iplv = 0;
  std::array<Grid, kSequenceNumbers> grids;
};

std::vector<std::vector<std::string>> CsvRows(const std::string& name) {
  std::ifstream file(absl::StrCat(RATEBOUND_SOURCE_DIR, "/tests/data/ashrae205/", name));
  EXPECT_TRUE(file.good()) << name;
  std::vector<std::vector<std::string>> rows;
  std::string line;
  std::getline(file, line);  // headings
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::vector<std::string>& row = rows.emplace_back();
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(cell);
  }
  return rows;
}

std::map<std::string, CurveSet> ReadCurveSets() {
  std::map<std::string, CurveSet> sets;
  for (const auto& row : CsvRows("declared.csv")) {
    sets[row[0]].declared_cop = std::stod(row[1]);
    sets[row[0]].declared_iplv = std::stod(row[2]);
  }
  for (const auto& row : CsvRows("chillers.csv")) {
    Grid& grid = sets.at(row[0]).grids.at(std::stoi(row[3]) - 1);
    const double capacity_w = std::stod(row[4]);
    grid.leaving_c.push_back(std::stod(row[1]));
    grid.entering_c.push_back(std::stod(row[2]));
    grid.capacity_w.push_back(capacity_w);
    grid.power_per_capacity.push_back(std::stod(row[5]) / capacity_w);
  }
  return sets;
}

// A full quadratic in both temperatures.
struct Quadratic {
  fit::PolynomialBasis basis;
  std::vector<double> coefficients;

  double At(double leaving_c, double entering_c) const {
    const std::array<double, 2> point = {leaving_c, entering_c};
    std::vector<double> row(basis.terms());
    basis.Row(point, row);
    double value = 0;
    for (size_t i = 0; i < row.size(); ++i) value += coefficients[i] * row[i];
    return value;
  }
};

Quadratic FitQuadratic(const Grid& grid, const std::vector<double>& response) {
  const std::vector<std::vector<double>> columns = {grid.leaving_c, grid.entering_c};
  fit::PolynomialBasis basis = fit::PolynomialBasis::ForPoints(columns, 2).value();
  const fit::DesignMatrix design = basis.Design(columns).value();
  return {basis,
          fit::SolveLeastSquares({.design = design, .response = response})->coefficients};
}

// `levels_between` more levels between each two sequence numbers.
RatedUnit ChillerOf(const std::string& name, const CurveSet& set, int levels_between) {
  std::vector<Quadratic> capacity_w;
  std::vector<Quadratic> power_per_capacity;
  for (const Grid& grid : set.grids) {
    capacity_w.push_back(FitQuadratic(grid, grid.capacity_w));
    power_per_capacity.push_back(FitQuadratic(grid, grid.power_per_capacity));
  }
  RatedUnit rated;
  rated.unit = {.id = name,
                .equipment_class = "chiller_water_cooled",
                .phase_count = 3,
                .nominal_capacity = {"total_capacity", 1, "MW", 1e6}};
  rated.mode = {
      .id = "cooling",
      .kind = document::ModeKind::kCooling,
      .conditions = {"leaving_chilled_water_temp", "entering_condenser_water_temp"}};
  const int levels_a_step = levels_between + 1;
  for (int level = 0; level <= (kSequenceNumbers - 1) * levels_a_step; ++level) {
    rated.mode.stages.push_back({.id = absl::StrCat("level-", level)});
  }
  rated.evaluate =
      [=](int stage,
          std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    const double leaving_c = conditions[0].value_si;
    const double entering_c = conditions[1].value_si;
    const int below = std::min(stage / levels_a_step, kSequenceNumbers - 2);
    const double part = static_cast<double>(stage) / levels_a_step - below;
    const double below_w = capacity_w[below].At(leaving_c, entering_c);
    const double above_w = capacity_w[below + 1].At(leaving_c, entering_c);
    const double below_power_w =
        below_w * power_per_capacity[below].At(leaving_c, entering_c);
    const double above_power_w =
        above_w * power_per_capacity[below + 1].At(leaving_c, entering_c);
    return StageFigures{
        .quantities = {{"total_capacity", below_w + part * (above_w - below_w)},
                       {"power_input",
                        below_power_w + part * (above_power_w - below_power_w)}},
        .footing = document::Footing::kInterpolated};
  };
  return rated;
}

constexpr char kSource[] =
    "ASHRAE Standard 205 examples (commit ee6d7b20): chillers of ASHRAE 90.1-2022, "
    "Appendix J";

Rating IplvOf(const std::string& name, const CurveSet& set, int levels_between) {
  const absl::StatusOr<Procedure> procedure = LoadProcedure("iplv-ip-water-cooled");
  if (!procedure.ok()) {
    ADD_FAILURE() << procedure.status();
    return {};
  }
  const Rating rating =
      RateUnit(*procedure, ChillerOf(name, set, levels_between)).value_or(Rating{});
  EXPECT_TRUE(rating.value.has_value()) << name << ": " << rating.refusal;
  return rating;
}

TEST(RatingOutside, DeclaredCopAndIplvOfAppendixJChillers) {
  const std::map<std::string, CurveSet> sets = ReadCurveSets();
  ASSERT_EQ(sets.size(), 8);
  OutsideCheck cop({.name = "rating.full_load_cop_of_appendix_j",
                    .source = kSource,
                    .tolerance = 0.01});
  OutsideCheck iplv(
      {.name = "rating.iplv_of_appendix_j", .source = kSource, .tolerance = 0.01});
  for (const auto& [name, set] : sets) {
    const Rating rating = IplvOf(name, set, 99);
    for (const document::TraceStep& step : rating.trace) {
      if (step.label == "point A, 100 % load") {
        cop.Relative(name, step.value, set.declared_cop);
      }
    }
    iplv.Relative(name, rating.value.value_or(0), set.declared_iplv);
  }
  EXPECT_EQ(cop.cases(), 8);
  EXPECT_EQ(iplv.cases(), 8);
}

TEST(RatingOutside, AppendixJChillersAsMachinesOfFourStages) {
  OutsideCheck iplv({.name = "rating.iplv_of_appendix_j_as_four_stages",
                     .source = kSource,
                     .tolerance = 0.02});
  for (const auto& [name, set] : ReadCurveSets()) {
    iplv.Relative(name, IplvOf(name, set, 0).value.value_or(0), set.declared_iplv);
  }
  EXPECT_EQ(iplv.cases(), 8);
}

}  // namespace
}  // namespace ratebound::rating
