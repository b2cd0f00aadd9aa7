// The air side in steps: what `check --point` shows of it.
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/reduction/air_side.h"

namespace ratebound::points {
namespace {

constexpr double kInchesPerFoot = 12;

using base::Absl;
using base::ShortestText;
using document::Citation;

struct UnitNames {
  std::string_view temperature, pressure, humidity, enthalpy, specific_heat, volume, flow,
      mass_flow, heat, velocity, length, viscosity;
};
constexpr UnitNames kInchPoundNames = {"degF",        "psia",   "lb/lb", "Btu/lb",
                                       "Btu/lb-degF", "ft3/lb", "cfm",   "lb/h",
                                       "Btu/h",       "ft/min", "ft",    "lb/ft-s"};
constexpr UnitNames kSiNames = {"degC", "Pa",   "kg/kg", "J/kg", "J/kg-K", "m3/kg",
                                "m3/s", "kg/s", "W",     "m/s",  "m",      "Pa-s"};

const Citation& Handbook() {
  static const Citation* const handbook = new Citation{
      "ASHRAE Handbook - Fundamentals 2017, chapter 1", document::Basis::kSecondaryText};
  return *handbook;
}

std::string_view MoistureName(HumidityReading kind) {
  switch (kind) {
    case HumidityReading::kWetBulb:
      return "wet bulb";
    case HumidityReading::kDewPoint:
      return "dew point";
    case HumidityReading::kRelativeHumidity:
      return "relative humidity";
    case HumidityReading::kHumidityRatio:
      return "humidity ratio";
  }
  return "";
}

std::string HumidityHow(const StateReading& reading) {
  const bool ice = reading.phase == fluid::Phase::kIce;
  switch (reading.kind) {
    case HumidityReading::kWetBulb:
      return ice ? "from dry and wet bulb, with ice on the wick"
                 : "from dry and wet bulb, with water on the wick";
    case HumidityReading::kDewPoint:
      return ice ? "from the frost point" : "from the dew point";
    case HumidityReading::kRelativeHumidity:
      return "from relative humidity over water";
    case HumidityReading::kHumidityRatio:
      return "as read";
  }
  return "";
}

std::string SpecificHeatHow(SpecificHeatAt at, bool heating) {
  const std::string_view difference = heating ? "t2 - t1" : "t1 - t2";
  switch (at) {
    case SpecificHeatAt::kOwn:
      return heating ? "dry air flow x (cp2 t2 - cp1 t1)"
                     : "dry air flow x (cp1 t1 - cp2 t2)";
    case SpecificHeatAt::kMean:
      return absl::StrCat("dry air flow x (cp1 + cp2)/2 x (", Absl(difference), ")");
    case SpecificHeatAt::kLeaving:
      return absl::StrCat("dry air flow x cp2 x (", Absl(difference), ")");
    case SpecificHeatAt::kEntering:
      return absl::StrCat("dry air flow x cp1 x (", Absl(difference), ")");
  }
  return "";
}

class Explainer {
 public:
  Explainer(const AirExplanation& what, const AirReadings<double>& in,
            const AirAnswers<double>& a, StepRecorder& steps)
      : what_(what),
        plan_(what.plan),
        k_(plan_.constants),
        in_(in),
        a_(a),
        steps_(steps),
        unit_(plan_.inch_pound ? kInchPoundNames : kSiNames) {}

  void Run() {
    Add(0, "barometric pressure", a_.pressure, unit_.pressure,
        what_.barometer.empty()
            ? "standard atmosphere at sea level: neither barometric_pressure nor "
              "altitude was read"
            : what_.barometer,
        what_.barometer == "as read" ? Citation{} : Handbook());
    State("entering air", what_.entering, in_.entering_moisture, a_.entering, false);
    State("leaving air", what_.leaving, in_.leaving_moisture, a_.leaving,
          what_.pattern.leaving_humidity_is_entering);
    Flow();
    if (k_.heating) {
      Heating();
    } else {
      Cooling();
    }
  }

