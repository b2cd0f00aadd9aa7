// An invented vapour-compression machine in cooling, whose capacity and power are smooth
// and no polynomials: a compressor that takes up heat as an exponential of the
// evaporating temperature and power as a Carnot factor over an efficiency, between a wet
// coil and a water side whose effectiveness is an exponential of the flow. The formulas
// are those of ratings/lines/canal-halls/make_points.py, written a second time.
//
// Example:
//   CoolingFigures figures = CoolingMachine({.wet_bulb_c = 19.4, .water_c = 29.4,
//                                            .air_m3_per_s = 2.5});
#ifndef RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MACHINE_H_
#define RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MACHINE_H_

namespace ratebound::map {

inline constexpr double kNominalAirM3PerS = 5400 * 0.3048 * 0.3048 * 0.3048 / 60;

// Air of 80 degF dry bulb; water flow is nominal.
struct CoolingConditions {
  double wet_bulb_c = 0;
  double water_c = 0;
  double air_m3_per_s = kNominalAirM3PerS;
};

struct CoolingFigures {
  double capacity_w = 0;  // of the coil less the fan
  double compressor_power_w = 0;
};

CoolingFigures CoolingMachine(const CoolingConditions& conditions);

}  // namespace ratebound::map

#endif  // RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MACHINE_H_
