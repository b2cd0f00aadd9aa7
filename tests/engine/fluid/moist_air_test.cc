#include "engine/fluid/moist_air.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "engine/fluid/moist_air_columns.h"
#include "engine/number/dual.h"
#include "engine/number/pair.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

using number::Dual;
using number::Pair;

template <typename Form>
class MoistAir : public ::testing::Test {
 protected:
  // A temperature given in degC and a pressure in Pa, in the formulation's units.
  static double T(double celsius) {
    return Form::kKelvin == 1 ? celsius : 32 + 1.8 * celsius;
  }
  static double P(double pascal) { return pascal * Form::kPascal; }
};
using Formulations = ::testing::Types<Si, InchPound>;
TYPED_TEST_SUITE(MoistAir, Formulations);

constexpr Phase kPhases[] = {Phase::kWater, Phase::kIce};

double Relative(double a, double b) { return std::fabs(a / b - 1); }

TYPED_TEST(MoistAir, SaturationCurvesMeetAtTheTriplePoint) {
  using F = TypeParam;
  const double water = SaturationPressure<F>(F::kTriplePoint, Phase::kWater);
  const double ice = SaturationPressure<F>(F::kTriplePoint, Phase::kIce);
  // In I-P units the published roundings leave a little more.
  EXPECT_LT(Relative(water, ice), F::kKelvin == 1 ? 1e-8 : 2e-5);
  EXPECT_EQ(SaturationPressure<F>(F::kTriplePoint), ice);
  EXPECT_EQ(SaturationPressure<F>(F::kTriplePoint + 0.1),
            SaturationPressure<F>(F::kTriplePoint + 0.1, Phase::kWater));
  // Undercooled water evaporates faster than ice.
  EXPECT_GT(SaturationPressure<F>(this->T(-20), Phase::kWater),
            1.2 * SaturationPressure<F>(this->T(-20), Phase::kIce));
}

// From -40 to 60 degC and 60 to 110 kPa, on each phase, the inverses close on what they
// invert: within 1e-9 of the humidity ratio, down to 0.2 % relative
// humidity. (Drier, the last digit of the wet bulb itself is more than that.)
TYPED_TEST(MoistAir, WetBulbAndDewPointCloseOnHumidityRatio) {
  using F = TypeParam;
  testing::Random random("WET_BULB_AND_DEW_POINT_CLOSE_ON_HUMIDITY_RATIO");
  double worst_wet_bulb = 0, worst_dew_point = 0;
  for (int i = 0; i < 50'000; ++i) {
    const double t = this->T(random.Uniform(-40, 60));
    const double p = this->P(random.Uniform(60e3, 110e3));
    for (const Phase phase : kPhases) {
      const double relative_humidity = random.Uniform(0.002, 1);
      const double w =
          HumidityRatioFromRelativeHumidity<F>(t, relative_humidity, p, phase);
      const double wet_bulb = WetBulb<F>(t, w, p, phase);
      ASSERT_LE(wet_bulb, t + F::kWetBulbSlack * 3);
      worst_wet_bulb =
          std::max(worst_wet_bulb,
                   Relative(HumidityRatioFromWetBulb<F>(t, wet_bulb, p, phase), w));
      const double dew_point = DewPoint<F>(w, p, phase);
      worst_dew_point =
          std::max(worst_dew_point,
                   Relative(HumidityRatioFromDewPoint<F>(dew_point, p, phase), w));
      ASSERT_LT(Relative(RelativeHumidity<F>(t, w, p, phase), relative_humidity), 1e-12);
    }
  }
  this->RecordProperty("worst_wet_bulb", std::to_string(worst_wet_bulb * 1e12) + "e-12");
  this->RecordProperty("worst_dew_point",
                       std::to_string(worst_dew_point * 1e12) + "e-12");
  EXPECT_LT(worst_wet_bulb, 1e-9);
  EXPECT_LT(worst_dew_point, 1e-11);
}

TYPED_TEST(MoistAir, WetBulbReturnsTheReadingItWasTakenFrom) {
  using F = TypeParam;
  testing::Random random("WET_BULB_RETURNS_THE_READING_IT_WAS_TAKEN_FROM");
  for (int i = 0; i < 50'000; ++i) {
    const double wet_bulb = this->T(random.Uniform(-40, 40));
    const double t = wet_bulb + F::kKelvin * random.Uniform(0, 20);
    const double p = this->P(random.Uniform(60e3, 110e3));
    for (const Phase wick : kPhases) {
      const double w = HumidityRatioFromWetBulb<F>(t, wet_bulb, p, wick);
      if (w < 0) continue;
      ASSERT_NEAR(WetBulb<F>(t, w, p, wick), wet_bulb, 1e-11 * F::kKelvin) << t;
    }
  }
}