 private:
  void Add(int depth, std::string_view label, double value, std::string_view unit,
           std::string how, const Citation& citation = {}) {
    steps_.Add(depth, label, value, unit, std::move(how), citation);
  }
  double Temperature(double celsius) const {
    return plan_.inch_pound ? AirUnits<fluid::InchPound>::Temperature(celsius) : celsius;
  }

  void State(const std::string& name, const StateReading& reading, double moisture,
             const AirState<double>& state, bool as_entering) {
    const std::string label = name + ": ";
    Add(1, label + "dry bulb", state.temperature, unit_.temperature, "as read");
    if (as_entering) {
      Add(1, label + "humidity ratio", state.humidity_ratio, unit_.humidity,
          "that of the entering air: heating adds no water, and none was read");
    } else {
      const bool temperature = reading.kind == HumidityReading::kWetBulb ||
                               reading.kind == HumidityReading::kDewPoint;
      if (reading.kind != HumidityReading::kHumidityRatio) {
        Add(1, label + std::string(MoistureName(reading.kind)),
            temperature ? Temperature(moisture) : moisture,
            temperature ? unit_.temperature : "1",
            reading.clamped ? "read above the dry bulb, within the slack; taken as equal "
                              "to it"
                            : "as read");
      }
      Add(1, label + "humidity ratio", state.humidity_ratio, unit_.humidity,
          HumidityHow(reading),
          reading.kind == HumidityReading::kHumidityRatio ? Citation{} : Handbook());
    }
    Add(1, label + "specific heat", state.specific_heat, unit_.specific_heat,
        absl::StrCat(ShortestText(k_.dry_air_specific_heat), " + ",
                     ShortestText(k_.water_vapour_specific_heat), " W"),
        plan_.dry_air_specific_heat.citation);
    Add(1, label + "enthalpy", state.enthalpy, unit_.enthalpy,
        absl::StrCat(ShortestText(k_.dry_air_specific_heat), " t + W (",
                     ShortestText(k_.latent_heat), " + ",
                     ShortestText(k_.water_vapour_specific_heat), " t)"),
        plan_.latent_heat.citation);
  }

  std::string DryOfMixture() const {
    return k_.standard_air_is_mixture
               ? ", which counts moist air: / (1 + W of leaving air)"
               : ", which counts dry air";
  }

  void Flow() {
    const std::string minute = plan_.inch_pound ? " x 60" : "";
    const std::string density = ShortestText(k_.standard_air_density);
    switch (k_.flow) {
      case FlowReading::kStandard:
        Add(1, "standard air flow", a_.standard_air_flow, unit_.flow, "as read");
        Add(1, "dry air flow", a_.dry_air_flow, unit_.mass_flow,
            absl::StrCat("standard air flow x ", density, minute, DryOfMixture()),
            plan_.standard_air_density.citation);
        break;
      case FlowReading::kEntering:
        Add(1, "entering air: specific volume", a_.entering_volume, unit_.volume,
            "of moist air, for each unit of dry air", Handbook());
        Add(1, "air flow", a_.air_flow, unit_.flow, "as read, of entering air");
        Add(1, "dry air flow", a_.dry_air_flow, unit_.mass_flow,
            absl::StrCat("air flow", minute, " / specific volume of entering air"));
        break;
      case FlowReading::kLeaving:
        Add(1, "leaving air: specific volume", a_.leaving_volume, unit_.volume,
            "of moist air, for each unit of dry air", Handbook());
        Add(1, "air flow",
            in_.flow /
                (plan_.inch_pound ? AirUnits<fluid::InchPound>::kVolumeFlowM3PerS : 1),
            unit_.flow, "as read, of leaving air");
        Add(1, "dry air flow", a_.dry_air_flow, unit_.mass_flow,
            absl::StrCat("air flow", minute, " / specific volume of leaving air"));
        break;
      case FlowReading::kMass:
        Add(1, "dry air flow", a_.dry_air_flow, unit_.mass_flow, "as read");
        break;
      case FlowReading::kNozzles:
        Nozzles();
        Add(1, "dry air flow", a_.dry_air_flow, unit_.mass_flow,
            absl::StrCat("nozzle flow", minute, " / specific volume at the nozzles"),
            plan_.flow_constant.citation);
        break;
    }
    if (k_.flow != FlowReading::kStandard) {
      Add(1, "standard air flow", a_.standard_air_flow, unit_.flow,
          absl::StrCat("dry air flow",
                       k_.standard_air_is_mixture ? " x (1 + W of leaving air)" : "",
                       " / (", density, minute, ")"),
          plan_.standard_air_rule);
    }
  }

