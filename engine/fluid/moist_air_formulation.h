// The constants of the moist-air equations in each of the two unit systems they are
// published in.
//
// The two formulations are not conversions of each other: each was rounded in its own
// units, and a test method that is written in one is evaluated in that one.
//
//                      Si                  InchPound
//   temperature        degC                degF
//   pressure           Pa                  psia
//   humidity ratio     kg/kg dry air       lb/lb dry air
//   enthalpy           J/kg dry air        Btu/lb dry air
//   enthalpy is 0 for  dry air at 0 degC   dry air at 0 degF
//   specific volume    m3/kg dry air       ft3/lb dry air
//   altitude           m                   ft
//
// Source: ASHRAE Handbook - Fundamentals 2017, chapter 1 (equations 3 to 6, 20, 26, 30,
// 33, 35 and table 3's conventions), as quoted by PsychroLib 2.5.0 (MIT) and its tests;
// the Handbook itself was not read. Members named kSeed... are ours: they only start
// iterations.
#ifndef RATEBOUND_ENGINE_FLUID_MOIST_AIR_FORMULATION_H_
#define RATEBOUND_ENGINE_FLUID_MOIST_AIR_FORMULATION_H_

#include <concepts>

namespace ratebound::fluid {

// ln p = c1/T + c2 + c3 T + c4 T^2 + c5 T^3 + c6 T^4 + c7 ln T at absolute temperature T.
struct SaturationCoefficients {
  double c1, c2, c3, c4, c5, c6, c7;
};

// W (latent + vapour heat * t - wick heat * t*)
//   = (latent - fall of latent heat * t*) Ws(t*) - dry air heat * (t - t*)
struct WickCoefficients {
  double latent_heat;
  double latent_heat_fall;
  double wick_heat;
};

// 1/T in 1/K as a polynomial in ln of the saturation pressure in Pa.
struct SeedPolynomial {
  double c0, c1, c2, c3, c4, c5, c6;
};

// The saturation pressure in Pa is near (offset + slope t)^power, t in degC.
struct SeedPower {
  double offset, slope;
};

struct Si {
  static constexpr double kAbsoluteZero = -273.15;
  static constexpr double kTriplePoint = 0.01;
  static constexpr double kMeltingPoint = 0.0;
  // Where the saturation equations hold.
  static constexpr double kLowestTemperature = -100;
  static constexpr double kHighestTemperature = 200;

  static constexpr SaturationCoefficients kOverWater = {
      -5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0, 6.5459673};
  static constexpr SaturationCoefficients kOverIce = {
      -5.6745359e3, 6.3925247,     -9.677843e-3, 6.2215701e-7,
      2.0747825e-9, -9.484024e-13, 4.1635019};

  static constexpr double kMassRatio = 0.621945;  // of water to dry air, by mole
  static constexpr double kDryAirHeat = 1006;     // by temperature
  static constexpr double kVapourHeat = 1860;
  static constexpr double kVapourEnthalpyAtZero = 2501e3;
  static constexpr double kGasConstant = 287.042;  // of dry air: pressure * volume / T
  static constexpr double kVolumeFactor = 1.607858;
  static constexpr WickCoefficients kWaterWick = {2501e3, 2326, 4186};
  static constexpr WickCoefficients kIceWick = {2830e3, 240, 2100};

  static constexpr double kSeaLevelPressure = 101325;
  static constexpr double kSeaLevelTemperature = 15;
  static constexpr double kTemperatureFall = 0.0065;  // by altitude
  static constexpr double kPressureFall = 2.25577e-5;
  static constexpr double kPressureExponent = 5.2559;
  // Of a column of air: altitude over which the pressure falls by e, by temperature; and
  // the mean of the column above the station's by altitude.
  static constexpr double kColumnHeight = 287.055 / 9.807;
  static constexpr double kColumnWarming = 0.0065 / 2;

  // By what the wet bulb of saturated air can exceed its dry bulb, and its humidity ratio
  // that of saturation: rounding only.
  static constexpr double kWetBulbSlack = 1e-9;
  static constexpr double kSaturationSlack = 1e-9;

