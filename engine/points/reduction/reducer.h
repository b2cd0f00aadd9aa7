// One point on its way from readings to results: what the parts of a reduction share.
// Inside of this folder.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCER_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCER_H_

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "engine/base/fault.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/reduce.h"

namespace ratebound::points {

// A side's capacity of the mode, with its name for the balance.
template <class T>
struct SideCapacity {
  std::string name;
  T capacity_w;
  bool air = false;
};

template <class T>
struct Reducer {
  const PlanCore& core;
  const Readings<T>& readings;
  Results<T>& results;
  StepRecorder* steps;
  base::FaultList faults = {};
  std::optional<T> barometer_pa = {};
  std::optional<T> power_w = {};
  std::vector<SideCapacity<T>> sides = {};

  bool Has(int input) const {
    return input != kNowhere && readings.values[static_cast<size_t>(input)].has_value();
  }
  const T& Read(int input) const { return *readings.values[static_cast<size_t>(input)]; }
  const std::string& NameOf(int input) const {
    return core.inputs[static_cast<size_t>(input)];
  }

  bool Wants(OutputId id) const { return core.index_of(id) != kNowhere; }
  void Put(OutputId id, const T& value_si) {
    const int index = core.index_of(id);
    if (index != kNowhere) results.values[static_cast<size_t>(index)] = value_si;
  }
  std::optional<T> Result(OutputId id) const {
    const int index = core.index_of(id);
    return index == kNowhere ? std::nullopt : results.values[static_cast<size_t>(index)];
  }

  void Fault(std::string message, std::string remedy = "") {
    faults.Add({.message = std::move(message), .remedy = std::move(remedy)});
  }
  // False, with a fault, where it was not read.
  bool Need(int input, std::string_view what_for) {
    if (Has(input)) return true;
    Fault(NameOf(input) + " was not read, which " + std::string(what_for) + " asks for");
    return false;
  }
  void Step(int depth, std::string_view label, const T& value, std::string_view unit,
            std::string how, const document::Citation& citation = {}) {
    if (steps == nullptr) return;
    steps->Add(depth, label, number::ValueOf(value), unit, std::move(how), citation);
  }
};

// Checks, computes and records the air side, and adds it to `sides`.
template <class T>
void ReduceAirSide(Reducer<T>& reducer);
template <class T>
void ReduceLiquidSides(Reducer<T>& reducer);
// Capacity on the manifest's basis, and the balance of two sides.
template <class T>
void CombineSides(Reducer<T>& reducer);
// Power and capacity for fans and pumps.
template <class T>
void CorrectFansAndPumps(Reducer<T>& reducer);
// Saturation, superheat, subcooling.
template <class T>
void ReduceRefrigerant(Reducer<T>& reducer);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCER_H_
