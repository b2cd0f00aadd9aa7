#include "engine/points/reduction/air_side.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/reduction/reducer.h"

namespace ratebound::points {
namespace {

using base::ShortestText;
using number::ValueOf;

constexpr double kColdestC = -100;  // of the saturation equations
constexpr double kHottestC = 200;

fluid::Phase PhaseOf(document::WaterPhase phase, double temperature_c) {
  if (phase == document::WaterPhase::kWater) return fluid::Phase::kWater;
  return fluid::PhaseAt<fluid::Si>(temperature_c);
}

template <class T>
class AirReduction {
 public:
  explicit AirReduction(Reducer<T>& reducer)
      : r_(reducer), plan_(*reducer.core.air), k_(plan_.constants) {}

  void Run() {
    Gather();
    if (!r_.faults.empty()) return;
    AirAnswers<T> answers{};
    if (plan_.inch_pound) {
      SolveAir<fluid::InchPound>(k_, pattern_, in_, entering_.phase, leaving_.phase,
                                 answers);
      Finish<fluid::InchPound>(answers);
    } else {
      SolveAir<fluid::Si>(k_, pattern_, in_, entering_.phase, leaving_.phase, answers);
      Finish<fluid::Si>(answers);
    }
  }

 private:
  void Gather() {
    in_.barometer_pa = *r_.barometer_pa;
    entering_ = GatherState(plan_.entering, in_.entering_db_c, in_.entering_moisture);
    pattern_.entering = entering_.kind;
    leaving_ = GatherState(plan_.leaving, in_.leaving_db_c, in_.leaving_moisture);
    pattern_.leaving = leaving_.kind;
    if (!entering_.read) MissingHumidity(plan_.entering);
    if (!leaving_.read) {
      // Heated air neither gains nor loses water.
      if (k_.heating && entering_.read) {
        pattern_.leaving_humidity_is_entering = true;
      } else {
        MissingHumidity(plan_.leaving);
      }
    }
    if (r_.Need(plan_.flow, "the air flow")) {
      in_.flow = r_.Read(plan_.flow);
      if (k_.flow == FlowReading::kNozzles && !(in_.flow > 0)) {
        r_.Fault(absl::StrCat("nozzle_pressure_drop of ", ShortestText(ValueOf(in_.flow)),
                              " Pa is no flow to measure"));
      }
    }
    if (k_.flow == FlowReading::kNozzles) {
      nozzle_air_is_leaving_ = !r_.Has(plan_.nozzle_db);
      in_.nozzle_air_db_c =
          nozzle_air_is_leaving_ ? in_.leaving_db_c : r_.Read(plan_.nozzle_db);
    }
    if (k_.duct_loss_w_per_k > 0 && r_.Need(plan_.ambient_db, "the heat of ducts")) {
      in_.ambient_air_db_c = r_.Read(plan_.ambient_db);
    }
    if (k_.latent_from_condensate && r_.Need(plan_.condensate, "latent capacity")) {
      in_.condensate_kg_s = r_.Read(plan_.condensate);
    }
    pattern_.has_fan_power = r_.Has(plan_.fan_power);
    if (pattern_.has_fan_power) {
      in_.fan_w = r_.Read(plan_.fan_power);
    } else if (k_.leaving_air_ahead_of_fan) {
      r_.Fault(
          "indoor_fan_power was not read, which net capacity from air ahead of the fan "
          "asks for");
    }
  }

  void MissingHumidity(const StateInputs& state) {
    r_.Fault(absl::StrCat("no humidity of the ",
                          state.side == "entering_air" ? "entering" : "leaving",
                          " air was read"),
             absl::StrCat("one of ", state.side, "_wb, ", state.side, "_dew_point, ",
                          state.side, "_relative_humidity and ", state.side,
                          "_humidity_ratio serves"));
  }

  StateReading GatherState(const StateInputs& state, T& db_c, T& moisture) {
    StateReading reading;
    if (!r_.Need(state.db, "the air side")) {
      reading.read = true;  // said enough of this state
      return reading;
    }
    db_c = r_.Read(state.db);
    for (size_t i = 0; i < state.moisture.size(); ++i) {
      if (!r_.Has(state.moisture[i])) continue;
      reading.read = true;
      reading.kind = static_cast<HumidityReading>(i);
      moisture = r_.Read(state.moisture[i]);
      CheckMoisture(state, static_cast<int>(i), db_c, moisture, reading);
      break;
    }
    return reading;
  }