  void Nozzles() {
    Add(2, "nozzle pressure difference", a_.nozzle_pressure_drop, plan_.column_unit,
        "as read");
    Add(2, "nozzle air: dry bulb", Temperature(in_.nozzle_air_db_c), unit_.temperature,
        what_.nozzle_air_is_leaving ? "leaving_air_db, because nozzle_air_db was not read"
                                    : "as read");
    Add(2, "nozzle air: specific volume", a_.nozzle_volume, unit_.volume,
        "at the leaving humidity ratio and barometric pressure, for each unit of dry air",
        Handbook());
    Add(2, "nozzle air: volume of moist air", a_.nozzle_mixture_volume, unit_.volume,
        "specific volume / (1 + W)", plan_.flow_constant.citation);
    if (k_.viscosity_at_zero > 0) {
      Add(2, "nozzle air: viscosity", a_.nozzle_viscosity, unit_.viscosity,
          absl::StrCat(ShortestText(k_.viscosity_at_zero), " + ",
                       ShortestText(k_.viscosity_slope), " t"),
          plan_.viscosity.citation);
    }
    for (int i = 0; i < k_.nozzle_sizes; ++i) {
      const NozzleSize& size = k_.nozzles[i];
      const NozzleFlow<double>& nozzle = a_.nozzles[i];
      const std::string label =
          plan_.inch_pound
              ? absl::StrFormat("nozzle of %.5g in: ", kInchesPerFoot * size.diameter)
              : absl::StrFormat("nozzle of %.5g m: ", size.diameter);
      Add(2, label + "area", size.area, plan_.inch_pound ? "ft2" : "m2",
          "pi/4 x diameter^2 x number of nozzles");
      if (size.fixed) {
        Add(2, label + "discharge coefficient", nozzle.coefficient, "1",
            "fixed for throats of this size", plan_.coefficient.citation);
      } else {
        Add(2, label + "Reynolds number", nozzle.reynolds, "1",
            "throat velocity x diameter / kinematic viscosity, iterated with the "
            "coefficient");
        Add(2, label + "discharge coefficient", nozzle.coefficient, "1",
            absl::StrCat(ShortestText(k_.coefficient_constant), " - ",
                         ShortestText(k_.coefficient_root_term), "/sqrt(Re) + ",
                         ShortestText(k_.coefficient_inverse_term), "/Re"),
            plan_.coefficient.citation);
      }
      Add(2, label + "throat velocity", nozzle.velocity, unit_.velocity,
          absl::StrCat(ShortestText(k_.nozzle_flow_constant),
                       " C sqrt(pressure difference x volume of moist air)"),
          plan_.flow_constant.citation);
      Add(2, label + "air flow", nozzle.flow, unit_.flow, "throat velocity x area",
          plan_.flow_constant.citation);
    }
    Add(1, "nozzle air flow", a_.nozzle_flow, unit_.flow, "sum over the nozzles",
        plan_.flow_constant.citation);
  }

  void Ducts() {
    if (!(k_.duct_loss_w_per_k > 0)) return;
    Add(1, "heat of ducts", a_.duct_heat, unit_.heat,
        absl::StrCat(
            ShortestText(k_.duct_loss_w_per_k),
            " W/K x the difference of leaving and ambient dry bulb, added to the "
            "capacity"),
        plan_.sensible_rule);
  }

