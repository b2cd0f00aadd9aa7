// The whole state of moist air from its pressure and any two properties that determine
// it; checked, with errors that say which value cannot be and what to do.
//
// Example:
//   // Entering air by a psychrometer, at the barometer of the room:
//   auto air = SolveMoistAir<Si>(98200, {MoistAirProperty::kDryBulb, 27},
//                                {MoistAirProperty::kWetBulb, 19});
//   air->enthalpy;    // J/kg dry air
//   air->dew_point;   // none only where air is drier than dew at -100 degC
//
//   // Below freezing, where a wick that has stayed wet and an iced one read differently:
//   auto outdoor = SolveMoistAir<InchPound>(
//       14.4, {MoistAirProperty::kDryBulb, 17}, {MoistAirProperty::kWetBulb, 15},
//       {.wick = Wick::kIce});
//
// Dry bulb need not be one of the two. Dew point and humidity ratio together determine
// nothing more than either; wet bulb and enthalpy do so poorly, since their lines are
// nearly parallel, and where they are too nearly so the pair is refused.
//
// Units are those of the formulation (moist_air_formulation.h).
// Errors: INVALID_ARGUMENT, carrying base::Fault with the property as its field, where a
// value is not possible, two values contradict each other or do not determine a state, a
// temperature leaves -100..200 degC, water would boil at this pressure, or the air would
// hold more vapour than saturated air.
// Accuracy: the state gives back both inputs to 1e-9 relative. Cost: about 0.5 us, or
// 0.7 us where a search by dry bulb is needed. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FLUID_MOIST_AIR_STATE_H_
#define RATEBOUND_ENGINE_FLUID_MOIST_AIR_STATE_H_

#include <optional>
#include <string_view>

#include "absl/status/statusor.h"
#include "engine/fluid/moist_air.h"

namespace ratebound::fluid {

enum class MoistAirProperty {
  kDryBulb,
  kWetBulb,
  kDewPoint,
  kRelativeHumidity,  // 0 to 1
  kHumidityRatio,
  kEnthalpy,
  kSpecificVolume,
};

// "dry_bulb", "wet_bulb", ...
std::string_view NameOf(MoistAirProperty property);

struct MoistAirInput {
  MoistAirProperty property;
  double value;
};

// What the wick of the wet bulb carries.
enum class Wick {
  // Ice below the melting point, 0 degC, water from there on. Close to it one and the
  // same air can show a wet bulb above 0 on water and below 0 on ice: the answer is then
  // the one on water.
  kByTemperature,
  kWater,  // also below the melting point, where a wick can stay wet
  kIce,    // up to the melting point; an answer above it is on water
};

// What dew point and relative humidity refer to below the triple point, 0.01 degC.
enum class BelowFreezing { kIce, kWater };

struct MoistAirOptions {
  Wick wick = Wick::kByTemperature;
  BelowFreezing dew_point = BelowFreezing::kIce;   // a frost point, then
  BelowFreezing saturation = BelowFreezing::kIce;  // of relative humidity, and of what
                                                   // counts as too much vapour
};

template <Formulation Form>
struct MoistAirState {
  double pressure = 0;
  double dry_bulb = 0;
  double wet_bulb = 0;  // see Form::kWetBulbSlack
  Phase wick = Phase::kWater;
  std::optional<double> dew_point;  // none below -100 degC, as in dry air
  Phase dew_point_phase = Phase::kWater;
  double relative_humidity = 0;
  double degree_of_saturation = 0;
  double humidity_ratio = 0;
  double vapour_pressure = 0;
  double enthalpy = 0;
  double specific_volume = 0;  // per dry air
  double density = 0;          // of dry air and vapour together
  double specific_heat = 0;    // per dry air
};

template <Formulation Form>
absl::StatusOr<MoistAirState<Form>> SolveMoistAir(double pressure, MoistAirInput first,
                                                  MoistAirInput second,
                                                  const MoistAirOptions& options = {});

extern template absl::StatusOr<MoistAirState<Si>> SolveMoistAir<Si>(
    double, MoistAirInput, MoistAirInput, const MoistAirOptions&);
extern template absl::StatusOr<MoistAirState<InchPound>> SolveMoistAir<InchPound>(
    double, MoistAirInput, MoistAirInput, const MoistAirOptions&);

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_MOIST_AIR_STATE_H_
