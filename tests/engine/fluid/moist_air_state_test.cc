#include "engine/fluid/moist_air_state.h"

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/fluid/bracketed_root.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using testing::StatusIs;
using P = MoistAirProperty;

constexpr P kProperties[] = {P::kDryBulb,          P::kWetBulb,       P::kDewPoint,
                             P::kRelativeHumidity, P::kHumidityRatio, P::kEnthalpy,
                             P::kSpecificVolume};

template <typename Form>
double ValueOf(const MoistAirState<Form>& state, P property) {
  switch (property) {
    case P::kDryBulb:
      return state.dry_bulb;
    case P::kWetBulb:
      return state.wet_bulb;
    case P::kDewPoint:
      return state.dew_point.value_or(std::nan(""));
    case P::kRelativeHumidity:
      return state.relative_humidity;
    case P::kHumidityRatio:
      return state.humidity_ratio;
    case P::kEnthalpy:
      return state.enthalpy;
    case P::kSpecificVolume:
      return state.specific_volume;
  }
  return std::nan("");
}

template <typename Form>
class MoistAirStates : public ::testing::Test {};
using Formulations = ::testing::Types<Si, InchPound>;
TYPED_TEST_SUITE(MoistAirStates, Formulations);

// How far a state is from another, relative, temperatures by their absolute value.
template <typename Form>
double Distance(const MoistAirState<Form>& a, const MoistAirState<Form>& b) {
  double worst = 0;
  for (const P property : kProperties) {
    const double x = ValueOf(a, property);
    const double y = ValueOf(b, property);
    const bool temperature =
        property == P::kDryBulb || property == P::kWetBulb || property == P::kDewPoint;
    const double scale = temperature ? std::fabs(y - Form::kAbsoluteZero)
                         : property == P::kEnthalpy
                             ? std::fabs(y) + 10 * Form::kDryAirHeat * Form::kKelvin
                             : std::fabs(y);
    worst = std::max(worst, std::fabs(x - y) / scale);
    if (std::isnan(x) || std::isnan(y)) return 1;
  }
  return worst;
}

