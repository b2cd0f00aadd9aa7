// How moist_air.h computes saturation and its inverses. Include that one.
//
// Both inverses take Halley's steps from a start that is already close, inside a bracket
// that shrinks with every evaluation: a step that leaves it is replaced by its midpoint,
// as is every step after the eighth, so that they end in at most 60. Commonly one or two
// evaluations are enough, because a Halley step of size e leaves an error of order e^3.
// Derivatives come from the implicit function theorem and never from the iterations.
#ifndef RATEBOUND_ENGINE_FLUID_MOIST_AIR_INLINE_H_
#define RATEBOUND_ENGINE_FLUID_MOIST_AIR_INLINE_H_

#include "engine/fluid/moist_air.h"

namespace ratebound::fluid {
namespace internal {

// f(x) where f has this value and this slope at x.
inline double Chained(double /*x*/, double value, double /*slope*/) { return value; }
template <int N>
number::Dual<N> Chained(const number::Dual<N>& x, double value, double slope) {
  return number::Dual<N>::Chain(x, value, slope);
}

// The root of a residual that vanishes at it and has this slope there; the residual
// carries the derivatives by whatever else it depends on.
inline double ImplicitRoot(double root, double /*residual*/, double /*slope*/) {
  return root;
}
template <int N>
number::Dual<N> ImplicitRoot(double root, const number::Dual<N>& residual, double slope) {
  return number::Dual<N>::Chain(residual, root, -1 / slope);
}

template <Formulation Form>
constexpr const SaturationCoefficients& CoefficientsOver(Phase phase) {
  return phase == Phase::kIce ? Form::kOverIce : Form::kOverWater;
}
template <Formulation Form>
constexpr const WickCoefficients& CoefficientsOfWick(Phase wick) {
  return wick == Phase::kIce ? Form::kIceWick : Form::kWaterWick;
}

struct LogPressure {
  double value, slope, curvature;
};
template <typename T>
T LogSaturation(const SaturationCoefficients& c, const T& absolute, const T& logarithm) {
  const T& t = absolute;
  return c.c1 / t + c.c2 + t * (c.c3 + t * (c.c4 + t * (c.c5 + t * c.c6))) +
         c.c7 * logarithm;
}
template <typename T>
T LogSaturation(const SaturationCoefficients& c, const T& absolute) {
  using number::Log;
  return LogSaturation(c, absolute, T(Log(absolute)));
}
inline LogPressure LogSaturationAndSlopes(const SaturationCoefficients& c,
                                          double absolute) {
  const double t = absolute;
  const double per_t = 1 / t;
  // The value by the same operations as LogSaturation, so that both have the same bits.
  return {LogSaturation(c, t),
          per_t * (c.c7 - c.c1 * per_t) +
              (c.c3 + t * (2 * c.c4 + t * (3 * c.c5 + t * (4 * c.c6)))),
          per_t * per_t * (2 * c.c1 * per_t - c.c7) +
              (2 * c.c4 + t * (6 * c.c5 + t * (12 * c.c6)))};
}

inline constexpr int kHalleySteps = 8;
inline constexpr int kMostSteps = 60;

// Halley's step on y with slope and curvature.
inline double HalleyStep(double y, double slope, double curvature) {
  return -2 * y * slope / (2 * slope * slope - y * curvature);
}

// Where the root of an increasing function lies.
struct Bracket {
  double low, high;

