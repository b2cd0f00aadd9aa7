#include "engine/fluid/moist_air_state.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fluid/bracketed_root.h"

namespace ratebound::fluid {
namespace {

using Property = MoistAirProperty;
using base::ShortestText;

absl::Status Refuse(std::string_view field, std::string message, std::string remedy) {
  base::FaultList faults;
  faults.Add({.field = std::string(field),
              .message = std::move(message),
              .remedy = std::move(remedy)});
  return faults.ToStatus();
}

template <Formulation Form>
struct UnitNames;
template <>
struct UnitNames<Si> {
  static constexpr const char* kDegrees = " degC";
  static constexpr const char* kPressure = " Pa";
  static constexpr const char* kVolume = " m3/kg";
  static constexpr const char* kRange = "-100 to 200 degC";
};
template <>
struct UnitNames<InchPound> {
  static constexpr const char* kDegrees = " degF";
  static constexpr const char* kPressure = " psia";
  static constexpr const char* kVolume = " ft3/lb";
  static constexpr const char* kRange = "-148 to 392 degF";
};

template <Formulation Form>
std::string Degrees(double temperature) {
  return absl::StrCat(ShortestText(temperature), UnitNames<Form>::kDegrees);
}

bool IsTemperature(Property property) {
  return property == Property::kDryBulb || property == Property::kWetBulb ||
         property == Property::kDewPoint;
}
bool IsHumidityAlone(Property property) {
  return property == Property::kDewPoint || property == Property::kHumidityRatio;
}

// What two properties leave open, and the state once that is found.
template <Formulation Form>
class Solver {
 public:
  Solver(double pressure, const MoistAirOptions& options)
      : pressure_(pressure), options_(options) {}

  absl::Status Check(MoistAirInput input) const;
  // Finds dry bulb and humidity ratio; `first` is before `second` in the enumeration.
  absl::Status Solve(MoistAirInput first, MoistAirInput second);
  absl::StatusOr<MoistAirState<Form>> Finish(MoistAirInput first,
                                             MoistAirInput second) const;

 private:
  // A wet bulb's line: humidity ratio = (total - cp t) / (base + cv t), which is
  // equations 33 and 35 solved for it.
  struct WetBulbLine {
    double total, base;
    double HumidityRatio(double dry_bulb) const {
      return (total - Form::kDryAirHeat * dry_bulb) /
             (base + Form::kVapourHeat * dry_bulb);
    }
    double DryBulb(double humidity_ratio) const {
      return (total - humidity_ratio * base) /
             (Form::kDryAirHeat + Form::kVapourHeat * humidity_ratio);
    }
  };

  static Phase PhaseBy(BelowFreezing below, double temperature) {
    return below == BelowFreezing::kWater ? Phase::kWater : PhaseAt<Form>(temperature);
  }
  double Saturated(double dry_bulb) const {
    return SaturationPressure<Form>(dry_bulb, PhaseBy(options_.saturation, dry_bulb));
  }
  // Saturation temperature over ice up to the triple point, over water from there on.
  static double TemperatureBy(BelowFreezing below, double vapour_pressure) {
    if (below == BelowFreezing::kIce) {
      const double frost = SaturationTemperature<Form>(vapour_pressure, Phase::kIce);
      if (frost <= Form::kTriplePoint) return frost;
    }
    return SaturationTemperature<Form>(vapour_pressure, Phase::kWater);
  }
  Phase WickOf(double wet_bulb) const {
    switch (options_.wick) {
      case Wick::kWater:
        return Phase::kWater;
      case Wick::kIce:
        return wet_bulb <= Form::kMeltingPoint ? Phase::kIce : Phase::kWater;
      case Wick::kByTemperature:
        break;
    }
    return wet_bulb < Form::kMeltingPoint ? Phase::kIce : Phase::kWater;
  }
  std::pair<double, Phase> WetBulbAndWick(double dry_bulb, double humidity_ratio) const;

  WetBulbLine LineOf(double wet_bulb) const;
  double HumidityRatioOf(MoistAirInput input) const;  // dew point or humidity ratio
  double HumidityRatioAt(double dry_bulb, MoistAirInput other) const;
  double DryBulbAt(double humidity_ratio, MoistAirInput other) const;
  absl::Status SolveWetBulbAndEnthalpy(double wet_bulb, double enthalpy);
  absl::Status Search(MoistAirInput first, MoistAirInput second);
  absl::Status NoState(MoistAirInput first, MoistAirInput second) const;

