// The one face of the liquids: names, refusals, dispatch, and bits that no machine
// changes.
#include "engine/fluid/liquid.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::fluid {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

constexpr LiquidKind kKinds[] = {LiquidKind::kWater, LiquidKind::kEthyleneGlycol,
                                 LiquidKind::kPropyleneGlycol};
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(Liquid, NamesComeBack) {
  for (const LiquidKind kind : kKinds) {
    ASSERT_OK_AND_ASSIGN(const LiquidKind parsed, ParseLiquidKind(LiquidKindName(kind)));
    EXPECT_EQ(parsed, kind);
  }
  EXPECT_EQ(LiquidKindName(LiquidKind::kPropyleneGlycol), "propylene_glycol");
}

TEST(Liquid, UnknownNamesGetTheNearest) {
  EXPECT_THAT(
      ParseLiquidKind("propilene_glycol"),
      StatusIs(absl::StatusCode::kInvalidArgument,
               HasSubstr("'propilene_glycol'; did you mean 'propylene_glycol'?")));
  EXPECT_THAT(ParseLiquidKind("Water"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("'water'?")));
  EXPECT_THAT(ParseLiquidKind(""),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("known are")));
}

struct Refusal {
  std::string description;
  Liquid liquid;
  double t_c;
  double p_pa;
  std::vector<std::string> says;
};

TEST(Liquid, RefusalsNameTheLimit) {
  constexpr Liquid kWater{};
  constexpr Liquid kEthylene{LiquidKind::kEthyleneGlycol, 0.40};
  constexpr Liquid kPropylene{LiquidKind::kPropyleneGlycol, 0.30};
  const Refusal kRefusals[] = {
      {"ice", kWater, -0.5, 3e5, {"water freezes at 0.0 degC", "asked for -0.5 degC"}},
      {"steam",
       kWater,
       101,
       101325,
       {"liquid from 105.0", "kPa absolute; asked for 101.325 kPa"}},
      {"hot", kWater, 351, 3e7, {"up to 350 degC", "asked for 351 degC"}},
      {"deep", kWater, 20, 1.1e8, {"to 100000 kPa", "asked for 110000 kPa"}},
      {"no pressure", kWater, 20, 0, {"above 0", "asked for 0 kPa"}},
      {"concentrated water",
       {LiquidKind::kWater, 0.3},
       20,
       3e5,
       {"water has a concentration of 0, not 0.3"}},
      {"frozen glycol",
       kEthylene,
       -30,
       3e5,
       {"ethylene_glycol at 40 % by mass freezes at -23.8 degC", "asked for -30 degC"}},
      {"hot glycol", kPropylene, 100.5, 3e5, {"up to 100 degC", "asked for 100.5 degC"}},
      {"percent",
       {LiquidKind::kPropyleneGlycol, 30},
       7,
       3e5,
       {"from 0 to 0.6 by mass", "asked for 30", "is it a percentage?"}},
      {"too much",
       {LiquidKind::kPropyleneGlycol, 0.61},
       7,
       3e5,
       {"from 0 to 0.6 by mass", "asked for 0.61"}},
      {"negative", {LiquidKind::kEthyleneGlycol, -0.01}, 7, 3e5, {"asked for -0.01"}},
      {"no concentration", {LiquidKind::kEthyleneGlycol, kNan}, 7, 3e5, {"nan"}},
      {"no temperature", kWater, kNan, 3e5, {"degC"}},
      {"endless temperature", kPropylene, kInfinity, 3e5, {"up to 100 degC"}},
      {"not a pressure", kPropylene, 20, kNan, {"kPa absolute"}},
  };
  for (const Refusal& refusal : kRefusals) {
    SCOPED_TRACE(refusal.description);
    const absl::Status status = CheckLiquid(refusal.liquid, refusal.t_c, refusal.p_pa);
    for (const std::string& text : refusal.says) {
      EXPECT_THAT(status, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(text)));
    }
    EXPECT_EQ(Describe(refusal.liquid, refusal.t_c, refusal.p_pa).status(), status);
  }
}

TEST(Liquid, LimitsThemselvesAreAllowed) {
  EXPECT_THAT(CheckLiquid({}, 0, 3e5), IsOk());
  EXPECT_THAT(CheckLiquid({}, 350, kWaterHighestPa), IsOk());
  EXPECT_THAT(CheckLiquid({}, 99, WaterSaturationPressure(99.0)), IsOk());
  const Liquid strongest{LiquidKind::kEthyleneGlycol, kGlycolHighestFraction};
  EXPECT_THAT(CheckLiquid(strongest, FreezingPoint(strongest), 3e5), IsOk());
  EXPECT_THAT(CheckLiquid(strongest, kGlycolHighestC, 3e5), IsOk());
  EXPECT_THAT(CheckLiquid({LiquidKind::kPropyleneGlycol, 0}, 0, 3e5), IsOk());
}

