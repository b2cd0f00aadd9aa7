#include "engine/map/stage_model.h"

#include <cmath>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "engine/map/fit_line.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/map_fixture.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::Footing;
using document::StageMap;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::StartsWith;

StageMap FitGrid(const document::LineManifest& manifest = CoolingManifest(),
                 std::vector<document::TestPoint> points = Grid()) {
  auto maps = FitLine(manifest, points);
  EXPECT_TRUE(maps.ok()) << maps.status();
  return maps.ok() && !maps->empty() ? maps->front() : StageMap();
}

// The grid with 0.5 % of noise, so that bands have a width.
std::vector<document::TestPoint> NoisyGrid() {
  ratebound::testing::Random random("STAGE_MODEL_NOISY_GRID");
  auto points = Grid();
  for (auto& point : points) {
    for (const char* quantity : {"total_capacity", "power_input"}) {
      Set(point, quantity, *point.Find(quantity) * (1 + 0.005 * random.Normal()));
    }
  }
  return points;
}

TEST(StageModelTest, ReproducesTheTruthBetweenThePoints) {
  ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(FitGrid()));
  ratebound::testing::Random random("REPRODUCES_THE_TRUTH_BETWEEN_THE_POINTS");
  for (int i = 0; i < 100; ++i) {
    const double at[] = {random.Uniform(14, 23), random.Uniform(20, 40)};
    ASSERT_OK_AND_ASSIGN(const Estimate capacity, model.Evaluate("total_capacity", at));
    EXPECT_NEAR(capacity.value_si, TrueCapacityW(at[0], at[1]), 1e-8);
    ASSERT_OK_AND_ASSIGN(const Estimate power, model.Evaluate("power_input", at));
    EXPECT_NEAR(power.value_si, TruePowerW(at[0], at[1]), 1e-8);
  }
}

TEST(StageModelTest, DerivesRatiosAndTheEnergyBalance) {
  ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(FitGrid()));
  EXPECT_THAT(model.AvailableQuantities(),
              ElementsAre("coefficient_of_performance", "energy_efficiency_ratio",
                          "heat_rejection", "leaving_water_temp", "power_input",
                          "sensible_capacity", "total_capacity"));
  const double at[] = {19, 30};
  const double capacity_w = model.Evaluate("total_capacity", at)->value_si;
  const double power_w = model.Evaluate("power_input", at)->value_si;
  EXPECT_EQ(model.Evaluate("coefficient_of_performance", at)->value_si,
            capacity_w / power_w);
  EXPECT_EQ(model.Evaluate("energy_efficiency_ratio", at)->value_si,
            capacity_w / power_w);
  const double heat_w = model.Evaluate("heat_rejection", at)->value_si;
  EXPECT_EQ(heat_w, capacity_w + power_w);
  // Water is held at 0.0005 m3/s: 998.2 kg/m3 and 4184 J/(kg K) at 20 degC (IAPWS-IF97).
  EXPECT_NEAR(model.Evaluate("leaving_water_temp", at)->value_si,
              30 + heat_w / (998.2 * 4184 * 0.0005), 1e-12);
}

TEST(StageModelTest, HeatingTakesHeatFromTheWater) {
  auto manifest = CoolingManifest();
  document::Mode& mode = manifest.units[0].modes[0];
  mode.kind = document::ModeKind::kHeating;
  mode.capacity_quantity = "heating_capacity";
  mode.other_responses.clear();
  auto points = Grid();
  for (auto& point : points) {
    for (auto& value : point.values) {
      if (value.quantity == "total_capacity") value.quantity = "heating_capacity";
    }
  }
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(manifest, points)));
  EXPECT_THAT(model.AvailableQuantities(),
              ElementsAre("coefficient_of_performance", "heat_absorbed",
                          "heating_capacity", "leaving_water_temp", "power_input"));
  const double at[] = {19, 30};
  const double heat_w = TrueCapacityW(19, 30) - TruePowerW(19, 30);
  EXPECT_NEAR(model.Evaluate("heat_absorbed", at)->value_si, heat_w, 1e-8);
  EXPECT_NEAR(model.Evaluate("leaving_water_temp", at)->value_si,
              30 - heat_w / (998.2 * 4184 * 0.0005), 1e-10);
}

TEST(StageModelTest, AFittedQuantityComesBeforeADerivedOne) {
  auto manifest = CoolingManifest();
  manifest.units[0].modes[0].other_responses = {"leaving_water_temp"};
  auto points = Grid();
  for (auto& point : points) point.values.push_back({"leaving_water_temp", 42});
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(manifest, points)));
  const double at[] = {19, 30};
  EXPECT_NEAR(model.Evaluate("leaving_water_temp", at)->value_si, 42, 1e-9);
}