  static constexpr double kKelvin = 1;  // what 1 K is in this scale's degrees
  static constexpr double kPascal = 1;  // what 1 Pa is in this unit
  static constexpr double kLogPascal = 0;
};

struct InchPound {
  static constexpr double kAbsoluteZero = -459.67;
  static constexpr double kTriplePoint = 32.018;
  static constexpr double kMeltingPoint = 32;
  static constexpr double kLowestTemperature = -148;
  static constexpr double kHighestTemperature = 392;

  static constexpr SaturationCoefficients kOverWater = {
      -1.0440397e4, -11.294650, -2.7022355e-2, 1.2890360e-5, -2.4780681e-9, 0, 6.5459673};
  static constexpr SaturationCoefficients kOverIce = {
      -1.0214165e4,  -4.8932428,     -5.3765794e-3, 1.9202377e-7,
      3.5575832e-10, -9.0344688e-14, 4.1635019};

  static constexpr double kMassRatio = 0.621945;
  static constexpr double kDryAirHeat = 0.240;
  static constexpr double kVapourHeat = 0.444;
  static constexpr double kVapourEnthalpyAtZero = 1061;
  // 53.350 ft lbf/(lb degR), for a pressure in psi.
  static constexpr double kGasConstant = 53.350 / 144;
  static constexpr double kVolumeFactor = 1.607858;
  static constexpr WickCoefficients kWaterWick = {1093, 0.556, 1};
  static constexpr WickCoefficients kIceWick = {1220, 0.04, 0.48};

  static constexpr double kSeaLevelPressure = 14.696;
  static constexpr double kSeaLevelTemperature = 59;
  static constexpr double kTemperatureFall = 0.00356620;
  static constexpr double kPressureFall = 6.8754e-6;
  static constexpr double kPressureExponent = 5.2559;
  static constexpr double kColumnHeight = 53.351;
  static constexpr double kColumnWarming = 0.0036 / 2;

  // Equation 35 as published in these units does not quite give saturated air at t* = t:
  // its latent heat falls by 0.04 Btu/lb per degF where the other terms ask for 0.48 -
  // 0.444 = 0.036. So a wet bulb on ice can be above the dry bulb by 0.0023 degF near 32
  // degF, and at -148 degF the humidity ratio can exceed saturation by 0.05 %.
  static constexpr double kWetBulbSlack = 0.003;
  static constexpr double kSaturationSlack = 6e-4;

  static constexpr double kKelvin = 1.8;
  static constexpr double kPascal = 1 / 6894.757293168361;  // from 0.45359237 kg, 25.4 mm
  static constexpr double kLogPascal = -8.838516589197173;
};

template <typename Form>
concept Formulation = std::same_as<Form, Si> || std::same_as<Form, InchPound>;

// Starts of the iterations, fitted to the equations of Si; their errors do not reach a
// result. Over water within 0.02 K from -100 to 200 degC, over ice within 0.0001 K up to
// 0.01 degC.
inline constexpr SeedPolynomial kSeedOverWater = {
    0.0048086993411099,      -0.00017457654997153673, -5.49591742222417e-07,
    -1.5082136125215636e-08, 5.35583732738682e-10,    -2.420919264830512e-10,
    8.280716504579105e-12};
inline constexpr SeedPolynomial kSeedOverIce = {0.0047043067085024174,
                                                -0.00016272669544453283,
                                                4.0887352443220704e-08,
                                                -2.656387231931721e-09,
                                                -1.6002448942435444e-10,
                                                -6.9665516883989626e-12,
                                                0};
// To the eighth power over water (2 % from -20 to 60 degC), to the twelfth over ice (3 %
// from -60 to 0 degC).
inline constexpr SeedPower kSeedPowerOverWater = {2.23143089, 0.02029895};
inline constexpr SeedPower kSeedPowerOverIce = {1.70591136, 0.01169836};

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_MOIST_AIR_FORMULATION_H_