  // Where to evaluate next, after y at x.
  double Next(double x, double y, double halley_step, int steps) {
    (y < 0 ? low : high) = x;
    const double next = x + halley_step;
    const bool inside = next > low && next < high;
    return inside && steps < kHalleySteps ? next : low + 0.5 * (high - low);
  }
};

inline double SeedTemperature(const SeedPolynomial& s, double log_pascal) {
  const double y = log_pascal;
  return 1 / (s.c0 +
              y * (s.c1 + y * (s.c2 + y * (s.c3 + y * (s.c4 + y * (s.c5 + y * s.c6))))));
}

template <Formulation Form>
double SaturationTemperatureOf(double vapour_pressure, Phase phase) {
  if (!(vapour_pressure > 0)) return std::numeric_limits<double>::quiet_NaN();
  const SaturationCoefficients& c = CoefficientsOver<Form>(phase);
  const double log_pressure = number::Log(vapour_pressure);
  Bracket bracket{90 * Form::kKelvin, 520 * Form::kKelvin};
  double t = Form::kKelvin *
             SeedTemperature(phase == Phase::kIce ? kSeedOverIce : kSeedOverWater,
                             log_pressure - Form::kLogPascal);
  if (!(t > bracket.low && t < bracket.high)) t = 273 * Form::kKelvin;
  // ln p is close to linear in 1/T, on which Halley's method is exact: a step of 0.01 K
  // leaves less than 1e-12 K.
  const double close = 0.01 * Form::kKelvin;
  for (int steps = 0; steps < kMostSteps; ++steps) {
    const LogPressure at = LogSaturationAndSlopes(c, t);
    const double y = at.value - log_pressure;
    const double step = HalleyStep(y, at.slope, at.curvature);
    if (!(std::fabs(step) > close)) return (t + step) + Form::kAbsoluteZero;
    t = bracket.Next(t, y, step, steps);
  }
  return std::numeric_limits<double>::quiet_NaN();
}

// Equations 33 and 35, numerator and denominator times (p - p*): one division in all.
template <Formulation Form, typename T, typename B, typename P, typename S>
auto HumidityRatioFromWetBulb(const WickCoefficients& c, const T& dry_bulb,
                              const B& wet_bulb, const P& pressure, const S& saturation) {
  const auto dry_pressure = pressure - saturation;
  return (Form::kMassRatio * (c.latent_heat - c.latent_heat_fall * wet_bulb) *
              saturation -
          Form::kDryAirHeat * (dry_bulb - wet_bulb) * dry_pressure) /
         ((c.latent_heat + Form::kVapourHeat * dry_bulb - c.wick_heat * wet_bulb) *
          dry_pressure);
}

// The same as a residual: times (p - p*), with p* the saturation pressure at the wet
// bulb: below 0 left of the root, increasing and convex in the wet bulb.
template <Formulation Form, Real T, Real W, Real P>
auto WetBulbResidual(const T& dry_bulb, const W& humidity_ratio, const P& pressure,
                     const WickCoefficients& c, double wet_bulb, double saturation) {
  return Form::kMassRatio * (c.latent_heat - c.latent_heat_fall * wet_bulb) * saturation -
         (Form::kDryAirHeat * (dry_bulb - wet_bulb) +
          humidity_ratio *
              ((c.latent_heat - c.wick_heat * wet_bulb) + Form::kVapourHeat * dry_bulb)) *
             (pressure - saturation);
}

// The same as a function of the wet bulb alone.
template <Formulation Form>
struct WetBulbFunction {
  double latent, latent_fall;    // times the mass ratio
  double enthalpy, liquid_heat;  // the other factor: enthalpy - liquid heat * t*
  double pressure;

  WetBulbFunction(double dry_bulb, double humidity_ratio, double barometric,
                  const WickCoefficients& c)
      : latent(Form::kMassRatio * c.latent_heat),
        latent_fall(Form::kMassRatio * c.latent_heat_fall),
        enthalpy(Form::kDryAirHeat * dry_bulb +
                 humidity_ratio * (c.latent_heat + Form::kVapourHeat * dry_bulb)),
        liquid_heat(Form::kDryAirHeat + humidity_ratio * c.wick_heat),
        pressure(barometric) {}

