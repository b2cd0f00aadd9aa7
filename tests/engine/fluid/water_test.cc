// What must hold of water whatever the coefficients: thermodynamic identities, exact
// inverses, derivatives.
#include "engine/fluid/water.h"

#include <cmath>
#include <functional>
#include <string>

#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

using number::Dual;
using ratebound::testing::Random;
using D = Dual<2>;

void ExpectRelative(double got, double want, double tolerance, const char* what) {
  EXPECT_LE(std::fabs(got - want), tolerance * std::fabs(want))
      << what << ": " << got << " against " << want;
}

struct State {
  double t_c;
  double p_pa;
};
// Liquid in region 1.
State AnyState(Random& random) {
  const double t_c = random.Uniform(0, 350);
  return {t_c, random.Uniform(WaterSaturationPressure(t_c), kWaterHighestPa)};
}

TEST(Water, IsOneGibbsFunction) {
  Random random("WATER_IS_ONE_GIBBS_FUNCTION");
  for (int i = 0; i < 2000; ++i) {
    const State state = AnyState(random);
    const D t = D::Variable(state.t_c, 0);
    const D p = D::Variable(state.p_pa, 1);
    const double kelvin = state.t_c + kZeroCelsiusK;
    const D v = WaterSpecificVolume(t, p);
    const D h = WaterEnthalpy(t, p);
    const D u = WaterInternalEnergy(t, p);
    const D s = WaterEntropy(t, p);
    const double cp = WaterSpecificHeat(state.t_c, state.p_pa);
    SCOPED_TRACE(std::to_string(state.t_c) + " degC, " + std::to_string(state.p_pa));
    ExpectRelative(h.derivative[0], cp, 1e-12, "dh/dT = cp");
    ExpectRelative(kelvin * s.derivative[0], cp, 1e-12, "T ds/dT = cp");
    // Expansion is about 0 at 4 degC, so on the scale of v / T.
    EXPECT_NEAR(s.derivative[1], -v.derivative[0], 1e-12 * v.value / kelvin)
        << "Maxwell: ds/dp = -dv/dT";
    EXPECT_NEAR(h.derivative[1], v.value - kelvin * v.derivative[0], 1e-12 * v.value)
        << "dh/dp = v - T dv/dT";
    EXPECT_NEAR(u.value, h.value - state.p_pa * v.value, 1e-7) << "u = h - p v";
    EXPECT_NEAR(u.derivative[0], cp - state.p_pa * v.derivative[0], 1e-11 * cp);
    // w^2 = (dp/drho) at constant entropy, through the derivatives of v alone.
    const double isothermal = v.derivative[1];
    const double isentropic =
        isothermal + kelvin * v.derivative[0] * v.derivative[0] / cp;
    ExpectRelative(WaterSpeedOfSound(state.t_c, state.p_pa),
                   v.value / std::sqrt(-isentropic), 1e-11, "speed of sound");
    EXPECT_LT(isothermal, 0) << "stable: pressure makes it denser";
  }
}

