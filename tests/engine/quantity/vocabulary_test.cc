#include "engine/quantity/vocabulary.h"

#include <cmath>
#include <limits>
#include <set>
#include <string>

#include "absl/strings/ascii.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::quantity {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;

TEST(AllQuantities, NamesAreSnakeCaseUniqueAndFound) {
  std::set<std::string_view> names;
  for (const Quantity& quantity : AllQuantities()) {
    EXPECT_TRUE(names.insert(quantity.name).second) << quantity.name;
    for (char c : quantity.name) EXPECT_TRUE(absl::ascii_islower(c) || c == '_');
    EXPECT_LT(quantity.least_si, quantity.greatest_si) << quantity.name;
    EXPECT_FALSE(quantity.meaning.empty()) << quantity.name;
    const auto found = FindQuantity(quantity.name);
    ASSERT_THAT(found, IsOk());
    EXPECT_EQ(*found, &quantity);
  }
}

TEST(AllQuantities, TheTradesOwnAreThere) {
  const struct {
    std::string_view name;
    Dimension dimension;
    Role role;
  } kCases[] = {
      {"entering_air_db", Dimension::kTemperature, Role::kCondition},
      {"entering_water_temp", Dimension::kTemperature, Role::kCondition},
      {"air_flow", Dimension::kVolumeFlow, Role::kEither},
      {"total_capacity", Dimension::kPower, Role::kResponse},
      {"gross_total_capacity", Dimension::kPower, Role::kResponse},
      {"power_input", Dimension::kPower, Role::kResponse},
      {"moisture_removal", Dimension::kMassFlow, Role::kResponse},
      {"external_static_pressure", Dimension::kPressureDifference, Role::kEither},
      {"barometric_pressure", Dimension::kPressure, Role::kCondition},
      {"superheat", Dimension::kTemperatureDifference, Role::kEither},
      {"energy_efficiency_ratio", Dimension::kEnergyRatio, Role::kResponse},
      {"fluid_concentration", Dimension::kFraction, Role::kCondition},
  };
  for (const auto& c : kCases) {
    const auto found = FindQuantity(c.name);
    ASSERT_THAT(found, IsOk());
    EXPECT_EQ((*found)->dimension, c.dimension) << c.name;
    EXPECT_EQ((*found)->role, c.role) << c.name;
  }
}

TEST(FindQuantity, NamesTheNearest) {
  EXPECT_THAT(
      FindQuantity("entering_water_tmp"),
      StatusIs(kInvalid, AllOf(HasSubstr("unknown quantity 'entering_water_tmp'"),
                               HasSubstr("did you mean 'entering_water_temp'?"))));
  EXPECT_THAT(FindQuantity("Total_Capacity"),
              StatusIs(kInvalid, HasSubstr("'total_capacity'")));
  EXPECT_THAT(FindQuantity(""), StatusIs(kInvalid, HasSubstr("unknown quantity ''")));
}

TEST(CheckPlausible, RefusesWhatNoMachineMeets) {
  const Quantity& barometer = **FindQuantity("barometric_pressure");
  EXPECT_THAT(CheckPlausible(barometer, 101325), IsOk());
  EXPECT_THAT(CheckPlausible(barometer, 4e4), IsOk());
  EXPECT_THAT(CheckPlausible(barometer, 29.92),
              StatusIs(kInvalid,
                       "barometric_pressure of 29.92 Pa is outside what is physically "
                       "plausible, 40000 to 110000 Pa; check the unit"));
  EXPECT_FALSE(CheckPlausible(barometer, std::nan("")).ok());
  EXPECT_FALSE(CheckPlausible(barometer, std::numeric_limits<double>::infinity()).ok());
}

// The published rating points of the trade lie inside the ranges: AHRI 210/240 and
// 340/360 outdoor 95/75 degF and indoor 80/67 degF, 17 degF heating; ISO 13256-1 30 and 0
// degC water (from memory).
TEST(CheckPlausible, AcceptsStandardRatingConditions) {
  const struct {
    std::string_view name;
    double celsius;
  } kCases[] = {{"entering_air_db", 26.7},
                {"entering_air_wb", 19.4},
                {"outdoor_air_db", 35},
                {"outdoor_air_wb", 23.9},
                {"outdoor_air_db", -8.3},
                {"entering_water_temp", 30},
                {"entering_brine_temp", 0},
                {"leaving_chilled_water_temp", 6.7},
                {"entering_condenser_water_temp", 29.4}};
  for (const auto& [name, celsius] : kCases) {
    EXPECT_THAT(CheckPlausible(**FindQuantity(name), celsius), IsOk());
  }
}

}  // namespace
}  // namespace ratebound::quantity
