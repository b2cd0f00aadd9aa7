#include "engine/fluid/psychrometric_limit.h"

#include <cmath>
#include <string>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

// Written out in long double from the equations that moist_air.h cites, with the
// library's own logarithm and exponential: no code of the engine.
long double SaturationPressure(long double t, Phase phase) {
  const long double k = t + 273.15L;
  if (phase == Phase::kWater) {
    return std::exp(-5.8002206e3L / k + 1.3914993L - 4.8640239e-2L * k +
                    4.1764768e-5L * k * k - 1.4452093e-8L * k * k * k +
                    6.5459673L * std::log(k));
  }
  return std::exp(-5.6745359e3L / k + 6.3925247L - 9.677843e-3L * k +
                  6.2215701e-7L * k * k + 2.0747825e-9L * k * k * k -
                  9.484024e-13L * k * k * k * k + 4.1635019L * std::log(k));
}
long double Saturated(long double t, long double p, Phase phase) {
  const long double s = SaturationPressure(t, phase);
  return 0.621945L * s / (p - s);
}
long double FromWetBulb(long double t, long double wb, long double p, Phase wick) {
  const long double s = Saturated(wb, p, wick);
  if (wick == Phase::kWater) {
    return ((2501e3L - 2326 * wb) * s - 1006 * (t - wb)) /
           (2501e3L + 1860 * t - 4186 * wb);
  }
  return ((2830e3L - 240 * wb) * s - 1006 * (t - wb)) / (2830e3L + 1860 * t - 2100 * wb);
}

long double At(const AirLine& line, long double t, long double wb, long double w) {
  return line.dry_bulb_factor * t + line.wet_bulb_factor * wb +
         line.humidity_ratio_factor * w + line.constant;
}
bool Keeps(const LinearLimit& limit, long double t, long double wb, long double w) {
  for (const AirLine& line : limit.lines) {
    if ((At(line, t, wb, w) >= 0) != limit.all) return !limit.all;
  }
  return limit.all;
}

TEST(HumidityRatioLimit, IsOnTheSafeSideOfTheExactOneByLittle) {
  Random random("HUMIDITY_RATIO_LIMIT");
  for (int trial = 0; trial < 20'000; ++trial) {
    const Phase phase = random.Integer(0, 1) ? Phase::kWater : Phase::kIce;
    const double dew_point = random.Uniform(-60, phase == Phase::kWater ? 60 : 0.01);
    const double pressure = random.Uniform(60e3, 110e3);
    const long double exact = Saturated(dew_point, pressure, phase);
    ASSERT_OK_AND_ASSIGN(const double most,
                         HumidityRatioLimit({dew_point, Side::kAtMost}, pressure, phase));
    ASSERT_OK_AND_ASSIGN(
        const double least,
        HumidityRatioLimit({dew_point, Side::kAtLeast}, pressure, phase));
    ASSERT_LE(most, exact) << dew_point;
    ASSERT_GE(least, exact) << dew_point;
    ASSERT_NEAR(most / exact, 1, 3e-12);
    ASSERT_NEAR(least / exact, 1, 3e-12);
  }
}