TYPED_TEST(MoistAir, InversesHoldOverTheWholeRange) {
  using F = TypeParam;
  testing::Random random("INVERSES_HOLD_OVER_THE_WHOLE_RANGE");
  for (int i = 0; i < 50'000; ++i) {
    const double t = random.Uniform(F::kLowestTemperature, F::kHighestTemperature);
    for (const Phase phase : kPhases) {
      if (phase == Phase::kIce && t > F::kTriplePoint) continue;
      const double saturation = SaturationPressure<F>(t, phase);
      ASSERT_NEAR(SaturationTemperature<F>(saturation, phase), t, 1e-11 * F::kKelvin);
      // Any pressure at which the water does not boil.
      const double p = std::max(this->P(5e3), saturation * random.Uniform(1.01, 100));
      const double w =
          random.Uniform(0, 1) * F::kMassRatio * saturation / (p - saturation);
      const double wet_bulb = WetBulb<F>(t, w, p, phase);
      ASSERT_NEAR(HumidityRatioFromWetBulb<F>(t, wet_bulb, p, phase), w, 1e-9 * w + 1e-15)
          << "dry bulb " << t << ", pressure " << p;
    }
  }
}

TYPED_TEST(MoistAir, EnthalpyAndVolumeAreUndoneByTheirInverses) {
  using F = TypeParam;
  testing::Random random("ENTHALPY_AND_VOLUME_ARE_UNDONE_BY_THEIR_INVERSES");
  for (int i = 0; i < 10'000; ++i) {
    const double t = this->T(random.Uniform(-40, 60));
    const double p = this->P(random.Uniform(60e3, 110e3));
    const double w = random.Uniform(0, 0.1);
    const double h = Enthalpy<F>(t, w);
    const double v = SpecificVolume<F>(t, w, p);
    ASSERT_NEAR(DryBulbFromEnthalpy<F>(h, w), t, 1e-10);
    ASSERT_NEAR(HumidityRatioFromEnthalpy<F>(t, h), w, 1e-14);
    ASSERT_NEAR(DryBulbFromSpecificVolume<F>(v, w, p), t, 1e-10);
    ASSERT_NEAR(HumidityRatioFromSpecificVolume<F>(t, v, p), w, 1e-14);
    ASSERT_LT(Relative(MoistAirDensity<F>(t, w, p) * v, 1 + w), 1e-14);
    ASSERT_NEAR(SpecificHeat<F>(w), Enthalpy<F>(t + 0.5, w) - Enthalpy<F>(t - 0.5, w),
                1e-9);
    ASSERT_NEAR(HumidityRatioFromVapourPressure<F>(VapourPressure<F>(w, p), p), w, 1e-15);
    ASSERT_NEAR(StationPressure<F>(SeaLevelPressure<F>(p, 300.0, t), 300.0, t), p,
                1e-10 * p);
  }
}

TYPED_TEST(MoistAir, SaturatedAirHasADegreeOfSaturationOfOne) {
  using F = TypeParam;
  const double t = this->T(25), p = this->P(9e4);
  const double w = HumidityRatioFromRelativeHumidity<F>(t, 1.0, p, Phase::kWater);
  EXPECT_NEAR(DegreeOfSaturation<F>(t, w, p, Phase::kWater), 1, 1e-14);
  EXPECT_NEAR(DegreeOfSaturation<F>(t, w / 2, p, Phase::kWater), 0.5, 1e-14);
  EXPECT_NEAR(WetBulb<F>(t, w, p, Phase::kWater), t, 1e-12);
  EXPECT_NEAR(DewPoint<F>(w, p, Phase::kWater), t, 1e-11);
}

