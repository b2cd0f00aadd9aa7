// Ethylene and propylene glycol in water, without additives: density, specific heat,
// thermal conductivity, viscosity and freezing point.
//
// Example:
//   double cp = GlycolSpecificHeat(Glycol::kPropylene, 0.30, 7.0);     // J/(kg K)
//   auto rho = GlycolDensity(Glycol::kEthylene, Dual<2>::Variable(0.30, 0),
//                            Dual<2>::Variable(7.0, 1));
//
// Shapes: T is double or number::Dual<N>, named by the temperature; the concentration may
// be a double. Fraction of glycol by mass, degC; kg/m3, J/(kg K), W/(m K), Pa s. Pressure
// has no part: the liquid is under it, or nearly (water grows 0.005 % denser by 1 bar).
//
// Range: 0 to 0.6 by mass, from freezing to 100 degC. Nothing is checked here
// (CheckLiquid of liquid.h checks). At no glycol at all the polynomials give water to 0.1
// % in density, 0.25 % in specific heat, 1 % in conductivity and 2 % in viscosity over 0
// to 95 degC.
//
// Additives (inhibitors, dyes) of a product change these figures; its own data sheet
// goes before them.
//
// Uncertainty, from how far sources are apart (glycol_published_test): density 0.1 %,
// specific heat 2 % (propylene glycol below -20 degC: 4 %), conductivity 0.5 %, viscosity
// 5 % (below -20 degC: 15 %), freezing point 0.1 K (ethylene) and 1.5 K (propylene).
// Above 40 degC there was one source only.
//
// Source: A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR,
// 2010: one polynomial a property in concentration and temperature about a middle point,
// of the logarithm for viscosity. The coefficients were read in an open transcription
// (MIT licence, tests/data/glycol-properties/LICENSE.txt); the order of their powers and
// the end of the range at 100 degC are from memory, held by the limit of pure water,
// which they meet up to there, and by freezing points.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FLUID_GLYCOL_H_
#define RATEBOUND_ENGINE_FLUID_GLYCOL_H_

#include <array>
#include <type_traits>

#include "engine/fluid/glycol_coefficients.h"
#include "engine/fluid/liquid_chain.h"
#include "engine/number/elementary.h"