  void Fan() {
    if (!what_.pattern.has_fan_power) return;
    Add(1, "heat of the indoor fan", a_.fan_heat, unit_.heat,
        plan_.inch_pound
            ? absl::StrCat("indoor_fan_power x ", ShortestText(k_.power_heat))
            : "indoor_fan_power",
        plan_.power_heat.citation);
  }

  void Heating() {
    Ducts();
    Add(1, "heat given to the air", a_.air_total, unit_.heat,
        SpecificHeatHow(k_.heating_at, true) +
            (k_.duct_loss_w_per_k > 0 ? " + heat of ducts" : ""),
        plan_.heating_rule);
    Fan();
    Add(0, "net heating capacity", a_.net_total, unit_.heat,
        k_.leaving_air_ahead_of_fan
            ? "heat given to the air + heat of the indoor fan, which is behind the "
              "station"
            : "heat given to the air, the indoor fan's in it");
    if (what_.pattern.has_fan_power) {
      Add(0, "gross heating capacity", a_.gross_total, unit_.heat,
          "net heating capacity - heat of the indoor fan");
    }
  }

  void Cooling() {
    const std::string ducts = k_.duct_loss_w_per_k > 0 ? " + heat of ducts" : "";
    Ducts();
    Add(1, "sensible heat of the air", a_.air_sensible, unit_.heat,
        SpecificHeatHow(k_.sensible_at, false) + ducts, plan_.sensible_rule);
    const std::string latent_heat = ShortestText(k_.latent_heat);
    if (k_.latent_from_condensate) {
      Add(1, "condensate", a_.condensate, unit_.mass_flow, "as caught");
      Add(1, "latent capacity", a_.latent, unit_.heat,
          absl::StrCat("condensate x ", latent_heat), plan_.latent_heat.citation);
      Add(1, "heat taken from the air", a_.air_total, unit_.heat,
          "sensible heat of the air + latent capacity");
    } else {
      Add(1, "moisture removal", a_.moisture_removal, unit_.mass_flow,
          "dry air flow x (W1 - W2)");
      Add(1, "heat taken from the air", a_.air_total, unit_.heat,
          "dry air flow x (h1 - h2)" + ducts, plan_.latent_heat.citation);
      if (k_.sensible_at == SpecificHeatAt::kOwn) {
        Add(1, "latent capacity", a_.latent, unit_.heat,
            absl::StrCat("moisture removal x ", latent_heat), plan_.latent_heat.citation);
      } else {
        Add(1, "latent capacity", a_.latent, unit_.heat,
            "heat taken from the air - sensible heat of the air", plan_.sensible_rule);
      }
    }
    Fan();
    const std::string net = k_.leaving_air_ahead_of_fan
                                ? " - heat of the indoor fan, which is behind the station"
                                : ", the indoor fan's heat in it";
    Add(0, "net total cooling capacity", a_.net_total, unit_.heat,
        "heat taken from the air" + net);
    Add(0, "net sensible cooling capacity", a_.net_sensible, unit_.heat,
        "sensible heat of the air" + net);
    if (what_.pattern.has_fan_power) {
      Add(0, "gross total cooling capacity", a_.gross_total, unit_.heat,
          "net total cooling capacity + heat of the indoor fan");
      Add(0, "gross sensible cooling capacity", a_.gross_sensible, unit_.heat,
          "net sensible cooling capacity + heat of the indoor fan");
    }
  }

  const AirExplanation& what_;
  const AirPlan& plan_;
  const AirConstants& k_;
  const AirReadings<double>& in_;
  const AirAnswers<double>& a_;
  StepRecorder& steps_;
  const UnitNames& unit_;
};

}  // namespace

void ExplainAir(const AirExplanation& what, const AirReadings<double>& in,
                const AirAnswers<double>& answers, StepRecorder& steps) {
  Explainer(what, in, answers, steps).Run();
}

}  // namespace ratebound::points
