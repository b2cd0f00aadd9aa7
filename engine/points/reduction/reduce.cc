#include "engine/points/reduction/reduce.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fluid/moist_air.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/reducer.h"

namespace ratebound::points {
namespace {

using number::ValueOf;
using GradientDual = number::Dual<kGradientWidth>;

template <class T>
void CheckReadings(Reducer<T>& r) {
  for (size_t i = 0; i < r.core.inputs.size(); ++i) {
    const auto& reading = r.readings.values[i];
    if (!reading.has_value()) continue;
    const absl::Status status =
        quantity::CheckPlausible(*r.core.quantities[i], ValueOf(*reading));
    if (!status.ok()) r.Fault(std::string(status.message()));
  }
}

// Read, or from altitude, or that of the standard atmosphere.
template <class T>
void FindBarometer(Reducer<T>& r) {
  if (!r.core.needs_barometer) return;
  if (r.Has(r.core.barometer)) {
    r.barometer_pa = r.Read(r.core.barometer);
  } else if (r.Has(r.core.altitude)) {
    r.barometer_pa = fluid::StandardPressure<fluid::Si>(r.Read(r.core.altitude));
  } else {
    r.barometer_pa = T(fluid::Si::kSeaLevelPressure);
  }
}

template <class T>
void FindPower(Reducer<T>& r) {
  if (r.Has(r.core.power)) {
    r.power_w = r.Read(r.core.power);
    return;
  }
  if (!r.Has(r.core.indoor_fan_power) || !r.Has(r.core.outdoor_section_power)) return;
  r.power_w = r.Read(r.core.indoor_fan_power) + r.Read(r.core.outdoor_section_power);
  r.Put(OutputId::kPowerInput, *r.power_w);
  r.Step(0, "power input", *r.power_w, "W", "indoor_fan_power + outdoor_section_power");
}

}  // namespace

template <class T>
absl::Status Reduce(const ReductionPlan& plan, const Readings<T>& readings,
                    Results<T>& results, StepRecorder* recorder) {
  const PlanCore& core = plan.core();
  results.values.assign(plan.outputs().size(), std::nullopt);
  results.warnings.clear();
  if (readings.values.size() != core.inputs.size()) {
    return absl::InvalidArgumentError(absl::StrCat(readings.values.size(),
                                                   " readings for a plan of ",
                                                   core.inputs.size(), " inputs"));
  }
  Reducer<T> reducer{core, readings, results, recorder};
  CheckReadings(reducer);
  RETURN_IF_ERROR(reducer.faults.ToStatus());
  FindBarometer(reducer);
  FindPower(reducer);
  if (core.air.has_value()) ReduceAirSide(reducer);
  ReduceLiquidSides(reducer);
  if (reducer.faults.empty()) CombineSides(reducer);
  if (reducer.faults.empty()) CorrectFansAndPumps(reducer);
  ReduceRefrigerant(reducer);
  return reducer.faults.ToStatus();
}

template absl::Status Reduce(const ReductionPlan&, const Readings<double>&,
                             Results<double>&, StepRecorder*);
template absl::Status Reduce(const ReductionPlan&, const Readings<GradientDual>&,
                             Results<GradientDual>&, StepRecorder*);

absl::Status ReduceWithGradients(const ReductionPlan& plan,
                                 const Readings<double>& readings,
                                 Results<double>& results,
                                 std::vector<double>& gradients) {
  RETURN_IF_ERROR(Reduce(plan, readings, results));
  const size_t inputs = plan.inputs().size();
  gradients.assign(plan.outputs().size() * inputs, 0.0);
  std::vector<size_t> present;
  for (size_t i = 0; i < inputs; ++i) {
    if (readings.values[i].has_value()) present.push_back(i);
  }
  Readings<GradientDual> duals(plan);
  Results<GradientDual> dual_results;
  for (size_t first = 0; first < present.size(); first += kGradientWidth) {
    const size_t last = std::min<size_t>(first + kGradientWidth, present.size());
    for (size_t i = 0; i < present.size(); ++i) {
      const double value = *readings.values[present[i]];
      duals.values[present[i]] =
          i >= first && i < last
              ? GradientDual::Variable(value, static_cast<int>(i - first))
              : GradientDual(value);
    }
    RETURN_IF_ERROR(Reduce(plan, duals, dual_results));
    for (size_t output = 0; output < dual_results.values.size(); ++output) {
      if (!dual_results.values[output].has_value()) continue;
      for (size_t i = first; i < last; ++i) {
        gradients[output * inputs + present[i]] =
            dual_results.values[output]->derivative[i - first];
      }
    }
  }
  return absl::OkStatus();
}

}  // namespace ratebound::points