TEST(Water, DerivativesAreThoseOfDifferences) {
  const std::pair<const char*, std::function<D(D, D)>> kProperties[] = {
      {"v", [](D t, D p) { return WaterSpecificVolume(t, p); }},
      {"rho", [](D t, D p) { return WaterDensity(t, p); }},
      {"h", [](D t, D p) { return WaterEnthalpy(t, p); }},
      {"u", [](D t, D p) { return WaterInternalEnergy(t, p); }},
      {"s", [](D t, D p) { return WaterEntropy(t, p); }},
      {"cp", [](D t, D p) { return WaterSpecificHeat(t, p); }},
      {"w", [](D t, D p) { return WaterSpeedOfSound(t, p); }},
      {"mu", [](D t, D p) { return WaterViscosity(t, p); }},
      {"k", [](D t, D p) { return WaterConductivity(t, p); }},
      {"ps", [](D t, D) { return WaterSaturationPressure(t); }},
      {"ts", [](D, D p) { return WaterSaturationTemperature(p); }}};
  Random random("WATER_DERIVATIVES");
  for (int i = 0; i < 200; ++i) {
    const double t_c = random.Uniform(1, 200);
    const double p_pa = random.Uniform(2e6, 20e6);
    for (const auto& [name, property] : kProperties) {
      const D at = property(D::Variable(t_c, 0), D::Variable(p_pa, 1));
      constexpr double kStepK = 1e-3;
      constexpr double kStepPa = 1e3;
      const double by_t =
          (property(t_c + kStepK, p_pa) - property(t_c - kStepK, p_pa)).value /
          (2 * kStepK);
      const double by_p =
          (property(t_c, p_pa + kStepPa) - property(t_c, p_pa - kStepPa)).value /
          (2 * kStepPa);
      // On the scale of the value over 100 K or 100 MPa, since some slopes pass zero.
      EXPECT_NEAR(at.derivative[0], by_t, 1e-6 * std::fabs(at.value) / 100) << name;
      EXPECT_NEAR(at.derivative[1], by_p, 2e-6 * std::fabs(at.value) / 10e6) << name;
    }
  }
}

TEST(Water, DualsKeepTheBitsOfDoublesAndTheChainRule) {
  Random random("WATER_DUAL_BITS");
  for (int i = 0; i < 500; ++i) {
    const State state = AnyState(random);
    Dual<8> t(state.t_c);
    Dual<8> p(state.p_pa);
    for (int k = 0; k < 8; ++k) {
      t.derivative[k] = random.Uniform(-1, 1);
      p.derivative[k] = random.Uniform(-1e5, 1e5);
    }
    const auto check = [&](const auto& property) {
      const Dual<8> wide = property(t, p);
      const D narrow = property(D::Variable(state.t_c, 0), D::Variable(state.p_pa, 1));
      EXPECT_EQ(wide.value, property(state.t_c, state.p_pa));
      EXPECT_EQ(narrow.value, wide.value);
      for (int k = 0; k < 8; ++k) {
        EXPECT_EQ(wide.derivative[k], narrow.derivative[0] * t.derivative[k] +
                                          narrow.derivative[1] * p.derivative[k]);
      }
    };
    check([](const auto& a, const auto& b) { return WaterDensity(a, b); });
    check([](const auto& a, const auto& b) { return WaterEnthalpy(a, b); });
    check([](const auto& a, const auto& b) { return WaterSpecificHeat(a, b); });
    check([](const auto& a, const auto& b) { return WaterSpeedOfSound(a, b); });
  }
}

TEST(Water, SaturationIsItsOwnInverse) {
  for (double t_c = 0; t_c <= 373; t_c += 0.5) {
    const double p_pa = WaterSaturationPressure(t_c);
    EXPECT_NEAR(WaterSaturationTemperature(p_pa), t_c, 2e-10) << t_c;
  }
}

TEST(Water, IsDensestAtFourDegrees) {
  // dv/dT passes zero at 3.98 degC under one atmosphere (common knowledge), which IF97
  // meets to 0.02 K.
  const auto slope = [](double t_c) {
    return WaterSpecificVolume(D::Variable(t_c, 0), D(101325)).derivative[0];
  };
  EXPECT_LT(slope(3.95), 0);
  EXPECT_GT(slope(4.0), 0);
}

TEST(Water, IsNothingAtTheTriplePoint) {
  // The zero of IF97: u and s of the liquid at 273.16 K, 611.657 Pa.
  EXPECT_NEAR(WaterInternalEnergy(0.01, 611.657), 0, 0.01);
  EXPECT_NEAR(WaterEntropy(0.01, 611.657), 0, 1e-4);
  EXPECT_NEAR(WaterSaturationPressure(0.01), 611.657, 0.001);
}

}  // namespace
}  // namespace ratebound::fluid
