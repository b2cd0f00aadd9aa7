#include "engine/quantity/unit.h"

#include <cmath>
#include <limits>
#include <set>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::quantity {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;

Unit Get(std::string_view name) {
  const auto unit = FindUnit(name);
  EXPECT_THAT(unit, IsOk());
  return unit.value_or(Unit{});
}
double Si(double value, std::string_view name) { return ToSi(value, Get(name)); }

struct FactorCase {
  std::string_view unit;
  double printed;   // the SI value of one unit as the table prints it
  double relative;  // half a unit of its last printed digit, or 0 where it prints it as
                    // exact
};

// NIST Special Publication 811 (2008), appendix B.8 and B.9 (from memory), by their
// printed digits.
TEST(ToSi, FactorsOfNistSpecialPublication811) {
  const FactorCase kCases[] = {
      {"cfm", 4.719474e-4, 1.1e-7},
      {"gpm", 6.309020e-5, 0.8e-7},
      {"L/min", 1.666667e-5, 3e-7},
      {"Btu/h", 0.2930711, 2e-7},
      {"ton", 3516.853, 2e-7},
      {"hp", 745.6999, 1e-7},
      {"Btu", 1055.056, 5e-7},
      {"kWh", 3.6e6, 0},
      {"psia", 6894.757, 1e-7},
      {"psid", 6894.757, 1e-7},
      {"psig", 6894.757, 1e-7},
      {"in_wg_4c", 249.0889, 2e-7},
      {"in_wg_60f", 248.84, 0},
      {"inHg", 3386.389, 2e-7},
      {"mmHg", 133.3224, 4e-7},
      {"bar", 1e5, 0},
      {"lb", 0.45359237, 0},
      {"lb/h", 1.259979e-4, 4e-7},
      {"lb/min", 7.559873e-3, 1e-7},
      {"Btu/lb", 2326, 0},
      {"Btu/lb-degF", 4186.8, 0},
      {"lb/ft3", 16.01846, 4e-7},
      {"ft3/lb", 6.242796e-2, 1e-7},
      {"ft", 0.3048, 0},
      {"in", 0.0254, 0},
      {"ft2", 9.290304e-2, 0},
      {"ft3", 2.831685e-2, 2e-7},
      {"gal", 3.785412e-3, 1.5e-7},
      {"ft/min", 5.08e-3, 0},
      {"rpm", 1.0 / 60, 0},
      {"gr/lb", 1.428571e-4, 4e-7},
      {"h", 3600, 0},
  };
  OutsideCheck exact({.name = "quantity.sp811_exact_factors",
                      .source = "NIST SP 811 (2008), B.8 and B.9, in bold (from memory)",
                      .tolerance = 0});
  OutsideCheck rounded({.name = "quantity.sp811_rounded_factors",
                        .source =
                            "NIST SP 811 (2008), B.8 and B.9 (from memory); in parts "
                            "of half the last printed digit",
                        .tolerance = 1});
  for (const FactorCase& c : kCases) {
    const std::string unit(c.unit);
    if (c.relative == 0) {
      exact.Relative(unit, Si(1, c.unit), c.printed);
    } else {
      rounded.Deviation(unit, std::fabs(Si(1, c.unit) / c.printed - 1) / c.relative);
    }
  }
}

TEST(ToSi, DefinitionsThatFixOneAnotherAgreeToTheBit) {
  EXPECT_EQ(Si(12000, "Btu/h"), Si(1, "ton"));
  EXPECT_EQ(Si(12, "kBtu/h"), Si(1, "ton"));
  EXPECT_EQ(Si(231, "in") / 231, Si(1, "in"));
  EXPECT_EQ(Si(7000, "gr/lb"), 1);
  EXPECT_EQ(Si(1, "ft_wg_4c"), Si(12, "in_wg_4c"));
  EXPECT_EQ(Si(60, "lb/h"), Si(1, "lb/min"));
  EXPECT_NEAR(Si(760, "mmHg"), 101325,
              0.02);  // what the standard atmosphere was defined from
  EXPECT_EQ(Si(1, "Btu/Wh"),
            Si(1, "Btu/h"));  // the same number: a watt-hour in an hour is a watt
  EXPECT_EQ(Si(3600, "rpm"), 60);
  EXPECT_EQ(Si(50, "%"), 0.5);
}