// Who keeps to the lines keeps to the limit; and little is given away.
TEST(WetBulbLimit, KeepingToTheLinesImpliesTheLimit) {
  Random random("WET_BULB_LIMIT");
  int kept = 0;
  int kept_though_near = 0;
  for (int trial = 0; trial < 60; ++trial) {
    const Side side = random.Integer(0, 1) ? Side::kAtMost : Side::kAtLeast;
    const Phase wick = random.Integer(0, 3) > 0 ? Phase::kWater : Phase::kIce;
    const double pressure = random.Uniform(70e3, 105e3);
    const double low = wick == Phase::kWater ? random.Uniform(-5, 20) : -25;
    const double high = wick == Phase::kWater ? low + random.Uniform(2, 15) : -1;
    const double dew_point = random.Uniform(low - 8, high);
    const Phase phase = wick;
    ASSERT_OK_AND_ASSIGN(
        const LinearLimit limit,
        WetBulbLimit({dew_point, side}, pressure, phase, wick, {low, high}, {}));
    EXPECT_EQ(limit.all, side == Side::kAtMost);
    const long double exact = Saturated(dew_point, pressure, phase);
    for (int s = 0; s < 3'000; ++s) {
      const double wb = random.Uniform(low, high);
      // Near the limit, from either side: the dry bulb at which it is met, and a bit.
      const auto k = wick == Phase::kWater ? Si::kWaterWick : Si::kIceWick;
      const long double met =
          ((k.latent_heat - k.latent_heat_fall * wb) * Saturated(wb, pressure, wick) +
           1006 * wb - exact * (k.latent_heat - k.wick_heat * wb)) /
          (1006 + 1860 * exact);
      const double apart =
          random.Integer(0, 1) ? random.Uniform(-0.1, 0.1) : random.Uniform(-8, 8);
      const double t = static_cast<double>(met) + apart;
      const long double w = FromWetBulb(t, wb, pressure, wick);
      const bool keeps = Keeps(limit, t, wb, 0);
      if (keeps) {
        ++kept;
        ASSERT_TRUE(side == Side::kAtMost ? w <= exact : w >= exact)
            << t << " " << wb << " for " << dew_point;
        kept_though_near += std::fabs(apart) < 0.1;
      }
      // A dry bulb further on the safe side by what pieces and grid give away.
      const double width = (high - low) / 8;
      if ((side == Side::kAtMost ? apart : -apart) > 0.2 * width * width + 0.05) {
        ASSERT_TRUE(keeps) << t << " " << wb << " for " << dew_point;
      }
    }
  }
  EXPECT_GT(kept, 10'000);
  EXPECT_GT(kept_though_near, 1'000);
}

TEST(RelativeHumidityLimit, KeepingToTheLinesImpliesTheLimit) {
  Random random("RELATIVE_HUMIDITY_LIMIT");
  int kept = 0;
  for (int trial = 0; trial < 60; ++trial) {
    const Side side = random.Integer(0, 1) ? Side::kAtMost : Side::kAtLeast;
    const double pressure = random.Uniform(70e3, 105e3);
    const double low = random.Uniform(5, 25);
    const double high = low + random.Uniform(2, 15);
    const double r = random.Uniform(0.2, 1);
    ASSERT_OK_AND_ASSIGN(
        const LinearLimit limit,
        RelativeHumidityLimit({r, side}, pressure, Phase::kWater, {low, high}, {}));
    EXPECT_EQ(limit.all, side == Side::kAtLeast);
    for (int s = 0; s < 3'000; ++s) {
      const double t = random.Uniform(low, high);
      const long double s_pressure = r * SaturationPressure(t, Phase::kWater);
      const long double exact = 0.621945L * s_pressure / (pressure - s_pressure);
      const double apart = random.Uniform(-0.1, 0.1);
      const double w = static_cast<double>(exact * (1 + apart));
      const bool keeps = Keeps(limit, t, 0, w);
      if (keeps) {
        ++kept;
        ASSERT_TRUE(side == Side::kAtMost ? w <= exact : w >= exact) << t;
      }
      const double width = (high - low) / 8;
      if ((side == Side::kAtMost ? -apart : apart) > 0.002 * width * width + 0.004) {
        ASSERT_TRUE(keeps) << t << " " << apart;
      }
    }
  }
  EXPECT_GT(kept, 10'000);
}

TEST(HumidityRatioLimit, SaturationTable) {
  OutsideCheck check(
      {.name = "claim.humidity_ratio_limit_of_dew_point",
       .source = "ASHRAE Handbook - Fundamentals 2017, chapter 1, table 2, saturated "
                 "moist air at 101.325 kPa (from memory): real air, about 0.5 % above "
                 "the ideal-gas equations",
       .tolerance = 0.008});
  struct Row {
    double dew_point_c;
    double humidity_ratio;
  };
  for (const Row& row :
       {Row{0, 0.003790}, {10, 0.007661}, {20, 0.014758}, {30, 0.027329}}) {
    ASSERT_OK_AND_ASSIGN(
        const double limit,
        HumidityRatioLimit({row.dew_point_c, Side::kAtMost}, 101325, Phase::kWater));
    check.Relative(std::to_string(row.dew_point_c), limit, row.humidity_ratio);
  }
}

TEST(PsychrometricLimit, RefusesWhatTheEquationsDoNotHoldFor) {
  const LineOptions fine;
  struct Case {
    absl::Status status;
    std::string message;
  };
  const auto status_of = [](const auto& answer) { return answer.status(); };
  const AirLimit dew{14, Side::kAtMost};
  const Case cases[] = {
      {status_of(HumidityRatioLimit({300, Side::kAtMost}, 101325, Phase::kWater)),
       "outside the equations"},
      {status_of(
           HumidityRatioLimit({std::nan(""), Side::kAtMost}, 101325, Phase::kWater)),
       "outside the equations"},
      {status_of(HumidityRatioLimit(dew, 500, Phase::kWater)), "not above"},
      {status_of(HumidityRatioLimit(dew, std::nan(""), Phase::kWater)), "not above"},
      {status_of(WetBulbLimit(dew, 101325, Phase::kWater, Phase::kWater, {18, 8}, fine)),
       "lower end first"},
      {status_of(WetBulbLimit(dew, 101325, Phase::kWater, Phase::kWater, {8, 18},
                              {.pieces = 0})),
       "0 pieces"},
      {status_of(
           WetBulbLimit(dew, 101325, Phase::kWater, Phase::kWater, {-200, 18}, fine)),
       "outside the equations"},
      {status_of(WetBulbLimitOfHumidityRatio({1.5, Side::kAtMost}, 101325, Phase::kWater,
                                             {8, 18}, fine)),
       "1.5 kg/kg"},
      {status_of(RelativeHumidityLimit({1.2, Side::kAtMost}, 101325, Phase::kWater,
                                       {8, 18}, fine)),
       "part of 1"},
  };
  for (const Case& c : cases) {
    EXPECT_THAT(c.status,
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.message)));
  }
}

}  // namespace
}  // namespace ratebound::fluid