namespace ratebound::fluid {

enum class Glycol { kEthylene, kPropylene };

inline constexpr double kGlycolHighestFraction = 0.6;
inline constexpr double kGlycolHighestC = 100;

// X, the concentration, is T or double.
template <typename T, typename X>
T GlycolDensity(Glycol glycol, const X& mass_fraction, const T& t_c);
template <typename T, typename X>
T GlycolSpecificHeat(Glycol glycol, const X& mass_fraction, const T& t_c);
template <typename T, typename X>
T GlycolConductivity(Glycol glycol, const X& mass_fraction, const T& t_c);
template <typename T, typename X>
T GlycolViscosity(Glycol glycol, const X& mass_fraction, const T& t_c);
// degC; where the first crystals of ice appear.
template <typename X>
X GlycolFreezingPoint(Glycol glycol, const X& mass_fraction);

// Heat to take a kilogram from one temperature to another: the exact integral of
// GlycolSpecificHeat. Swapping the temperatures changes the sign and no other bit.
template <typename T, typename X>
T GlycolEnthalpyDifference(Glycol glycol, const X& mass_fraction, const T& from_c,
                           const std::type_identity_t<T>& to_c);

// Implementation.

namespace internal {

inline const GlycolCoefficients& CoefficientsOf(Glycol glycol) {
  return glycol == Glycol::kEthylene ? kEthyleneGlycol : kPropyleneGlycol;
}

// Rows by powers of x: 4, 4, 4, 3, 2 and 1 powers of t.
template <typename S>
S GlycolPolynomial(const std::array<double, kGlycolTerms>& c, const S& x, const S& t) {
  const S row0 = c[0] + t * (c[1] + t * (c[2] + t * c[3]));
  const S row1 = c[4] + t * (c[5] + t * (c[6] + t * c[7]));
  const S row2 = c[8] + t * (c[9] + t * (c[10] + t * c[11]));
  const S row3 = c[12] + t * (c[13] + t * c[14]);
  const S row4 = c[15] + t * c[16];
  return row0 + x * (row1 + x * (row2 + x * (row3 + x * (row4 + x * c[17]))));
}

// `formula` of the polynomial of one property.
template <typename T, typename X, typename Formula>
T OfGlycol(Glycol glycol, std::array<double, kGlycolTerms> GlycolCoefficients::*property,
           const X& mass_fraction, const T& t_c, const Formula& formula) {
  const GlycolCoefficients& of = CoefficientsOf(glycol);
  return Chained<T>(
      [&](const auto& x, const auto& t) {
        using S = std::decay_t<decltype(t)>;
        return formula(GlycolPolynomial<S>(of.*property, 100 * x - of.middle_percent,
                                           t - of.middle_c));
      },
      mass_fraction, t_c);
}

}  // namespace internal

template <typename T, typename X>
T GlycolDensity(Glycol glycol, const X& mass_fraction, const T& t_c) {
  return internal::OfGlycol(glycol, &internal::GlycolCoefficients::density, mass_fraction,
                            t_c, [](const auto& p) { return p; });
}

template <typename T, typename X>
T GlycolSpecificHeat(Glycol glycol, const X& mass_fraction, const T& t_c) {
  return internal::OfGlycol(glycol, &internal::GlycolCoefficients::specific_heat,
                            mass_fraction, t_c, [](const auto& p) { return p; });
}

template <typename T, typename X>
T GlycolConductivity(Glycol glycol, const X& mass_fraction, const T& t_c) {
  return internal::OfGlycol(glycol, &internal::GlycolCoefficients::conductivity,
                            mass_fraction, t_c, [](const auto& p) { return p; });
}

template <typename T, typename X>
T GlycolViscosity(Glycol glycol, const X& mass_fraction, const T& t_c) {
  return internal::OfGlycol(glycol, &internal::GlycolCoefficients::log_viscosity_mpa_s,
                            mass_fraction, t_c,
                            [](const auto& p) { return 1e-3 * number::Exp(p); });
}

template <typename X>
X GlycolFreezingPoint(Glycol glycol, const X& mass_fraction) {
  const internal::GlycolCoefficients& of = internal::CoefficientsOf(glycol);
  return Chained<X>(
      [&](const auto& fraction) {
        const auto x = 100 * fraction - of.middle_percent;
        const auto& c = of.freezing_c;
        return c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * (c[4] + x * c[5]))));
      },
      mass_fraction);
}

template <typename T, typename X>
T GlycolEnthalpyDifference(Glycol glycol, const X& mass_fraction, const T& from_c,
                           const std::type_identity_t<T>& to_c) {
  const internal::GlycolCoefficients& of = internal::CoefficientsOf(glycol);
  const auto formula = [&](const auto& fraction, const auto& from, const auto& to) {
    using S = std::decay_t<decltype(from)>;
    const auto& c = of.specific_heat;
    const S x = 100 * fraction - of.middle_percent;
    const S a = from - of.middle_c;
    const S b = to - of.middle_c;
    // Means of t, t^2 and t^3 between a and b: their integrals with (b - a) taken out,
    // which leaves no difference of large numbers.
    const S mean1 = (a + b) / 2;
    const S square_sum = a * a + b * b;
    const S mean2 = (square_sum + a * b) / 3;
    const S mean3 = mean1 * square_sum / 2;
    const S row0 = c[0] + c[1] * mean1 + c[2] * mean2 + c[3] * mean3;
    const S row1 = c[4] + c[5] * mean1 + c[6] * mean2 + c[7] * mean3;
    const S row2 = c[8] + c[9] * mean1 + c[10] * mean2 + c[11] * mean3;
    const S row3 = c[12] + c[13] * mean1 + c[14] * mean2;
    const S row4 = c[15] + c[16] * mean1;
    return (to - from) *
           (row0 + x * (row1 + x * (row2 + x * (row3 + x * (row4 + x * c[17])))));
  };
  return Chained<T>(formula, mass_fraction, from_c, to_c);
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_GLYCOL_H_