// Whatever the correlation of capacity and power, the first-order error of what follows
// from them is at most the one given.
TEST(StageModelTest, DerivedErrorsAreOnTheSafeSide) {
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(CoolingManifest(), NoisyGrid())));
  const double at[] = {19, 30};
  const Estimate q = *model.Evaluate("total_capacity", at);
  const Estimate p = *model.Evaluate("power_input", at);
  ASSERT_TRUE(q.standard_error_si && p.standard_error_si);
  const Estimate cop = *model.Evaluate("coefficient_of_performance", at);
  const Estimate heat = *model.Evaluate("heat_rejection", at);
  ASSERT_TRUE(cop.standard_error_si && heat.standard_error_si);
  EXPECT_EQ(cop.degrees_of_freedom, std::min(q.degrees_of_freedom, p.degrees_of_freedom));
  const double a = *q.standard_error_si / p.value_si;
  const double b = *p.standard_error_si * q.value_si / (p.value_si * p.value_si);
  for (double rho : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
    EXPECT_LE(std::sqrt(std::fabs(a * a + b * b - 2 * rho * a * b)),
              *cop.standard_error_si * (1 + 1e-12));
  }
  EXPECT_NEAR(*heat.standard_error_si, *q.standard_error_si + *p.standard_error_si, 1e-9);
}

TEST(StageModelTest, ColumnsHaveTheBitsOfSingleCalls) {
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(CoolingManifest(), NoisyGrid())));
  ratebound::testing::Random random("COLUMNS_HAVE_THE_BITS_OF_SINGLE_CALLS");
  std::vector<double> wb_c, water_c;
  for (int i = 0; i < 1003; ++i) {
    wb_c.push_back(random.Uniform(10, 27));
    water_c.push_back(random.Uniform(15, 45));
  }
  const std::span<const double> columns[] = {wb_c, water_c};
  std::vector<double> values(wb_c.size());
  std::vector<Footing> footings(wb_c.size());
  ASSERT_THAT(model.FootingColumns(columns, footings), ratebound::testing::IsOk());
  for (const std::string& quantity : model.AvailableQuantities()) {
    ASSERT_THAT(model.EvaluateColumns(quantity, columns, values),
                ratebound::testing::IsOk());
    for (size_t i = 0; i < values.size(); ++i) {
      const double at[] = {wb_c[i], water_c[i]};
      ASSERT_EQ(values[i], model.Evaluate(quantity, at)->value_si) << quantity;
      ASSERT_EQ(footings[i], model.Footing(at)->footing);
    }
  }
}

TEST(StageModelTest, SaysHowAConditionStandsToWhatWasTested) {
  // A grid with one corner cut off: 23 degC wet bulb was tested with water up to 25 degC
  // only.
  auto points = Grid();
  std::erase_if(points, [](const document::TestPoint& p) {
    return *p.Find("entering_air_wb") > 18 && *p.Find("entering_water_temp") > 27;
  });
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(CoolingManifest(), points)));
  const double wb_slack = kSamePointFraction * 9;
  const struct {
    const char* what;
    std::vector<double> at;
    Footing footing;
    const char* reason;
  } cases[] = {
      {"a tested point", {17, 25}, Footing::kTested, "tested at point low11"},
      {"a tested corner", {14, 20}, Footing::kTested, "tested at point low00"},
      {"just inside the tolerance",
       {17 + 0.99 * wb_slack, 25},
       Footing::kTested,
       "tested"},
      {"just outside the tolerance",
       {17 + 1.01 * wb_slack, 25},
       Footing::kInterpolated,
       ""},
      {"between points", {15.5, 32}, Footing::kInterpolated, "inside the tested region"},
      {"on the low edge", {14, 22.5}, Footing::kInterpolated, ""},
      {"on the high edge", {20, 20 + 1e-9}, Footing::kTested, ""},
      {"below",
       {13.5, 30},
       Footing::kExtrapolated,
       "entering_air_wb of 13.5 degC is below the tested range, 14 to 23 degC"},
      {"above",
       {15, 45},
       Footing::kExtrapolated,
       "entering_water_temp of 45 degC is above the tested range, 20 to 40 degC"},
      {"outside in both", {30, 45}, Footing::kExtrapolated, "entering_air_wb of 30 degC"},
      {"in the missing corner",
       {23, 40},
       Footing::kExtrapolated,
       "each condition is inside its tested range, and the combination is further out"},
  };
  for (const auto& c : cases) {
    SCOPED_TRACE(c.what);
    ASSERT_OK_AND_ASSIGN(const FootingAnswer answer, model.Footing(c.at));
    EXPECT_EQ(answer.footing, c.footing) << answer.reason;
    EXPECT_THAT(answer.reason, StartsWith(c.reason));
  }
}

TEST(StageModelTest, FootingIsExplainedInTheUnitsOfTheAsker) {
  ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(FitGrid()));
  ASSERT_OK_AND_ASSIGN(const quantity::Unit degf, quantity::FindUnit("degF"));
  ASSERT_OK_AND_ASSIGN(
      const FootingAnswer answer,
      model.Footing(std::vector<double>{17, 50}, {}, {{"entering_water_temp", degf}}));
  EXPECT_THAT(answer.reason, AllOf(StartsWith("entering_water_temp of 122 degF is above"),
                                   EndsWith("104 degF")));
}