TEST(Liquid, IsWhatItsKindSays) {
  const double t_c = 12;
  const double p_pa = 3e5;
  EXPECT_EQ(Density(Liquid{}, t_c, p_pa), WaterDensity(t_c, p_pa));
  EXPECT_EQ(SpecificHeat(Liquid{}, t_c, p_pa), WaterSpecificHeat(t_c, p_pa));
  EXPECT_EQ(EnthalpyDifference(Liquid{}, 7.0, 2e5, t_c, p_pa),
            WaterEnthalpy(t_c, p_pa) - WaterEnthalpy(7.0, 2e5));
  for (const auto& [kind, glycol] :
       {std::pair{LiquidKind::kEthyleneGlycol, Glycol::kEthylene},
        {LiquidKind::kPropyleneGlycol, Glycol::kPropylene}}) {
    const Liquid liquid{kind, 0.25};
    ASSERT_OK_AND_ASSIGN(const LiquidState state, Describe(liquid, t_c, p_pa));
    EXPECT_EQ(state.density_kg_m3, GlycolDensity(glycol, 0.25, t_c));
    EXPECT_EQ(state.specific_heat_j_kg_k, GlycolSpecificHeat(glycol, 0.25, t_c));
    EXPECT_EQ(state.viscosity_pa_s, GlycolViscosity(glycol, 0.25, t_c));
    EXPECT_EQ(state.conductivity_w_m_k, GlycolConductivity(glycol, 0.25, t_c));
    EXPECT_EQ(state.freezing_point_c, GlycolFreezingPoint(glycol, 0.25));
    EXPECT_EQ(state.saturation_c, std::nullopt);
    EXPECT_EQ(EnthalpyDifference(liquid, 7.0, 2e5, t_c, p_pa),
              GlycolEnthalpyDifference(glycol, 0.25, 7.0, t_c));
  }
  ASSERT_OK_AND_ASSIGN(const LiquidState water, Describe({}, t_c, p_pa));
  EXPECT_EQ(water.freezing_point_c, 0);
  ASSERT_TRUE(water.saturation_c.has_value());
  EXPECT_NEAR(*water.saturation_c, 133.52, 0.01);  // steam tables at 3 bar, from memory
  ASSERT_OK_AND_ASSIGN(const LiquidState deep, Describe({}, t_c, 5e7));
  EXPECT_EQ(deep.saturation_c, std::nullopt);
}

TEST(Liquid, CapacityCarriesEveryGradient) {
  using D = number::Dual<4>;
  for (const LiquidKind kind : kKinds) {
    const double fraction = kind == LiquidKind::kWater ? 0 : 0.3;
    const auto capacity = [&](const auto& x, const auto& from, const auto& to,
                              const auto& p) {
      const BasicLiquid<std::decay_t<decltype(x)>> liquid{kind, x};
      return Density(liquid, from, p) * EnthalpyDifference(liquid, from, p, to, p);
    };
    const D with = capacity(D::Variable(fraction, 0), D::Variable(7, 1),
                            D::Variable(12, 2), D::Variable(3e5, 3));
    EXPECT_EQ(with.value, capacity(fraction, 7.0, 12.0, 3e5));
    const Liquid plain =
        WithoutDerivatives(BasicLiquid<D>{kind, D::Variable(fraction, 0)});
    EXPECT_THAT(CheckLiquid(plain, 7, 3e5), IsOk());
    EXPECT_EQ(plain.concentration_fraction, fraction);
    const double steps[] = {1e-6, 1e-4, 1e-4, 100};
    for (int k = 0; k < 4; ++k) {
      const auto moved = [&](double sign) {
        double at[] = {fraction, 7, 12, 3e5};
        at[k] += sign * steps[k];
        return capacity(at[0], at[1], at[2], at[3]);
      };
      const double slope = (moved(1) - moved(-1)) / (2 * steps[k]);
      EXPECT_NEAR(with.derivative[k], slope, 1e-6 * std::fabs(slope) + 1e-3) << k;
    }
  }
}

// FNV-1a of every property on a grid. Another digest is another engine.
TEST(Liquid, SameBitsOnAnyMachine) {
  uint64_t hash = 1469598103934665603ULL;
  const auto add = [&](double value) {
    const auto bits = std::bit_cast<uint64_t>(value);
    for (int shift = 56; shift >= 0; shift -= 8) {
      hash = (hash ^ ((bits >> shift) & 0xFF)) * 1099511628211ULL;
    }
  };
  for (const LiquidKind kind : kKinds) {
    for (const double fraction : {0.0, 0.1, 0.27, 0.45, 0.6}) {
      if (kind == LiquidKind::kWater && fraction != 0) continue;
      const Liquid liquid{kind, fraction};
      for (double t_c = 0; t_c < 100; t_c += 3.7) {
        add(Density(liquid, t_c, 3e5));
        add(SpecificHeat(liquid, t_c, 3e5));
        add(Viscosity(liquid, t_c, 3e5));
        add(Conductivity(liquid, t_c, 3e5));
        add(EnthalpyDifference(liquid, t_c, 3e5, t_c + 5.1, 2.5e5));
      }
      add(FreezingPoint(liquid));
    }
  }
  for (double t_c = 0; t_c < 350; t_c += 11.3) {
    const double p_pa = WaterSaturationPressure(t_c);
    add(p_pa);
    add(WaterSaturationTemperature(p_pa));
    add(WaterSpeedOfSound(t_c, p_pa));
    add(WaterEntropy(t_c, p_pa));
  }
  EXPECT_EQ(hash, 566690799289115858u);
}

}  // namespace
}  // namespace ratebound::fluid