// The state of any pair gives back every property of the state that the pair was taken
// from, whatever the order, on every wick and reference of saturation.
TYPED_TEST(MoistAirStates, AnyPairGivesBackTheWholeState) {
  using F = TypeParam;
  testing::Random random("ANY_PAIR_GIVES_BACK_THE_WHOLE_STATE");
  int solved = 0, parallel = 0;
  for (int i = 0; i < 3'000; ++i) {
    const double celsius = random.Uniform(-40, 60);
    const double t = F::kKelvin == 1 ? celsius : 32 + 1.8 * celsius;
    const double p = random.Uniform(60e3, 110e3) * F::kPascal;
    MoistAirOptions options = {
        .wick = static_cast<Wick>(random.Integer(0, 2)),
        .dew_point = static_cast<BelowFreezing>(random.Integer(0, 1)),
        .saturation = static_cast<BelowFreezing>(random.Integer(0, 1))};
    // Below saturation over ice, so that every phase allows it.
    const auto from = SolveMoistAir<F>(
        p, {P::kDryBulb, t}, {P::kRelativeHumidity, random.Uniform(0.02, 0.65)}, options);
    ASSERT_TRUE(from.ok()) << from.status();
    // Ice on the wick is refused where it would melt.
    if (from->wick == Phase::kWater) options.wick = Wick::kWater;
    for (const P first : kProperties) {
      for (const P second : kProperties) {
        if (first == second) continue;
        if ((first == P::kDewPoint && second == P::kHumidityRatio) ||
            (second == P::kDewPoint && first == P::kHumidityRatio)) {
          continue;
        }
        const auto state = SolveMoistAir<F>(p, {first, ValueOf(*from, first)},
                                            {second, ValueOf(*from, second)}, options);
        const bool nearly_parallel = (first == P::kWetBulb && second == P::kEnthalpy) ||
                                     (second == P::kWetBulb && first == P::kEnthalpy);
        if (!state.ok() && nearly_parallel) {
          ++parallel;
          continue;
        }
        ASSERT_TRUE(state.ok())
            << std::string(NameOf(first)) << " and " << std::string(NameOf(second))
            << " at " << t << ", " << p << ", humidity ratio " << from->humidity_ratio
            << ": " << state.status();
        ++solved;
        ASSERT_LT(Distance(*state, *from), nearly_parallel ? 1e-7 : 1e-9)
            << std::string(NameOf(first)) << " and " << std::string(NameOf(second))
            << " at " << t << ", " << p << ", humidity ratio " << from->humidity_ratio
            << ", wet bulb " << from->wet_bulb;
      }
    }
  }
  EXPECT_GT(solved, 119'000 - parallel);
  EXPECT_LT(parallel, 600);
}

TYPED_TEST(MoistAirStates, DryAndSaturatedAirAreStates) {
  using F = TypeParam;
  const double t = F::kMeltingPoint + 20 * F::kKelvin;
  const double p = 9e4 * F::kPascal;
  ASSERT_OK_AND_ASSIGN(const auto dry,
                       SolveMoistAir<F>(p, {P::kDryBulb, t}, {P::kRelativeHumidity, 0}));
  EXPECT_EQ(dry.humidity_ratio, 0);
  EXPECT_FALSE(dry.dew_point.has_value());
  EXPECT_LT(dry.wet_bulb, t - 10 * F::kKelvin);
  ASSERT_OK_AND_ASSIGN(const auto again, SolveMoistAir<F>(p, {P::kWetBulb, dry.wet_bulb},
                                                          {P::kHumidityRatio, 0}));
  EXPECT_NEAR(again.dry_bulb, t, 1e-9);
  ASSERT_OK_AND_ASSIGN(const auto wet,
                       SolveMoistAir<F>(p, {P::kWetBulb, t}, {P::kRelativeHumidity, 1}));
  EXPECT_NEAR(wet.dry_bulb, t, 1e-9);
  EXPECT_NEAR(*wet.dew_point, t, 1e-9);
  EXPECT_NEAR(wet.degree_of_saturation, 1, 1e-9);
  for (const double saturated : {F::kMeltingPoint - 20 * F::kKelvin, F::kMeltingPoint}) {
    ASSERT_OK_AND_ASSIGN(const auto cold, SolveMoistAir<F>(p, {P::kDryBulb, saturated},
                                                           {P::kRelativeHumidity, 1}));
    EXPECT_NEAR(cold.wet_bulb, saturated, F::kWetBulbSlack);
    EXPECT_TRUE(
        SolveMoistAir<F>(p, {P::kDryBulb, cold.dry_bulb}, {P::kWetBulb, cold.wet_bulb})
            .ok());
  }
}

// At 5 degC and a humidity ratio between 0.00176 and 0.00199 a wet wick shows more than 0
// degC and an iced one less.
TEST(MoistAirState, NearTheMeltingPointTheWickDecidesBetweenTwoWetBulbs) {
  const MoistAirInput t = {P::kDryBulb, 5};
  const MoistAirInput w = {P::kHumidityRatio, 0.00185};
  ASSERT_OK_AND_ASSIGN(const auto by_temperature, SolveMoistAir<Si>(101325, t, w));
  ASSERT_OK_AND_ASSIGN(const auto iced,
                       SolveMoistAir<Si>(101325, t, w, {.wick = Wick::kIce}));
  EXPECT_EQ(by_temperature.wick, Phase::kWater);
  EXPECT_GT(by_temperature.wet_bulb, 0.1);
  EXPECT_EQ(iced.wick, Phase::kIce);
  EXPECT_LT(iced.wet_bulb, -0.1);
  // Drier, only ice; wetter, only water.
  ASSERT_OK_AND_ASSIGN(const auto drier,
                       SolveMoistAir<Si>(101325, t, {P::kHumidityRatio, 0.0017}));
  EXPECT_EQ(drier.wick, Phase::kIce);
  ASSERT_OK_AND_ASSIGN(
      const auto wetter,
      SolveMoistAir<Si>(101325, t, {P::kHumidityRatio, 0.0021}, {.wick = Wick::kIce}));
  EXPECT_EQ(wetter.wick, Phase::kWater);
  // And read at 0 degC.
  const auto read = [&](Wick wick) {
    return SolveMoistAir<Si>(101325, t, {P::kWetBulb, 0}, {.wick = wick});
  };
  EXPECT_NEAR(read(Wick::kWater)->humidity_ratio, 0.00176, 5e-6);
  EXPECT_NEAR(read(Wick::kIce)->humidity_ratio, 0.00199, 5e-6);
  EXPECT_EQ(read(Wick::kByTemperature)->humidity_ratio,
            read(Wick::kWater)->humidity_ratio);
}

TEST(MoistAirState, DewAndFrostOfTheSameAirDiffer) {
  const MoistAirInput t = {P::kDryBulb, -5};
  const MoistAirInput w = {P::kHumidityRatio, 0.001};
  ASSERT_OK_AND_ASSIGN(const auto frost, SolveMoistAir<Si>(101325, t, w));
  ASSERT_OK_AND_ASSIGN(
      const auto dew,
      SolveMoistAir<Si>(101325, t, w, {.dew_point = BelowFreezing::kWater}));
  EXPECT_EQ(frost.dew_point_phase, Phase::kIce);
  EXPECT_EQ(dew.dew_point_phase, Phase::kWater);
  EXPECT_GT(*frost.dew_point, *dew.dew_point + 1);
}

struct Refusal {
  std::string name;
  double pressure;
  MoistAirInput first, second;
  MoistAirOptions options;
  std::string field, message, remedy;
};

class MoistAirRefusals : public ::testing::TestWithParam<Refusal> {};

TEST_P(MoistAirRefusals, SayWhichValueAndWhatToDo) {
  const Refusal& r = GetParam();
  const auto state = SolveMoistAir<Si>(r.pressure, r.first, r.second, r.options);
  EXPECT_THAT(state, StatusIs(absl::StatusCode::kInvalidArgument,
                              AllOf(HasSubstr(r.field + ": "), HasSubstr(r.message),
                                    HasSubstr(r.remedy))));
  const auto faults = base::FaultsOf(state.status());
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].field, r.field);
  EXPECT_FALSE(faults[0].remedy.empty());
}