  void CheckMoisture(const StateInputs& state, int kind, const T& db_c, T& moisture,
                     StateReading& reading) {
    const std::string& name = r_.NameOf(state.moisture[static_cast<size_t>(kind)]);
    const double db = ValueOf(db_c);
    const double value = ValueOf(moisture);
    const double pressure_pa = ValueOf(in_.barometer_pa);
    if (!(db >= kColdestC && db <= kHottestC)) {
      r_.Fault(absl::StrCat(state.side, "_db of ", ShortestText(db),
                            " degC is outside -100 to 200 degC, where the properties of "
                            "moist air are known"));
      return;
    }
    switch (reading.kind) {
      case HumidityReading::kWetBulb:
      case HumidityReading::kDewPoint: {
        if (value > db) {
          if (!(value - db <= r_.core.wet_bulb_slack_k)) {
            r_.Fault(absl::StrFormat(
                "%s of %s degC is above the dry bulb of %s degC by %s K, more than the "
                "%s K that the thermometers may differ by",
                name, ShortestText(value), ShortestText(db), ShortestText(value - db),
                ShortestText(r_.core.wet_bulb_slack_k)));
            return;
          }
          moisture = db_c;
          reading.clamped = true;
        }
        if (!(value >= kColdestC)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value),
                                " degC is below -100 degC, where the properties of moist "
                                "air are known"));
          return;
        }
        reading.phase = PhaseOf(state.phase, ValueOf(moisture));
        const double saturation =
            fluid::SaturationPressure<fluid::Si>(ValueOf(moisture), reading.phase);
        if (!(saturation < pressure_pa)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value),
                                " degC boils at a barometric pressure of ",
                                ShortestText(pressure_pa), " Pa"));
        } else if (reading.kind == HumidityReading::kWetBulb &&
                   !(fluid::HumidityRatioFromWetBulb<fluid::Si>(
                         db, ValueOf(moisture), pressure_pa, reading.phase) >= 0)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value),
                                " degC is lower than dry air of ", ShortestText(db),
                                " degC can bring about"));
        }
        return;
      }
      case HumidityReading::kRelativeHumidity:
        if (!(value >= 0 && value <= 1)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value), " is outside 0 to 1"));
          return;
        }
        if (!(value * fluid::SaturationPressure<fluid::Si>(db, fluid::Phase::kWater) <
              pressure_pa)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value), " at ",
                                ShortestText(db), " degC is more water than air"));
        }
        return;
      case HumidityReading::kHumidityRatio: {
        // As much as a dry bulb that is off by the slack could hold, and 1 % for what the
        // ideal-gas equations leave out.
        const double most =
            1.01 * HumidityRatioOf<fluid::Si>(
                       fluid::SaturationPressure<fluid::Si>(db + r_.core.wet_bulb_slack_k,
                                                            fluid::Phase::kWater),
                       pressure_pa);
        if (!(value >= 0) || (most > 0 && value > most)) {
          r_.Fault(absl::StrCat(name, " of ", ShortestText(value), " is outside 0 to ",
                                ShortestText(most), ", the most that air of ",
                                ShortestText(db), " degC can hold"));
        }
        return;
      }
    }
  }

  template <class Form>
  void Finish(AirAnswers<T>& a) {
    using Units = AirUnits<Form>;
    if (r_.steps != nullptr) Explain(a);
    WarnOfVelocities<Form>(a);
    r_.Put(OutputId::kAirMassFlow, a.dry_air_flow * Units::kMassFlowKgPerS);
    r_.Put(OutputId::kStandardAirFlow, a.standard_air_flow * Units::kVolumeFlowM3PerS);
    r_.Put(OutputId::kAirFlow, a.air_flow * Units::kVolumeFlowM3PerS);
    if (k_.flow == FlowReading::kNozzles) {
      r_.Put(OutputId::kNozzleThroatVelocity, a.throat_velocity * Units::kVelocityMPerS);
    }
    PutState<Form>(plan_.entering, a.entering, OutputId::kEnteringWetBulb);
    if (!pattern_.leaving_humidity_is_entering) {
      PutState<Form>(plan_.leaving, a.leaving, OutputId::kLeavingWetBulb);
    }
    PutCapacities<Form>(a);
  }

  template <class Form>
  void PutCapacities(const AirAnswers<T>& a) {
    using Units = AirUnits<Form>;
    const T total_w = a.net_total * Units::kHeatW;
    r_.sides.push_back({"the air side", total_w, true});
    if (k_.heating) {
      r_.Put(OutputId::kHeatingCapacity, total_w);
      if (pattern_.has_fan_power) {
        r_.Put(OutputId::kGrossHeatingCapacity, a.gross_total * Units::kHeatW);
      }
      return;
    }
    r_.Put(OutputId::kTotalCapacity, total_w);
    r_.Put(OutputId::kSensibleCapacity, a.net_sensible * Units::kHeatW);
    r_.Put(OutputId::kLatentCapacity, a.latent * Units::kHeatW);
    r_.Put(OutputId::kMoistureRemoval, a.moisture_removal * Units::kMassFlowKgPerS);
    if (pattern_.has_fan_power) {
      r_.Put(OutputId::kGrossTotalCapacity, a.gross_total * Units::kHeatW);
      r_.Put(OutputId::kGrossSensibleCapacity, a.gross_sensible * Units::kHeatW);
    }
    if (ValueOf(a.net_total) != 0) {
      r_.Put(OutputId::kSensibleHeatRatio, a.net_sensible / a.net_total);
    }
  }

  // What was not read of a state, from what was. `first` is the state's wet bulb.
  template <class Form>
  void PutState(const StateInputs& inputs, const AirState<T>& state, OutputId first) {
    const auto id = [&](HumidityReading kind) {
      return static_cast<OutputId>(static_cast<int>(first) + static_cast<int>(kind));
    };
    const auto wanted = [&](HumidityReading kind) {
      return !r_.Has(inputs.moisture[static_cast<size_t>(kind)]);
    };
    const T& w = state.humidity_ratio;
    if (wanted(HumidityReading::kHumidityRatio)) {
      r_.Put(id(HumidityReading::kHumidityRatio), w);
    }
    if (!(w > 0)) return;
    const T& db = state.temperature;
    const T pressure = AirUnits<Form>::Pressure(in_.barometer_pa);
    const auto celsius = [](const T& t) {
      return (t - AirUnits<Form>::Temperature(0.0)) / Form::kKelvin;
    };
    if (wanted(HumidityReading::kRelativeHumidity)) {
      r_.Put(id(HumidityReading::kRelativeHumidity),
             fluid::RelativeHumidity<Form>(db, w, pressure, fluid::Phase::kWater));
    }
    const bool may_freeze = inputs.phase != document::WaterPhase::kWater;
    if (wanted(HumidityReading::kDewPoint)) {
      T dew = fluid::DewPoint<Form>(w, pressure, fluid::Phase::kWater);
      if (may_freeze && dew <= Form::kTriplePoint) {
        dew = fluid::DewPoint<Form>(w, pressure, fluid::Phase::kIce);
      }
      if (std::isfinite(ValueOf(dew)))
        r_.Put(id(HumidityReading::kDewPoint), celsius(dew));
    }
    if (wanted(HumidityReading::kWetBulb)) {
      T wb = fluid::WetBulb<Form>(db, w, pressure, fluid::Phase::kWater);
      if (may_freeze && wb <= Form::kTriplePoint) {
        wb = fluid::WetBulb<Form>(db, w, pressure, fluid::Phase::kIce);
      }
      if (std::isfinite(ValueOf(wb))) r_.Put(id(HumidityReading::kWetBulb), celsius(wb));
    }
  }

  template <class Form>
  void WarnOfVelocities(const AirAnswers<T>& a) {
    if (k_.flow != FlowReading::kNozzles) return;
    const std::string_view unit = plan_.inch_pound ? "ft/min" : "m/s";
    for (int i = 0; i < k_.nozzle_sizes; ++i) {
      const double velocity = ValueOf(a.nozzles[i].velocity);
      if (velocity >= plan_.throat_velocity_low &&
          velocity <= plan_.throat_velocity_high) {
        continue;
      }
      r_.results.warnings.push_back(absl::StrFormat(
          "throat velocity of %.0f %s in the nozzle of %s %s is outside %s to %s %s "
          "(%s)",
          velocity, std::string(unit),
          ShortestText(k_.nozzles[i].diameter * (plan_.inch_pound ? 12 : 1000)),
          plan_.inch_pound ? "in" : "mm", ShortestText(plan_.throat_velocity_low),
          ShortestText(plan_.throat_velocity_high), std::string(unit),
          plan_.nozzle_method));
    }
  }

  void Explain(const AirAnswers<T>& a);

  Reducer<T>& r_;
  const AirPlan& plan_;
  const AirConstants& k_;
  AirPattern pattern_;
  AirReadings<T> in_;
  StateReading entering_;
  StateReading leaving_;
  bool nozzle_air_is_leaving_ = false;
};

template <>
void AirReduction<double>::Explain(const AirAnswers<double>& a) {
  ExplainAir({.plan = plan_,
              .pattern = pattern_,
              .entering = entering_,
              .leaving = leaving_,
              .barometer = r_.Has(r_.core.barometer)  ? "as read"
                           : r_.Has(r_.core.altitude) ? "from altitude"
                                                      : "",
              .nozzle_air_is_leaving = nozzle_air_is_leaving_},
             in_, a, *r_.steps);
}

// Steps are those of the values.
template <>
void AirReduction<number::Dual<kGradientWidth>>::Explain(
    const AirAnswers<number::Dual<kGradientWidth>>&) {}

}  // namespace

template <class T>
void ReduceAirSide(Reducer<T>& reducer) {
  AirReduction<T>(reducer).Run();
}
template void ReduceAirSide(Reducer<double>&);
template void ReduceAirSide(Reducer<number::Dual<kGradientWidth>>&);

}  // namespace ratebound::points