  double pressure_;
  const MoistAirOptions& options_;
  double dry_bulb_ = 0;
  double humidity_ratio_ = 0;
};

template <Formulation Form>
absl::Status Solver<Form>::Check(MoistAirInput input) const {
  const std::string_view name = NameOf(input.property);
  const double value = input.value;
  const std::string text = ShortestText(value);
  if (!std::isfinite(value)) {
    return Refuse(name, absl::StrCat(text, " is no number"), "give a finite value");
  }
  if (IsTemperature(input.property)) {
    if (value < Form::kLowestTemperature || value > Form::kHighestTemperature) {
      return Refuse(
          name,
          absl::StrCat(Degrees<Form>(value), " is outside ", UnitNames<Form>::kRange,
                       ", where the moist-air equations hold"),
          "check the reading and its unit");
    }
  }
  switch (input.property) {
    case Property::kWetBulb:
      if (options_.wick == Wick::kIce && value > Form::kMeltingPoint) {
        return Refuse(
            name, absl::StrCat("ice on the wick would melt at ", Degrees<Form>(value)),
            "take the wick as wet, or let it go by temperature");
      }
      [[fallthrough]];
    case Property::kDewPoint: {
      const Phase phase = input.property == Property::kWetBulb
                              ? WickOf(value)
                              : PhaseBy(options_.dew_point, value);
      const double saturation = SaturationPressure<Form>(value, phase);
      if (saturation < pressure_) break;
      return Refuse(name,
                    absl::StrCat("water boils below ", Degrees<Form>(value), " at ",
                                 ShortestText(pressure_), UnitNames<Form>::kPressure,
                                 ": its vapour pressure is ", ShortestText(saturation)),
                    "check the pressure, which is absolute, and its unit");
    }
    case Property::kRelativeHumidity:
      if (value >= 0 && value <= 1) break;
      return Refuse(
          name, absl::StrCat(text, " is not from 0 to 1"),
          value > 1 && value <= 100
              ? absl::StrCat("write per cent as a fraction: ", ShortestText(value / 100))
              : "check the reading");
    case Property::kHumidityRatio:
      if (value >= 0) break;
      return Refuse(name, absl::StrCat(text, " is below 0"), "check the reading");
    case Property::kSpecificVolume:
      if (value > 0) break;
      return Refuse(name, absl::StrCat(text, UnitNames<Form>::kVolume, " is not above 0"),
                    "check the reading");
    case Property::kDryBulb:
    case Property::kEnthalpy:
      break;
  }
  return absl::OkStatus();
}

template <Formulation Form>
typename Solver<Form>::WetBulbLine Solver<Form>::LineOf(double wet_bulb) const {
  const Phase wick = WickOf(wet_bulb);
  const WickCoefficients& c = wick == Phase::kIce ? Form::kIceWick : Form::kWaterWick;
  const double saturated = HumidityRatioFromVapourPressure<Form>(
      SaturationPressure<Form>(wet_bulb, wick), pressure_);
  return {(c.latent_heat - c.latent_heat_fall * wet_bulb) * saturated +
              Form::kDryAirHeat * wet_bulb,
          c.latent_heat - c.wick_heat * wet_bulb};
}

template <Formulation Form>
double Solver<Form>::HumidityRatioOf(MoistAirInput input) const {
  if (input.property == Property::kHumidityRatio) return input.value;
  return HumidityRatioFromDewPoint<Form>(input.value, pressure_,
                                         PhaseBy(options_.dew_point, input.value));
}

template <Formulation Form>
double Solver<Form>::HumidityRatioAt(double dry_bulb, MoistAirInput other) const {
  switch (other.property) {
    case Property::kWetBulb:
      return HumidityRatioFromWetBulb<Form>(dry_bulb, other.value, pressure_,
                                            WickOf(other.value));
    case Property::kRelativeHumidity:
      return HumidityRatioFromVapourPressure<Form>(other.value * Saturated(dry_bulb),
                                                   pressure_);
    case Property::kEnthalpy:
      return HumidityRatioFromEnthalpy<Form>(dry_bulb, other.value);
    case Property::kSpecificVolume:
      return HumidityRatioFromSpecificVolume<Form>(dry_bulb, other.value, pressure_);
    default:
      return HumidityRatioOf(other);
  }
}

template <Formulation Form>
double Solver<Form>::DryBulbAt(double humidity_ratio, MoistAirInput other) const {
  switch (other.property) {
    case Property::kWetBulb:
      return LineOf(other.value).DryBulb(humidity_ratio);
    case Property::kRelativeHumidity:
      return TemperatureBy(options_.saturation,
                           VapourPressure<Form>(humidity_ratio, pressure_) / other.value);
    case Property::kEnthalpy:
      return DryBulbFromEnthalpy<Form>(other.value, humidity_ratio);
    default:
      return DryBulbFromSpecificVolume<Form>(other.value, humidity_ratio, pressure_);
  }
}

template <Formulation Form>
absl::Status Solver<Form>::NoState(MoistAirInput first, MoistAirInput second) const {
  return Refuse(
      NameOf(second.property),
      absl::StrCat("no air from ", UnitNames<Form>::kRange, " at ",
                   ShortestText(pressure_), UnitNames<Form>::kPressure, " has both ",
                   base::Absl(NameOf(first.property)), " ", ShortestText(first.value),
                   " and ", base::Absl(NameOf(second.property)), " ",
                   ShortestText(second.value)),
      "check both readings, their units and the pressure");
}

// Along a wet bulb's line enthalpy = total + humidity ratio * (difference below): on
// water that is the liquid's heat above the melting point, which vanishes there.
template <Formulation Form>
absl::Status Solver<Form>::SolveWetBulbAndEnthalpy(double wet_bulb, double enthalpy) {
  const WetBulbLine line = LineOf(wet_bulb);
  const double difference = Form::kVapourEnthalpyAtZero - line.base;
  // From saturated to dry air on this line, over what the dry air's heat changes in 1 K.
  const double width =
      difference *
      HumidityRatioFromVapourPressure<Form>(
          SaturationPressure<Form>(wet_bulb, WickOf(wet_bulb)), pressure_) /
      (Form::kDryAirHeat * Form::kKelvin);
  if (std::fabs(width) < 1e-3) {
    return Refuse(NameOf(Property::kEnthalpy),
                  absl::StrCat("at a wet bulb of ", Degrees<Form>(wet_bulb),
                               " all air has nearly the same enthalpy, dry or saturated"),
                  "give the dry bulb, or any other property, instead of one of both");
  }
  humidity_ratio_ = (enthalpy - line.total) / difference;
  dry_bulb_ = line.DryBulb(humidity_ratio_);
  return absl::OkStatus();
}

// Pairs of wet bulb, relative humidity, enthalpy and specific volume: along the line of
// the first the second moves one way with dry bulb, so the search is for its sign. Where
// the humidity ratio grows beyond all bounds, as water comes to boil, the difference is
// taken times (p - vapour pressure), which keeps its sign.
template <Formulation Form>
absl::Status Solver<Form>::Search(MoistAirInput first, MoistAirInput second) {
  double low = Form::kLowestTemperature;
  double high = Form::kHighestTemperature;
  const double value = second.value;
  const auto dry_end = [&](double enthalpy) {
    return std::min(high, enthalpy / Form::kDryAirHeat);
  };
  std::optional<double> root;
  const double close = 1e-14 * Form::kKelvin;
  if (first.property == Property::kRelativeHumidity) {
    const double boiling = first.value > 0 ? SaturationTemperature<Form>(
                                                 pressure_ / first.value, Phase::kWater)
                                           : high;
    if (boiling < high) high = boiling;
    root = BracketedRoot(
        [&](double t) {
          const double vapour = first.value * Saturated(t);
          const double dry = pressure_ - vapour;
          const double water = Form::kMassRatio * vapour;
          if (second.property == Property::kEnthalpy) {
            return (Form::kDryAirHeat * t - value) * dry +
                   water * (Form::kVapourEnthalpyAtZero + Form::kVapourHeat * t);
          }
          return Form::kGasConstant * (t - Form::kAbsoluteZero) *
                     (dry + Form::kVolumeFactor * water) -
                 value * pressure_ * dry;
        },
        low, high, close);
  } else {
    const WetBulbLine line = first.property == Property::kWetBulb
                                 ? LineOf(first.value)
                                 : WetBulbLine{first.value, Form::kVapourEnthalpyAtZero};
    high = dry_end(line.total);
    if (first.property == Property::kWetBulb) {
      low = std::max(low, first.value - 0.01 * Form::kKelvin);
    }
    if (!(low < high)) return NoState(first, second);
    root = BracketedRoot(
        [&](double t) {
          const double humidity_ratio = line.HumidityRatio(t);
          return second.property == Property::kRelativeHumidity
                     ? VapourPressure<Form>(humidity_ratio, pressure_) -
                           value * Saturated(t)
                     : SpecificVolume<Form>(t, humidity_ratio, pressure_) - value;
        },
        low, high, close);
  }
  if (!root) return NoState(first, second);
  dry_bulb_ = *root;
  humidity_ratio_ = HumidityRatioAt(*root, first);
  return absl::OkStatus();
}

template <Formulation Form>
absl::Status Solver<Form>::Solve(MoistAirInput first, MoistAirInput second) {
  if (first.property == Property::kDryBulb) {
    if (second.property == Property::kWetBulb &&
        second.value > first.value + Form::kWetBulbSlack) {
      return Refuse(NameOf(second.property),
                    absl::StrCat(Degrees<Form>(second.value), " is above the dry bulb, ",
                                 Degrees<Form>(first.value)),
                    "check whether the readings are exchanged");
    }
    dry_bulb_ = first.value;
    if (second.property == Property::kRelativeHumidity &&
        second.value * Saturated(first.value) >= pressure_) {
      return NoState(first, second);
    }
    humidity_ratio_ = HumidityRatioAt(first.value, second);
    return absl::OkStatus();
  }
  if (IsHumidityAlone(first.property) || IsHumidityAlone(second.property)) {
    if (IsHumidityAlone(first.property) && IsHumidityAlone(second.property)) {
      return Refuse(NameOf(second.property),
                    absl::StrCat("dew point and humidity ratio say the same of air at a "
                                 "given pressure, and nothing of its temperature"),
                    "give the dry bulb, or any other property, instead of one of both");
    }
    const bool is_first = IsHumidityAlone(first.property);
    const MoistAirInput other = is_first ? second : first;
    humidity_ratio_ = HumidityRatioOf(is_first ? first : second);
    if (other.property == Property::kRelativeHumidity &&
        (humidity_ratio_ == 0) != (other.value == 0)) {
      return NoState(first, second);
    }
    if (other.property == Property::kRelativeHumidity && other.value == 0) {
      return Refuse(NameOf(other.property),
                    "dry air has a relative humidity of 0 at every temperature",
                    "give the dry bulb, or any other property");
    }
    dry_bulb_ = DryBulbAt(humidity_ratio_, other);
    return absl::OkStatus();
  }
  if (first.property == Property::kWetBulb && second.property == Property::kEnthalpy) {
    return SolveWetBulbAndEnthalpy(first.value, second.value);
  }
  return Search(first, second);
}

template <Formulation Form>
std::pair<double, Phase> Solver<Form>::WetBulbAndWick(double dry_bulb,
                                                      double humidity_ratio) const {
  if (options_.wick != Wick::kWater) {
    const bool prefer_ice = options_.wick == Wick::kIce;
    // Air below the melting point cannot hold a wet bulb above it, and need not be tried.
    if (!prefer_ice && dry_bulb >= Form::kMeltingPoint) {
      const double on_water =
          WetBulb<Form>(dry_bulb, humidity_ratio, pressure_, Phase::kWater);
      if (!(on_water < Form::kMeltingPoint)) return {on_water, Phase::kWater};
    }
    const double on_ice = WetBulb<Form>(dry_bulb, humidity_ratio, pressure_, Phase::kIce);
    if (!(on_ice > Form::kMeltingPoint + Form::kWetBulbSlack)) {
      return {on_ice, Phase::kIce};
    }
  }
  return {WetBulb<Form>(dry_bulb, humidity_ratio, pressure_, Phase::kWater),
          Phase::kWater};
}

template <Formulation Form>
absl::StatusOr<MoistAirState<Form>> Solver<Form>::Finish(MoistAirInput first,
                                                         MoistAirInput second) const {
  const double t = dry_bulb_;
  if (!(t >= Form::kLowestTemperature && t <= Form::kHighestTemperature)) {
    return NoState(first, second);
  }
  // What the inputs leave of a humidity ratio of 0 after rounding.
  if (!(humidity_ratio_ >= -1e-12)) {
    return Refuse(
        NameOf(second.property),
        absl::StrCat("with ", base::Absl(NameOf(first.property)), " ",
                     ShortestText(first.value),
                     " it would need air drier than dry (humidity ratio ",
                     ShortestText(humidity_ratio_), ") for ", ShortestText(second.value)),
        "check both readings, their units and the pressure");
  }
  const double w = std::max(0.0, humidity_ratio_);
  const double saturated = Saturated(t);
  MoistAirState<Form> state;
  state.pressure = pressure_;
  state.dry_bulb = t;
  state.humidity_ratio = w;
  state.vapour_pressure = VapourPressure<Form>(w, pressure_);
  state.relative_humidity = state.vapour_pressure / saturated;
  if (state.relative_humidity > 1 + Form::kSaturationSlack) {
    const bool over_ice = PhaseBy(options_.saturation, t) == Phase::kIce;
    return Refuse(
        NameOf(second.property),
        absl::StrCat(
            "with ", base::Absl(NameOf(first.property)), " ", ShortestText(first.value),
            " and ", base::Absl(NameOf(second.property)), " ", ShortestText(second.value),
            " the air would be at ", Degrees<Form>(t), " and hold ",
            ShortestText(state.relative_humidity),
            " times the vapour of air saturated over ", over_ice ? "ice" : "water"),
        over_ice ? "check both readings; if the water is undercooled, say that "
                   "saturation is over water"
                 : "check both readings, their units and the pressure");
  }
  state.degree_of_saturation =
      w * (pressure_ - saturated) / (Form::kMassRatio * saturated);
  std::tie(state.wet_bulb, state.wick) = WetBulbAndWick(t, w);
  if (std::isnan(state.wet_bulb)) return NoState(first, second);
  if (w > 0) {
    const double dew = TemperatureBy(options_.dew_point, state.vapour_pressure);
    if (dew >= Form::kLowestTemperature - Form::kWetBulbSlack) {
      state.dew_point = dew;
      state.dew_point_phase = PhaseBy(options_.dew_point, dew);
    }
  }
  state.enthalpy = Enthalpy<Form>(t, w);
  state.specific_volume = SpecificVolume<Form>(t, w, pressure_);
  state.density = MoistAirDensity<Form>(t, w, pressure_);
  state.specific_heat = SpecificHeat<Form>(w);
  return state;
}

}  // namespace

std::string_view NameOf(MoistAirProperty property) {
  switch (property) {
    case Property::kDryBulb:
      return "dry_bulb";
    case Property::kWetBulb:
      return "wet_bulb";
    case Property::kDewPoint:
      return "dew_point";
    case Property::kRelativeHumidity:
      return "relative_humidity";
    case Property::kHumidityRatio:
      return "humidity_ratio";
    case Property::kEnthalpy:
      return "enthalpy";
    case Property::kSpecificVolume:
      return "specific_volume";
  }
  return "";
}

template <Formulation Form>
absl::StatusOr<MoistAirState<Form>> SolveMoistAir(double pressure, MoistAirInput first,
                                                  MoistAirInput second,
                                                  const MoistAirOptions& options) {
  if (!std::isfinite(pressure) || pressure <= 0) {
    return Refuse("pressure",
                  absl::StrCat(ShortestText(pressure), " is no barometric pressure"),
                  "give the absolute pressure, above 0");
  }
  if (first.property == second.property) {
    return Refuse(NameOf(first.property), "is given twice",
                  "give another property beside it");
  }
  if (second.property < first.property) std::swap(first, second);
  Solver<Form> solver(pressure, options);
  RETURN_IF_ERROR(solver.Check(first));
  RETURN_IF_ERROR(solver.Check(second));
  RETURN_IF_ERROR(solver.Solve(first, second));
  return solver.Finish(first, second);
}

template absl::StatusOr<MoistAirState<Si>> SolveMoistAir<Si>(double, MoistAirInput,
                                                             MoistAirInput,
                                                             const MoistAirOptions&);
template absl::StatusOr<MoistAirState<InchPound>> SolveMoistAir<InchPound>(
    double, MoistAirInput, MoistAirInput, const MoistAirOptions&);

}  // namespace ratebound::fluid