const double kNan = std::nan("");
INSTANTIATE_TEST_SUITE_P(
    Inputs, MoistAirRefusals,
    ::testing::Values(Refusal{"Pressure",
                              0,
                              {P::kDryBulb, 20},
                              {P::kWetBulb, 15},
                              {},
                              "pressure",
                              "0 is no barometric pressure",
                              "absolute"},
                      Refusal{"PressureNan",
                              kNan,
                              {P::kDryBulb, 20},
                              {P::kWetBulb, 15},
                              {},
                              "pressure",
                              "nan",
                              "absolute"},
                      Refusal{"Twice",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kDryBulb, 20},
                              {},
                              "dry_bulb",
                              "is given twice",
                              "another property"},
                      Refusal{"NotANumber",
                              101325,
                              {P::kDryBulb, kNan},
                              {P::kWetBulb, 15},
                              {},
                              "dry_bulb",
                              "is no number",
                              "finite"},
                      Refusal{"TooHot",
                              101325,
                              {P::kDryBulb, 201},
                              {P::kHumidityRatio, 0.01},
                              {},
                              "dry_bulb",
                              "201 degC is outside -100 to 200 degC",
                              "unit"},
                      Refusal{"TooCold",
                              101325,
                              {P::kDryBulb, -101},
                              {P::kHumidityRatio, 0},
                              {},
                              "dry_bulb",
                              "-101 degC is outside",
                              "unit"},
                      Refusal{"WetBulbAboveDryBulb",
                              101325,
                              {P::kWetBulb, 21},
                              {P::kDryBulb, 20},
                              {},
                              "wet_bulb",
                              "21 degC is above the dry bulb, 20 degC",
                              "exchanged"},
                      Refusal{"DewAboveDryBulb",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kDewPoint, 21},
                              {},
                              "dew_point",
                              "times the vapour of air saturated over water",
                              "check"},
                      Refusal{"PerCent",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kRelativeHumidity, 45},
                              {},
                              "relative_humidity",
                              "45 is not from 0 to 1",
                              "0.45"},
                      Refusal{"NegativeHumidity",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kRelativeHumidity, -1},
                              {},
                              "relative_humidity",
                              "-1 is not from 0 to 1",
                              "check"},
                      Refusal{"NegativeRatio",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kHumidityRatio, -0.001},
                              {},
                              "humidity_ratio",
                              "below 0",
                              "check"},
                      Refusal{"NoVolume",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kSpecificVolume, 0},
                              {},
                              "specific_volume",
                              "not above 0",
                              "check"},
                      Refusal{"SameThingTwice",
                              101325,
                              {P::kHumidityRatio, 0.01},
                              {P::kDewPoint, 14},
                              {},
                              "humidity_ratio",
                              "say the same of air",
                              "dry bulb"},
                      Refusal{"Boiling",
                              20000,
                              {P::kDryBulb, 80},
                              {P::kWetBulb, 70},
                              {},
                              "wet_bulb",
                              "water boils below 70 degC at 20000 Pa",
                              "absolute"},
                      Refusal{"BoilingHumidity",
                              20000,
                              {P::kDryBulb, 80},
                              {P::kRelativeHumidity, 0.9},
                              {},
                              "relative_humidity",
                              "no air from",
                              "check both"},
                      Refusal{"Supersaturated",
                              101325,
                              {P::kDryBulb, 20},
                              {P::kHumidityRatio, 0.02},
                              {},
                              "humidity_ratio",
                              "saturated over water",
                              "check both"},
                      Refusal{"SupersaturatedOverIce",
                              101325,
                              {P::kDryBulb, -10},
                              {P::kWetBulb, -10},
                              {.wick = Wick::kWater},
                              "wet_bulb",
                              "saturated over ice",
                              "undercooled"},
                      Refusal{"DrierThanDry",
                              101325,
                              {P::kDryBulb, 60},
                              {P::kWetBulb, 5},
                              {},
                              "wet_bulb",
                              "drier than dry",
                              "check both"},
                      Refusal{"EnthalpyTooLow",
                              101325,
                              {P::kDryBulb, 30},
                              {P::kEnthalpy, 20e3},
                              {},
                              "enthalpy",
                              "drier than dry",
                              "check both"},
                      Refusal{"IceMelts",
                              101325,
                              {P::kDryBulb, 10},
                              {P::kWetBulb, 3},
                              {.wick = Wick::kIce},
                              "wet_bulb",
                              "would melt at 3 degC",
                              "wet"},
                      Refusal{"ParallelLines",
                              101325,
                              {P::kWetBulb, 0},
                              {P::kEnthalpy, 9470},
                              {.wick = Wick::kWater},
                              "enthalpy",
                              "nearly the same enthalpy",
                              "dry bulb"},
                      Refusal{"NoSuchAir",
                              101325,
                              {P::kWetBulb, 20},
                              {P::kSpecificVolume, 0.5},
                              {},
                              "specific_volume",
                              "has both wet_bulb 20",
                              "check both"},
                      Refusal{"NoSuchAirEither",
                              101325,
                              {P::kRelativeHumidity, 0.5},
                              {P::kEnthalpy, -2e6},
                              {},
                              "enthalpy",
                              "has both",
                              "check both"},
                      Refusal{"DryAtEveryTemperature",
                              101325,
                              {P::kRelativeHumidity, 0},
                              {P::kHumidityRatio, 0},
                              {},
                              "relative_humidity",
                              "dry air",
                              "dry bulb"},
                      Refusal{"HumidityOfDryAir",
                              101325,
                              {P::kRelativeHumidity, 0.5},
                              {P::kHumidityRatio, 0},
                              {},
                              "humidity_ratio",
                              "has both",
                              "check both"}),
    [](const auto& case_info) { return case_info.param.name; });

