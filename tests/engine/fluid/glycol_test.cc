// What must hold of glycols whatever the coefficients.
#include "engine/fluid/glycol.h"

#include <cmath>
#include <functional>
#include <utility>

#include "engine/fluid/water.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

using number::Dual;
using ratebound::testing::Random;

constexpr Glycol kBoth[] = {Glycol::kEthylene, Glycol::kPropylene};

struct State {
  double fraction;
  double t_c;
};
State AnyState(Random& random, Glycol glycol) {
  const double fraction = random.Uniform(0, kGlycolHighestFraction);
  return {fraction,
          random.Uniform(GlycolFreezingPoint(glycol, fraction), kGlycolHighestC)};
}

TEST(Glycol, EnthalpyIsTheIntegralOfSpecificHeat) {
  Random random("GLYCOL_ENTHALPY");
  for (const Glycol glycol : kBoth) {
    for (int i = 0; i < 500; ++i) {
      const auto [fraction, from] = AnyState(random, glycol);
      const double to = random.Uniform(from, kGlycolHighestC);
      // Two points of Gauss are exact for the cubic in temperature.
      const double middle = (from + to) / 2;
      const double arm = (to - from) / 2 / std::sqrt(3.0);
      const double integral = (to - from) / 2 *
                              (GlycolSpecificHeat(glycol, fraction, middle - arm) +
                               GlycolSpecificHeat(glycol, fraction, middle + arm));
      const double rise = GlycolEnthalpyDifference(glycol, fraction, from, to);
      EXPECT_NEAR(rise, integral, 1e-13 * integral);
      EXPECT_EQ(GlycolEnthalpyDifference(glycol, fraction, to, from), -rise);
    }
    EXPECT_EQ(GlycolEnthalpyDifference(glycol, 0.3, 7.0, 7.0), 0);
    // The smaller the difference, the nearer to cp: no digits are lost.
    EXPECT_NEAR(GlycolEnthalpyDifference(glycol, 0.3, 7.0, 7.0 + 0x1p-30) / 0x1p-30,
                GlycolSpecificHeat(glycol, 0.3, 7.0), 1e-6);
  }
}

TEST(Glycol, EnthalpyKnowsItsDerivatives) {
  using D = Dual<3>;
  Random random("GLYCOL_ENTHALPY_DERIVATIVES");
  for (const Glycol glycol : kBoth) {
    for (int i = 0; i < 200; ++i) {
      const auto [fraction, from] = AnyState(random, glycol);
      const double to = random.Uniform(from, kGlycolHighestC);
      const D rise = GlycolEnthalpyDifference(glycol, D::Variable(fraction, 0),
                                              D::Variable(from, 1), D::Variable(to, 2));
      EXPECT_EQ(rise.value, GlycolEnthalpyDifference(glycol, fraction, from, to));
      EXPECT_NEAR(rise.derivative[1], -GlycolSpecificHeat(glycol, fraction, from), 1e-8);
      EXPECT_NEAR(rise.derivative[2], GlycolSpecificHeat(glycol, fraction, to), 1e-8);
      constexpr double kStep = 1e-6;
      const double by_fraction =
          (GlycolEnthalpyDifference(glycol, fraction + kStep, from, to) -
           GlycolEnthalpyDifference(glycol, fraction - kStep, from, to)) /
          (2 * kStep);
      EXPECT_NEAR(rise.derivative[0], by_fraction, 1e-6 * rise.value + 1e-3);
    }
  }
}

TEST(Glycol, DerivativesAreThoseOfDifferences) {
  using D = Dual<2>;
  const std::pair<const char*, std::function<D(Glycol, D, D)>> kProperties[] = {
      {"rho", [](Glycol g, D x, D t) { return GlycolDensity(g, x, t); }},
      {"cp", [](Glycol g, D x, D t) { return GlycolSpecificHeat(g, x, t); }},
      {"k", [](Glycol g, D x, D t) { return GlycolConductivity(g, x, t); }},
      {"mu", [](Glycol g, D x, D t) { return GlycolViscosity(g, x, t); }},
      {"freezing", [](Glycol g, D x, D) { return GlycolFreezingPoint(g, x); }}};
  Random random("GLYCOL_DERIVATIVES");
  for (const Glycol glycol : kBoth) {
    for (int i = 0; i < 300; ++i) {
      const auto [fraction, t_c] = AnyState(random, glycol);
      for (const auto& [name, property] : kProperties) {
        const D at = property(glycol, D::Variable(fraction, 0), D::Variable(t_c, 1));
        constexpr double kStep = 1e-6;
        constexpr double kStepK = 1e-4;
        const double by_fraction = (property(glycol, fraction + kStep, t_c) -
                                    property(glycol, fraction - kStep, t_c))
                                       .value /
                                   (2 * kStep);
        const double by_t = (property(glycol, fraction, t_c + kStepK) -
                             property(glycol, fraction, t_c - kStepK))
                                .value /
                            (2 * kStepK);
        const double scale = std::fabs(at.value) + 1e-9;
        EXPECT_NEAR(at.derivative[0], by_fraction, 1e-6 * scale) << name;
        EXPECT_NEAR(at.derivative[1], by_t, 1e-7 * scale) << name;
      }
    }
  }
}