// The derivatives of forward functions and inverses alike are those of difference
// quotients, on either wick.
TYPED_TEST(MoistAir, DerivativesAreThoseOfDifferenceQuotients) {
  using F = TypeParam;
  using D = Dual<3>;
  const auto check = [](const char* what, const auto& function, double a, double b,
                        double c) {
    const D dual = function(D::Variable(a, 0), D::Variable(b, 1), D::Variable(c, 2));
    EXPECT_EQ(dual.value, function(a, b, c)) << what;
    const double at[] = {a, b, c};
    for (int i = 0; i < 3; ++i) {
      const double step = 1e-5 * std::fabs(at[i]);
      double up[] = {a, b, c};
      double down[] = {a, b, c};
      up[i] += step;
      down[i] -= step;
      const double quotient =
          (function(up[0], up[1], up[2]) - function(down[0], down[1], down[2])) /
          (up[i] - down[i]);
      const double scale = std::fabs(dual.value / at[i]);
      EXPECT_NEAR(dual.derivative[i], quotient, 1e-6 * std::fabs(quotient) + 1e-7 * scale)
          << what << ", argument " << i;
    }
  };
  for (const Phase phase : kPhases) {
    const double t = this->T(phase == Phase::kIce ? -7 : 27);
    const double wet_bulb = t - 1.2 * F::kKelvin;
    const double p = this->P(95e3);
    const double w = HumidityRatioFromWetBulb<F>(t, wet_bulb, p, phase);
    check(
        "from wet bulb",
        [&](const auto& x, const auto& y, const auto& z) {
          return HumidityRatioFromWetBulb<F>(x, y, z, phase);
        },
        t, wet_bulb, p);
    check(
        "wet bulb",
        [&](const auto& x, const auto& y, const auto& z) {
          return WetBulb<F>(x, y, z, phase);
        },
        t, w, p);
    check(
        "dew point",
        [&](const auto& x, const auto& y, const auto& z) {
          return DewPoint<F>(x, y, phase) + 0.0 * z;
        },
        w, p, 1);
    check(
        "relative humidity",
        [&](const auto& x, const auto& y, const auto& z) {
          return RelativeHumidity<F>(x, y, z, phase);
        },
        t, w, p);
    check(
        "degree of saturation",
        [&](const auto& x, const auto& y, const auto& z) {
          return DegreeOfSaturation<F>(x, y, z, phase);
        },
        t, w, p);
    check(
        "density",
        [&](const auto& x, const auto& y, const auto& z) {
          return MoistAirDensity<F>(x, y, z);
        },
        t, w, p);
    check(
        "dry bulb from volume",
        [&](const auto& x, const auto& y, const auto& z) {
          return DryBulbFromSpecificVolume<F>(x, y, z);
        },
        SpecificVolume<F>(t, w, p), w, p);
    check(
        "station pressure",
        [&](const auto& x, const auto& y, const auto& z) {
          return StationPressure<F>(x, y, z) + 0.0 * StandardPressure<F>(y);
        },
        p, 500, t);
  }
}

// A derivative must not depend on how many steps a search took: where one is derived
// from an equation that the other solves, their product is 1.
TYPED_TEST(MoistAir, DerivativesOfInversesAreReciprocal) {
  using F = TypeParam;
  using D = Dual<1>;
  testing::Random random("DERIVATIVES_OF_INVERSES_ARE_RECIPROCAL");
  for (int i = 0; i < 5'000; ++i) {
    const double t = this->T(random.Uniform(-40, 60));
    const double p = this->P(random.Uniform(60e3, 110e3));
    for (const Phase phase : kPhases) {
      const double w = random.Uniform(0.05, 1) *
                       HumidityRatioFromRelativeHumidity<F>(t, 1.0, p, phase);
      const D wet_bulb = WetBulb<F>(t, D::Variable(w, 0), p, phase);
      const D back =
          HumidityRatioFromWetBulb<F>(t, D::Variable(wet_bulb.value, 0), p, phase);
      ASSERT_NEAR(wet_bulb.derivative[0] * back.derivative[0], 1, 1e-9);
      const D dew = DewPoint<F>(D::Variable(w, 0), p, phase);
      const D from_dew =
          HumidityRatioFromDewPoint<F>(D::Variable(dew.value, 0), p, phase);
      ASSERT_NEAR(dew.derivative[0] * from_dew.derivative[0], 1, 1e-9);
    }
  }
}

TYPED_TEST(MoistAir, TwoStatesAtATimeHaveTheBitsOfEachAlone) {
  using F = TypeParam;
  testing::Random random("TWO_STATES_AT_A_TIME_HAVE_THE_BITS_OF_EACH_ALONE");
  for (int i = 0; i < 20'000; ++i) {
    const double t[] = {this->T(random.Uniform(-10, 50)),
                        this->T(random.Uniform(-10, 50))};
    const double b[] = {t[0] - random.Uniform(0, 3), t[1] - random.Uniform(0, 3)};
    const double p = this->P(random.Uniform(60e3, 110e3));
    for (const Phase wick : kPhases) {
      const Pair dry_bulb(t[0], t[1]);
      const Pair w = HumidityRatioFromWetBulb<F>(dry_bulb, Pair(b[0], b[1]), p, wick);
      const Pair h = Enthalpy<F>(dry_bulb, w);
      const Pair v = SpecificVolume<F>(dry_bulb, w, p);
      const Pair rh = RelativeHumidity<F>(dry_bulb, w, p, wick);
      const auto expect = [&](double t0, double b0, double w0, double h0, double v0,
                              double rh0) {
        const double alone = HumidityRatioFromWetBulb<F>(t0, b0, p, wick);
        ASSERT_EQ(w0, alone);
        ASSERT_EQ(h0, Enthalpy<F>(t0, alone));
        ASSERT_EQ(v0, SpecificVolume<F>(t0, alone, p));
        ASSERT_EQ(rh0, RelativeHumidity<F>(t0, alone, p, wick));
      };
      expect(t[0], b[0], w.first(), h.first(), v.first(), rh.first());
      expect(t[1], b[1], w.second(), h.second(), v.second(), rh.second());
    }
  }
}

