// Resolves the names of a manifest's reduction to places and numbers, part by part.
// Inside of ReductionPlan::Create; plan.cc, plan_air.cc and plan_streams.cc hold its
// parts.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_BUILDER_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_BUILDER_H_

#include <algorithm>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/reduce.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {

// The SI value of one of a unit, of a difference where it has a zero of its own.
inline double UnitSi(std::string_view unit) {
  const auto found = quantity::FindUnit(unit);
  return found.ok() ? quantity::DifferenceToSi(1, *found) : 1;
}

class PlanBuilder {
 public:
  PlanBuilder(const document::Mode& mode,
              std::span<const document::MeasurementMethod> methods,
              const ReductionOptions& options)
      : mode_(mode), methods_(methods) {
    core_.mode = mode.id;
    core_.heating = mode.kind == document::ModeKind::kHeating;
    core_.wet_bulb_slack_k = options.wet_bulb_slack_k;
    core_.output_index.fill(kNowhere);
  }

  absl::Status Build();

  PlanCore TakeCore() { return std::move(core_); }
  std::vector<std::string> Outputs() const {
    std::vector<std::string> names;
    for (size_t i = 0; i < kOutputNames.size(); ++i) {
      if (core_.output_index[i] != kNowhere) names.emplace_back(kOutputNames[i]);
    }
    return names;
  }
  std::vector<std::string> TakeUnconfirmed() { return std::move(unconfirmed_); }

 private:
  void Fault(std::string field, std::string message, std::string remedy = "") {
    faults_.Add(
        {.field = absl::StrCat("mode '", mode_.id, "'", field.empty() ? "" : ": ", field),
         .message = std::move(message),
         .remedy = std::move(remedy)});
  }

  int Input(std::string_view name);

  // Numbered in the order of OutputId once all are known.
  void Output(OutputId id) { core_.output_index[static_cast<size_t>(id)] = 0; }
  bool HasOutput(OutputId id) const { return core_.index_of(id) != kNowhere; }

  // An input whose name the manifest gives. kNowhere after a fault.
  int NamedInput(const std::string& field, const std::string& name,
                 std::initializer_list<quantity::Dimension> dimensions) {
    if (!CheckQuantity(field, name, dimensions)) return kNowhere;
    return Input(name);
  }
  bool CheckQuantity(const std::string& field, const std::string& name,
                     std::initializer_list<quantity::Dimension> dimensions);

  void CheckMethodInputs(const document::Reduction& reduction);

  const document::MeasurementMethod* FindMethod(const std::string& field,
                                                const std::string& id,
                                                document::MethodKind kind);

  MethodReader Reader(const document::MeasurementMethod& method) {
    return MethodReader(method, mode_.reduction->inputs, faults_);
  }
  void Done(const MethodReader& reader) {
    for (const std::string& line : reader.unconfirmed()) {
      if (std::find(unconfirmed_.begin(), unconfirmed_.end(), line) ==
          unconfirmed_.end()) {
        unconfirmed_.push_back(line);
      }
    }
  }

  // The narrowest of the methods'.
  void AddBalanceLimit(MethodReader& reader);

  StateInputs State(const std::string& side, document::WaterPhase phase) {
    StateInputs state{.side = side, .phase = phase};
    state.db = Input(side + "_db");
    state.moisture = {Input(side + "_wb"), Input(side + "_dew_point"),
                      Input(side + "_relative_humidity"),
                      Input(side + "_humidity_ratio")};
    return state;
  }

  void AddAirSide(const document::AirSide& side);

  void AddFlow(const document::AirSide& side, AirPlan& air);

  void AddNozzles(const document::AirSide& side, AirPlan& air, bool fixed, bool reynolds,
                  double fixed_from);

  void AddLiquidSide(const document::LiquidSide& side, const std::string& field);

  void AddPower() {
    core_.power = Input("power_input");
    core_.indoor_fan_power = Input("indoor_fan_power");
    core_.outdoor_section_power = Input("outdoor_section_power");
    Output(OutputId::kPowerInput);
  }

  void AddCapacityOutputs(const document::Reduction& reduction);

  Source SourceOf(const std::string& field, const std::string& name,
                  std::initializer_list<quantity::Dimension> dimensions);

  void AddCorrection(const document::FanPumpCorrection& given, const std::string& field);

  void AddSaturation(const document::SaturationTable& table);

  void AddRefrigerant();

 public:
  void NumberOutputs();

 private:
  const document::Mode& mode_;
  std::span<const document::MeasurementMethod> methods_;
  PlanCore core_;
  base::FaultList faults_;
  std::vector<std::string> unconfirmed_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_BUILDER_H_