  // Value, slope and curvature at t*, with the saturation pressure there and its
  // derivatives.
  LogPressure At(double t, double p, double dp, double ddp) const {
    const double gain = latent - latent_fall * t;
    const double drop = enthalpy - liquid_heat * t;
    const double sum = gain + drop;
    return {gain * p - drop * (pressure - p),
            sum * dp + liquid_heat * (pressure - p) - latent_fall * p,
            sum * ddp - 2 * (latent_fall + liquid_heat) * dp};
  }
};

// A wet bulb good to some tenths of a kelvin over the common range, by two steps on the
// equation with a power of a linear function in the place of the saturation pressure.
template <Formulation Form>
double WetBulbSeed(const WetBulbFunction<Form>& function, double dry_bulb, Phase wick) {
  const bool ice = wick == Phase::kIce;
  const SeedPower& seed = ice ? kSeedPowerOverIce : kSeedPowerOverWater;
  const double slope = seed.slope / Form::kKelvin;
  // Where degF are taken, 0 degC is 32 degF.
  const double offset = seed.offset - slope * Form::kMeltingPoint;
  double t = dry_bulb;
  for (int i = 0; i < 2; ++i) {
    const double base = offset + slope * t;
    const double square = base * base;
    const double fourth = square * square;
    const double sixth_or_tenth = ice ? fourth * fourth * square : fourth * square;
    const double power = ice ? 12 : 8;
    const double ddp =
        Form::kPascal * power * (power - 1) * slope * slope * sixth_or_tenth;
    const double p = Form::kPascal * sixth_or_tenth * square;
    const double dp = Form::kPascal * power * slope * sixth_or_tenth * base;
    const LogPressure at = function.At(t, p, dp, ddp);
    t += HalleyStep(at.value, at.slope, at.curvature);
  }
  return t;
}

template <Formulation Form>
double WetBulbOf(double dry_bulb, double humidity_ratio, double pressure, Phase wick) {
  const WetBulbFunction<Form> function(dry_bulb, humidity_ratio, pressure,
                                       CoefficientsOfWick<Form>(wick));
  Bracket bracket{Form::kLowestTemperature - 10 * Form::kKelvin,
                  Form::kHighestTemperature + 30 * Form::kKelvin};
  double t = WetBulbSeed<Form>(function, dry_bulb, wick);
  if (!(t > bracket.low && t < bracket.high)) t = dry_bulb;
  // A step of 0.002 K leaves about 1e-12 K.
  const double close = 0.002 * Form::kKelvin;
  for (int steps = 0; steps < kMostSteps; ++steps) {
    const Saturation s = SaturationAt<Form>(t, wick);
    const double dp = s.pressure * s.log_slope;
    const double ddp = s.pressure * (s.log_slope * s.log_slope + s.log_curvature);
    const LogPressure at = function.At(t, s.pressure, dp, ddp);
    const double step = HalleyStep(at.value, at.slope, at.curvature);
    if (!(std::fabs(step) > close)) return t + step;
    t = bracket.Next(t, at.value, step, steps);
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace internal

template <Formulation Form>
Saturation SaturationAt(double temperature, Phase phase) {
  const internal::LogPressure at = internal::LogSaturationAndSlopes(
      internal::CoefficientsOver<Form>(phase), temperature - Form::kAbsoluteZero);
  return {number::Exp(at.value), at.slope, at.curvature};
}

template <Formulation Form, Real T>
T SaturationPressure(const T& temperature, Phase phase) {
  if constexpr (!kIsDual<T>) {
    using number::Exp;
    const T absolute = temperature - Form::kAbsoluteZero;
    return Exp(
        internal::LogSaturation(internal::CoefficientsOver<Form>(phase), absolute));
  } else {
    const Saturation s = SaturationAt<Form>(number::ValueOf(temperature), phase);
    return internal::Chained(temperature, s.pressure, s.pressure * s.log_slope);
  }
}

template <Formulation Form, Real T>
T SaturationPressure(const T& temperature) {
  return SaturationPressure<Form>(temperature,
                                  PhaseAt<Form>(number::ValueOf(temperature)));
}

template <Formulation Form, Real T>
T SaturationTemperature(const T& vapour_pressure, Phase phase) {
  const double t =
      internal::SaturationTemperatureOf<Form>(number::ValueOf(vapour_pressure), phase);
  if constexpr (std::same_as<T, double>) {
    return t;
  } else {
    const internal::LogPressure at = internal::LogSaturationAndSlopes(
        internal::CoefficientsOver<Form>(phase), t - Form::kAbsoluteZero);
    return internal::Chained(vapour_pressure, t,
                             1 / (number::ValueOf(vapour_pressure) * at.slope));
  }
}

template <Formulation Form, Real T, Real B, Real P>
auto HumidityRatioFromWetBulb(const T& dry_bulb, const B& wet_bulb, const P& pressure,
                              Phase wick) {
  return internal::HumidityRatioFromWetBulb<Form>(
      internal::CoefficientsOfWick<Form>(wick), dry_bulb, wet_bulb, pressure,
      SaturationPressure<Form>(wet_bulb, wick));
}

template <Formulation Form, Real T, Real W, Real P>
auto WetBulb(const T& dry_bulb, const W& humidity_ratio, const P& pressure, Phase wick) {
  const double t = internal::WetBulbOf<Form>(number::ValueOf(dry_bulb),
                                             number::ValueOf(humidity_ratio),
                                             number::ValueOf(pressure), wick);
  using Result = decltype(dry_bulb * humidity_ratio * pressure);
  if constexpr (std::same_as<Result, double>) {
    return t;
  } else {
    const Saturation s = SaturationAt<Form>(t, wick);
    const internal::WetBulbFunction<Form> function(
        number::ValueOf(dry_bulb), number::ValueOf(humidity_ratio),
        number::ValueOf(pressure), internal::CoefficientsOfWick<Form>(wick));
    const Result residual = internal::WetBulbResidual<Form>(
        dry_bulb, humidity_ratio, pressure, internal::CoefficientsOfWick<Form>(wick), t,
        s.pressure);
    return internal::ImplicitRoot(
        t, residual, function.At(t, s.pressure, s.pressure * s.log_slope, 0).slope);
  }
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_MOIST_AIR_INLINE_H_