TEST(StageModelTest, AskForTheNearestPoint) {
  // Two clusters of points: between them leverage is low and nothing was tested.
  std::vector<document::TestPoint> points;
  for (int i = 0; i < 20; ++i) {
    points.push_back(Point(absl::StrCat("p", i), 14 + (i % 2) + (i < 10 ? 0 : 20),
                           20 + (i % 5) + (i < 10 ? 0 : 20)));
  }
  auto manifest = CoolingManifest();
  manifest.units[0].modes[0].nearest_point_fraction = 0.3;
  ASSERT_OK_AND_ASSIGN(const StageModel model,
                       StageModel::Create(FitGrid(manifest, points)));
  const double middle[] = {24.5, 32};
  ASSERT_OK_AND_ASSIGN(const FootingAnswer answer, model.Footing(middle));
  EXPECT_EQ(answer.footing, Footing::kExtrapolated);
  EXPECT_THAT(answer.reason, StartsWith("the nearest tested point, p"));
}

TEST(StageModelTest, AHeldConditionAwayIsExtrapolated) {
  ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(FitGrid()));
  const double at[] = {17, 25};
  const auto footing = [&](const char* quantity, double value_si) {
    const document::SiValue held[] = {{quantity, value_si}};
    return model.Footing(at, held);
  };
  EXPECT_EQ(footing("water_flow", 0.000509)->footing, Footing::kTested);
  EXPECT_EQ(footing("water_flow", 0.000511)->footing, Footing::kExtrapolated);
  EXPECT_THAT(
      footing("water_flow", 0.0006)->reason,
      HasSubstr("water_flow of 0.0006 m3/s is away from what every point was held at"));
  EXPECT_EQ(footing("water_flow", std::nan(""))->footing, Footing::kExtrapolated);
  EXPECT_FALSE(footing("air_flow", 1).ok());
}

TEST(StageModelTest, RefusesWhatItCannotAnswer) {
  ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(FitGrid()));
  const double at[] = {17, 25};
  const double one[] = {17};
  const double bad[] = {17, std::numeric_limits<double>::infinity()};
  using ratebound::testing::StatusIs;
  constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;
  EXPECT_THAT(model.Evaluate("total_capcity", at),
              StatusIs(kInvalid, HasSubstr("did you mean 'total_capacity'?")));
  EXPECT_THAT(model.Evaluate("total_capacity", one),
              StatusIs(kInvalid, HasSubstr("1 given")));
  EXPECT_THAT(
      model.Evaluate("total_capacity", bad),
      StatusIs(kInvalid, HasSubstr("entering_water_temp is not a finite number")));
  EXPECT_THAT(model.Footing(bad), StatusIs(kInvalid, HasSubstr("finite")));
  const double far[] = {17, -4000};  // power below zero
  EXPECT_THAT(
      model.Evaluate("coefficient_of_performance", far),
      StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("power_input is")));
}

TEST(StageModelTest, RefusesMapsThatDoNotFitTogether) {
  const StageMap good = FitGrid();
  ASSERT_THAT(StageModel::Create(good), ratebound::testing::IsOk());
  const double nan = std::nan("");
  const std::function<void(StageMap&)> spoil[] = {
      [](StageMap& m) { m.conditions.clear(); },
      [](StageMap& m) { m.conditions.push_back("air_flow"); },
      [](StageMap& m) { m.tested_low_si.pop_back(); },
      [](StageMap& m) { std::swap(m.tested_low_si, m.tested_high_si); },
      [](StageMap& m) { m.point_conditions_si.pop_back(); },
      [&](StageMap& m) { m.point_conditions_si[3] = nan; },
      [](StageMap& m) { m.held_tolerances_si.clear(); },
      [&](StageMap& m) { m.nearest_point_fraction = nan; },
      [](StageMap& m) { m.surfaces[0].coefficients_si.pop_back(); },
      [&](StageMap& m) { m.surfaces[0].coefficients_si[1] = nan; },
      [](StageMap& m) { m.surfaces[0].exponents[2] = 5; },
      [](StageMap& m) { m.surfaces[0].exponents.clear(); },
      [](StageMap& m) { m.surfaces[0].degree = 1000000; },
      [](StageMap& m) { m.surfaces[0].degree = -1; },
      [](StageMap& m) { m.surfaces[0].half_range_si[0] = 0; },
      [](StageMap& m) { m.surfaces[0].centre_si.clear(); },
      [](StageMap& m) { m.surfaces[0].covariance_si.pop_back(); },
      [&](StageMap& m) { m.surfaces[1].covariance_si[0] = nan; },
      [](StageMap& m) { m.surfaces[0].leverage_matrix.clear(); },
      [&](StageMap& m) { m.surfaces[0].greatest_leverage = nan; },
      [](StageMap& m) { m.surfaces.push_back(m.surfaces[0]); },
  };
  for (size_t i = 0; i < std::size(spoil); ++i) {
    StageMap map = good;
    spoil[i](map);
    EXPECT_THAT(StageModel::Create(map),
                ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                             StartsWith("performance map: ")))
        << "spoilt by " << i;
  }
}

}  // namespace
}  // namespace ratebound::map