TEST(Glycol, AnExactConcentrationAddsNoUncertainty) {
  const auto variable = Dual<2>::Variable(7, 0);
  const Dual<2> cp = GlycolSpecificHeat(Glycol::kPropylene, 0.30, variable);
  const Dual<2> measured =
      GlycolSpecificHeat(Glycol::kPropylene, Dual<2>::Variable(0.30, 1), variable);
  EXPECT_EQ(cp.value, measured.value);
  EXPECT_EQ(cp.derivative[0], measured.derivative[0]);
  EXPECT_EQ(cp.derivative[1], 0);
  EXPECT_LT(measured.derivative[1], -1000);  // J/(kg K) for each unit of fraction
}

// Conductivity keeps to an older formulation of water, 1 % higher at 0 degC.
TEST(Glycol, NoGlycolIsWater) {
  for (const Glycol glycol : kBoth) {
    for (double t_c = 0; t_c <= 95; t_c += 5) {
      const auto near = [&](double got, double want, double band) {
        EXPECT_NEAR(got / want, 1, band) << t_c;
      };
      near(GlycolDensity(glycol, 0.0, t_c), WaterDensity(t_c, 101325), 0.001);
      near(GlycolSpecificHeat(glycol, 0.0, t_c), WaterSpecificHeat(t_c, 101325), 0.0025);
      near(GlycolConductivity(glycol, 0.0, t_c), WaterConductivity(t_c, 101325), 0.011);
      near(GlycolViscosity(glycol, 0.0, t_c), WaterViscosity(t_c, 101325), 0.02);
    }
    EXPECT_NEAR(GlycolFreezingPoint(glycol, 0.0), 0, 0.05);
  }
}

TEST(Glycol, MoreGlycolFreezesLaterAndFlowsLess) {
  for (const Glycol glycol : kBoth) {
    for (double fraction = 0.01; fraction <= kGlycolHighestFraction; fraction += 0.01) {
      const double less = fraction - 0.01;
      EXPECT_LT(GlycolFreezingPoint(glycol, fraction), GlycolFreezingPoint(glycol, less));
      for (double t_c = 0; t_c <= 60; t_c += 10) {
        EXPECT_GT(GlycolViscosity(glycol, fraction, t_c),
                  GlycolViscosity(glycol, less, t_c));
        EXPECT_LT(GlycolSpecificHeat(glycol, fraction, t_c),
                  GlycolSpecificHeat(glycol, less, t_c));
        EXPECT_LT(GlycolConductivity(glycol, fraction, t_c),
                  GlycolConductivity(glycol, less, t_c));
        EXPECT_LT(GlycolViscosity(glycol, fraction, t_c + 1),
                  GlycolViscosity(glycol, fraction, t_c));
      }
    }
  }
}

// Common practice, no source: at 30 % and 20 degC a litre of propylene glycol carries
// about 5.5 % less heat than water, of ethylene glycol about 7.6 %.
TEST(Glycol, ALitreCarriesLessHeatThanOfWater) {
  const double water = WaterDensity(20.0, 101325) * WaterSpecificHeat(20.0, 101325);
  const auto against_water = [&](Glycol glycol) {
    return GlycolDensity(glycol, 0.3, 20.0) * GlycolSpecificHeat(glycol, 0.3, 20.0) /
               water -
           1;
  };
  EXPECT_NEAR(against_water(Glycol::kPropylene), -0.055, 0.015);
  EXPECT_NEAR(against_water(Glycol::kEthylene), -0.076, 0.015);
}

}  // namespace
}  // namespace ratebound::fluid