TEST(ToSi, TemperaturesAreExactWhereTheScaleIs) {
  const struct {
    double fahrenheit, celsius;
  } kCases[] = {{32, 0},  {212, 100}, {-40, -40}, {50, 10},  {95, 35},
                {59, 15}, {77, 25},   {14, -10},  {-4, -20}, {41, 5}};
  OutsideCheck check({.name = "quantity.fahrenheit_by_definition",
                      .source = "NIST SP 811 (2008), B.8: t/degC = (t/degF - 32)/1.8",
                      .tolerance = 0});
  for (const auto& [fahrenheit, celsius] : kCases) {
    const std::string what = base::ShortestText(fahrenheit) + " degF";
    check.Absolute(what, Si(fahrenheit, "degF"), celsius);
    check.Absolute(what + " back", FromSi(celsius, Get("degF")), fahrenheit);
  }
  EXPECT_EQ(Si(300, "K"), 26.85);
  EXPECT_EQ(Si(0, "K"), -273.15);
  EXPECT_EQ(Si(0, "degR"), -273.15);
  EXPECT_EQ(FromSi(0, Get("K")), 273.15);
  EXPECT_EQ(FromSi(0, Get("degR")), 491.67);
  EXPECT_NEAR(Si(273.15, "K"), 0, 3e-14);  // the double 273.15 is not the ice point
}

// Against GCC's 113-bit arithmetic.
TEST(ToSi, FahrenheitIsTheExactConversionRoundedOnce) {
  const Unit degf = Get("degF");
  Random random("FAHRENHEIT_ROUNDED_ONCE");
  for (int i = 0; i < 100000; ++i) {
    const double value = random.Uniform(-150, 300);
    const __float128 exact = (static_cast<__float128>(value) - 32) * 5 / 9;
    ASSERT_EQ(ToSi(value, degf), static_cast<double>(exact)) << value;
  }
}

TEST(RoundTrip, TenthsOfADegreeFahrenheitComeBack) {
  const Unit degf = Get("degF");
  for (int tenths = -1500; tenths <= 3000; ++tenths) {
    const double value = tenths / 10.0;
    const double back = FromSi(ToSi(value, degf), degf);
    if (value >= 32) {
      ASSERT_EQ(back, value);
    } else {
      ASSERT_LE(std::fabs(back - value), 1.5e-14) << value;
    }
  }
}

TEST(RoundTrip, EveryUnitComesBackWithinOneUnitOfTheLastPlace) {
  Random random("UNIT_ROUND_TRIP");
  for (const Unit& unit : AllUnits()) {
    const bool offset = unit.shift.ToDouble() != 0;
    for (int i = 0; i < 2000; ++i) {
      const double value = random.Uniform(offset ? 300 : 1e-3, 1e3);
      const double back = FromSi(ToSi(value, unit), unit);
      const double ulp = std::nextafter(value, 1e9) - value;
      ASSERT_LE(std::fabs(back - value), ulp) << unit.name << " " << value;
    }
  }
}

TEST(ToSi, KilowattsPerTonIsTheReciprocal) {
  const Unit kw_per_ton = Get("kW/ton");
  // 0.6 kW/ton is COP 5.86 (common practice, no source).
  EXPECT_NEAR(ToSi(0.6, kw_per_ton), 5.861, 5e-4);
  EXPECT_EQ(ToSi(1, kw_per_ton), Si(1, "ton") / 1000);
  EXPECT_EQ(ToSi(0, kw_per_ton), std::numeric_limits<double>::infinity());
  EXPECT_TRUE(std::isnan(DifferenceToSi(0.1, kw_per_ton)));
}

TEST(Differences, CarryNoOffset) {
  EXPECT_EQ(DifferenceToSi(9, Get("degF")), 5);
  EXPECT_EQ(Si(9, "delta_degF"), 5);
  EXPECT_EQ(DifferenceToSi(10, Get("K")), 10);
  EXPECT_EQ(DifferenceFromSi(5, Get("degF")), 9);
  EXPECT_EQ(DifferenceToSi(1, Get("kBtu/h")), Si(1, "kBtu/h"));
  EXPECT_EQ(DifferenceOf(Dimension::kTemperature), Dimension::kTemperatureDifference);
  EXPECT_EQ(DifferenceOf(Dimension::kGaugePressure), Dimension::kPressureDifference);
  EXPECT_EQ(DifferenceOf(Dimension::kPower), Dimension::kPower);
}