TYPED_TEST(MoistAir, ColumnsHaveTheBitsOfEachStateAlone) {
  using F = TypeParam;
  testing::Random random("COLUMNS_HAVE_THE_BITS_OF_EACH_STATE_ALONE");
  for (const size_t count : {0, 1, 3, 511, 512, 513, 5000}) {
    std::vector<double> t(count), b(count), p(count), saturation(count), w(count);
    for (size_t i = 0; i < count; ++i) {
      t[i] = this->T(random.Uniform(-40, 60));
      b[i] = t[i] - random.Uniform(0, 10);
      p[i] = this->P(random.Uniform(60e3, 110e3));
    }
    for (const Phase phase : kPhases) {
      SaturationPressures<F>(b, phase, saturation);
      HumidityRatiosFromWetBulbs<F>(t, b, p, phase, w);
      std::vector<double> in_place = b;
      HumidityRatiosFromWetBulbs<F>(t, in_place, p, phase, in_place);
      ASSERT_EQ(in_place, w);
      for (size_t i = 0; i < count; ++i) {
        ASSERT_EQ(saturation[i], SaturationPressure<F>(b[i], phase));
        ASSERT_EQ(w[i], HumidityRatioFromWetBulb<F>(t[i], b[i], p[i], phase));
      }
    }
  }
}

// The case of the trade: an outdoor coil's air at 17/15 degF, a wick that may be wet or
// iced.
TEST(MoistAirBelowFreezing, WetAndIcedWicksMeanHumidityRatiosNinePercentApart) {
  const double wet = HumidityRatioFromWetBulb<Si>(-8.3, -9.4, 101325.0, Phase::kWater);
  const double iced = HumidityRatioFromWetBulb<Si>(-8.3, -9.4, 101325.0, Phase::kIce);
  EXPECT_NEAR(wet / iced - 1, 0.09, 0.01);
  // And where the two equations meet, at a wet bulb of 0 degC.
  EXPECT_NEAR(HumidityRatioFromWetBulb<Si>(5.0, 0.0, 101325.0, Phase::kWater), 0.00176,
              5e-6);
  EXPECT_NEAR(HumidityRatioFromWetBulb<Si>(5.0, 0.0, 101325.0, Phase::kIce), 0.00199,
              5e-6);
}

TEST(MoistAirInverses, HaveNoSolutionWhereThereIsNone) {
  EXPECT_TRUE(std::isnan(SaturationTemperature<Si>(0.0, Phase::kWater)));
  EXPECT_TRUE(std::isnan(SaturationTemperature<Si>(-1.0, Phase::kIce)));
  EXPECT_TRUE(std::isnan(SaturationTemperature<Si>(1e12, Phase::kWater)));
  EXPECT_TRUE(std::isnan(DewPoint<Si>(0.0, 101325.0, Phase::kWater)));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(std::isnan(WetBulb<Si>(nan, 0.01, 101325.0, Phase::kWater)));
  EXPECT_TRUE(std::isnan(WetBulb<Si>(20.0, nan, 101325.0, Phase::kIce)));
  EXPECT_TRUE(std::isnan(WetBulb<Si>(20.0, 0.01, nan, Phase::kWater)));
}

// Both formulations describe the same air; they differ by the roundings of their own
// constants.
TEST(MoistAirFormulations, AgreeWithinTheRoundingOfTheirConstants) {
  testing::Random random("FORMULATIONS_AGREE_WITHIN_THE_ROUNDING_OF_THEIR_CONSTANTS");
  for (int i = 0; i < 10'000; ++i) {
    const double wet_bulb = random.Uniform(0.1, 30);
    const double t = wet_bulb + random.Uniform(0, 8);
    const double p = random.Uniform(60e3, 110e3);
    const double w = HumidityRatioFromWetBulb<Si>(t, wet_bulb, p, Phase::kWater);
    const double w_ip = HumidityRatioFromWetBulb<InchPound>(
        32 + 1.8 * t, 32 + 1.8 * wet_bulb, p * InchPound::kPascal, Phase::kWater);
    // 0.240 Btu/(lb degF) is 1.0048 kJ/(kg K), not 1.006.
    ASSERT_NEAR(w, w_ip, 1e-5 + 1e-4 * w);
    const double v = SpecificVolume<Si>(t, w, p);
    const double v_ip =
        SpecificVolume<InchPound>(32 + 1.8 * t, w, p * InchPound::kPascal);
    ASSERT_NEAR(v, v_ip * 0.028316846592 / 0.45359237, 1e-4 * v);
  }
}

}  // namespace
}  // namespace ratebound::fluid