// Garbage in must come back as an error or a finite state, never as NaN.
TEST(MoistAirState, AnyNumbersGiveAStateOrAnError) {
  testing::Random random("ANY_NUMBERS_GIVE_A_STATE_OR_AN_ERROR");
  int states = 0;
  for (int i = 0; i < 200'000; ++i) {
    const auto input = [&] {
      const P property = kProperties[random.Integer(0, 6)];
      const double scale =
          property == P::kEnthalpy                                             ? 1e5
          : property == P::kRelativeHumidity || property == P::kSpecificVolume ? 1
          : property == P::kHumidityRatio                                      ? 0.05
                                                                               : 120;
      return MoistAirInput{property, scale * random.Uniform(-0.5, 1.5)};
    };
    const MoistAirOptions options = {
        .wick = static_cast<Wick>(random.Integer(0, 2)),
        .dew_point = static_cast<BelowFreezing>(random.Integer(0, 1)),
        .saturation = static_cast<BelowFreezing>(random.Integer(0, 1))};
    const auto state =
        SolveMoistAir<Si>(random.Uniform(1e3, 1e6), input(), input(), options);
    if (!state.ok()) continue;
    ++states;
    for (const P property : kProperties) {
      if (property == P::kDewPoint && !state->dew_point) continue;
      ASSERT_TRUE(std::isfinite(ValueOf(*state, property)))
          << std::string(NameOf(property));
    }
    ASSERT_LE(state->relative_humidity, 1 + Si::kSaturationSlack);
    ASSERT_GE(state->humidity_ratio, 0);
  }
  EXPECT_GT(states, 10'000);
}

TEST(BracketedRoot, FindsTheSignChangeToTheLastDigits) {
  const auto root = [](auto f, double low, double high) {
    return BracketedRoot(f, low, high).value_or(std::nan(""));
  };
  EXPECT_NEAR(root([](double x) { return x * x - 2; }, 0, 2), std::sqrt(2.0), 1e-15);
  EXPECT_NEAR(root([](double x) { return 2 - x * x; }, 0, 2), std::sqrt(2.0), 1e-15);
  // A ninth power is flat at its root, where interpolation alone crawls.
  const auto flat = [](double x) {
    const double y = x - 1;
    return y * y * y * y * y * y * y * y * y;
  };
  EXPECT_NEAR(root(flat, -1, 4), 1, 1e-14);
  // A jump is bisected to between its two sides.
  EXPECT_NEAR(root([](double x) { return x < 0.7 ? -1.0 : 3.0; }, 0, 1), 0.7, 1e-15);
  EXPECT_EQ(root([](double x) { return x; }, 0, 1), 0);
  EXPECT_EQ(root([](double x) { return x - 1; }, 0, 1), 1);
  EXPECT_FALSE(BracketedRoot([](double x) { return x * x + 1; }, -1, 1).has_value());
  EXPECT_FALSE(BracketedRoot([](double x) { return x < 0.4 ? -1 : std::nan(""); }, 0, 1)
                   .has_value());
  EXPECT_FALSE(
      BracketedRoot([](double x) { return x > 0.9   ? 1
                                          : x < 0.1 ? -1
                                                    : std::nan(""); }, 0,
                    1)
          .has_value());
}

}  // namespace
}  // namespace ratebound::fluid