TEST(ToSi, NonFiniteValuesPassThrough) {
  const double infinity = std::numeric_limits<double>::infinity();
  for (const Unit& unit : AllUnits()) {
    EXPECT_TRUE(std::isnan(ToSi(std::nan(""), unit))) << unit.name;
    EXPECT_TRUE(std::isnan(FromSi(std::nan(""), unit))) << unit.name;
    EXPECT_EQ(ToSi(infinity, unit), unit.reciprocal ? 0 : infinity) << unit.name;
    EXPECT_EQ(FromSi(infinity, unit), unit.reciprocal ? 0 : infinity) << unit.name;
  }
}

TEST(AllUnits, NamesAreUniqueAndEveryDimensionHasItsOwnUnitOfScaleOne) {
  std::set<std::string_view> names;
  for (const Unit& unit : AllUnits()) {
    EXPECT_TRUE(names.insert(unit.name).second) << unit.name;
    EXPECT_EQ(Get(unit.name).dimension, unit.dimension);
    EXPECT_TRUE(unit.Measures(unit.dimension));
  }
  for (int i = 0; i < kDimensionCount; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    EXPECT_NE(DimensionName(dimension), "");
    EXPECT_EQ(ToSi(0.1, SiUnit(dimension)), 0.1) << DimensionName(dimension);
    EXPECT_TRUE(SiUnit(dimension).Measures(dimension));
  }
}

TEST(AfterNumber, ARatioStandsByItself) {
  EXPECT_EQ(AfterNumber("kBtu/h"), " kBtu/h");
  EXPECT_EQ(AfterNumber("%"), " %");
  EXPECT_EQ(AfterNumber("1"), "");
  EXPECT_EQ(AfterNumber(""), "");
}

TEST(FindUnit, UnknownNamesGetTheNearestAndTheListOfItsKind) {
  EXPECT_THAT(
      FindUnit("cfn"),
      StatusIs(kInvalid, AllOf(HasSubstr("unknown unit 'cfn'"), HasSubstr("'cfm'"),
                               HasSubstr("units of volume flow: m3/s"))));
  EXPECT_THAT(FindUnit("BTU/H"), StatusIs(kInvalid, HasSubstr("'Btu/h'")));
  EXPECT_THAT(FindUnit("kw"), StatusIs(kInvalid, HasSubstr("'kW'")));
  EXPECT_THAT(FindUnit(""), StatusIs(kInvalid, HasSubstr("unknown unit ''")));
  EXPECT_THAT(FindUnit("furlongs_per_fortnight"),
              StatusIs(kInvalid, Not(HasSubstr("did you mean"))));
}

TEST(FindUnit, AmbiguousNamesAreRefusedWithWhatTheyMayMean) {
  const struct {
    std::string_view name, help;
  } kCases[] = {{"F", "degF"},
                {"C", "degC"},
                {"\xC2\xB0"
                 "F",
                 "degF"},
                {"psi", "psia for absolute pressure, psig"},
                {"inwg", "in_wg_4c (249.089 Pa) or in_wg_60f"},
                {"in_wg", "in_wg_60f"},
                {"ft_wg", "ft_wg_4c or ft_wg_60f"},
                {"MBH", "kBtu/h for a thousand"},
                {"scfm", "standard_air_flow"},
                {"EER", "Btu/Wh"}};
  for (const auto& [name, help] : kCases) {
    EXPECT_THAT(FindUnit(name), StatusIs(kInvalid, HasSubstr(std::string(help)))) << name;
  }
}

TEST(FindUnit, MustMeasureTheDimensionAskedFor) {
  EXPECT_THAT(FindUnit("kPa", Dimension::kPressureDifference), IsOk());
  EXPECT_THAT(FindUnit("kPa", Dimension::kPressure), IsOk());
  EXPECT_THAT(FindUnit("psig", Dimension::kPressure),
              StatusIs(kInvalid, AllOf(HasSubstr("'psig' is a unit of gauge pressure"),
                                       HasSubstr("psia"))));
  EXPECT_THAT(FindUnit("degF", Dimension::kTemperatureDifference),
              StatusIs(kInvalid, HasSubstr("delta_K, delta_degC, delta_degF")));
  EXPECT_THAT(FindUnit("delta_degF", Dimension::kTemperature),
              StatusIs(kInvalid, HasSubstr("units of temperature: degC, degF, K, degR")));
}

TEST(AbsoluteFromGauge, AddsTheBarometer) {
  EXPECT_EQ(AbsoluteFromGauge(Si(0, "psig"), 101325), 101325);
  // 14.696 psia at sea level (standard atmosphere, 101,325 Pa).
  EXPECT_NEAR(FromSi(AbsoluteFromGauge(0, 101325), Get("psia")), 14.696, 5e-4);
}

}  // namespace
}  // namespace ratebound::quantity
