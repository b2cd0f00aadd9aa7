// Two sides of one test: the capacity on the manifest's basis, and how far they agree;
// then what fans and pumps add to or take from it.
//
// Sources: the methods' files; ISO 13256-1:1998 and EN 14511-3 for the signs of the
// corrections: a fan or pump inside the unit that also works against ducts or pipes
// outside has that part taken off its power, and its heat off the capacity, which it had
// warmed; one that is absent is added.
#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/points/reduction/reducer.h"

namespace ratebound::points {
namespace {

using base::ShortestText;
using document::CapacityBasis;
using number::ValueOf;

// Sensible and latent capacity keep their part of the total.
template <class T>
void ScaleParts(Reducer<T>& r, const T& air_w, const T& capacity_w) {
  if (!(ValueOf(air_w) != 0)) return;
  const T ratio = capacity_w / air_w;
  for (const OutputId id : {OutputId::kSensibleCapacity, OutputId::kLatentCapacity}) {
    if (const auto part = r.Result(id); part.has_value()) r.Put(id, *part * ratio);
  }
  // The fan's heat stays what it is.
  for (const OutputId id :
       {OutputId::kGrossTotalCapacity, OutputId::kGrossHeatingCapacity}) {
    if (const auto gross = r.Result(id); gross.has_value()) {
      r.Put(id, *gross + (capacity_w - air_w));
    }
  }
  const auto sensible = r.Result(OutputId::kSensibleCapacity);
  const auto gross = r.Result(OutputId::kGrossSensibleCapacity);
  if (sensible.has_value() && gross.has_value()) {
    r.Put(OutputId::kGrossSensibleCapacity, *gross + (*sensible - *sensible / ratio));
  }
  r.Step(1, "sensible and latent capacity", ratio, "1",
         "both times this, so that they keep their part of the capacity");
}

// Hydraulic power and what it takes to bring it about, in W.
template <class T>
struct Moving {
  T hydraulic_w;
  T power_w;
};

template <class T>
class Correction {
 public:
  Correction(Reducer<T>& reducer, const CorrectionPlan& plan)
      : r_(reducer), plan_(plan) {}

  void Run() {
    const auto flow = Find(plan_.flow);
    const auto pressure = Find(plan_.pressure);
    if (!flow.has_value() || !pressure.has_value()) return;
    if (ValueOf(*pressure) < 0) {
      r_.Fault(absl::StrCat(plan_.pressure.quantity, " of ",
                            ShortestText(ValueOf(*pressure)),
                            " Pa: a correction asks for one of 0 or above"));
      return;
    }
    if (!r_.power_w.has_value()) {
      if (!power_missed_) {
        r_.Fault(
            "power_input was not read, which the correction for fans and pumps asks for",
            "indoor_fan_power with outdoor_section_power serves, too");
      }
      power_missed_ = true;
      return;
    }
    const std::string part = plan_.is_fan() ? "fan" : "pump";
    flow_ = *flow / plan_.flow_unit_si;
    pressure_ = *pressure / plan_.pressure_unit_pa;
    r_.Step(1, absl::StrCat(part, " correction: flow"), flow_, plan_.flow_unit,
            plan_.flow.quantity);
    r_.Step(1, absl::StrCat(part, " correction: pressure"), pressure_,
            plan_.pressure_unit, plan_.pressure.quantity);
    const Moving<T> moving = MovingPower(part);
    Apply(part, moving);
  }

 private:
  std::optional<T> Find(const Source& source) {
    if (source.output != kNowhere) {
      const auto& value = r_.results.values[static_cast<size_t>(source.output)];
      if (value.has_value()) return value;
      r_.Fault(source.quantity +
               " was not computed, which the correction for fans and pumps asks for");
      return std::nullopt;
    }
    if (!r_.Need(source.input, "the correction for fans and pumps")) return std::nullopt;
    return r_.Read(source.input);
  }

  Moving<T> MovingPower(const std::string& part) {
    const std::string label = absl::StrCat(part, " correction: power");
    switch (plan_.form) {
      case CorrectionForm::kDivisor: {
        const T power = (flow_ * plan_.flow_factor.value) *
                        (pressure_ * plan_.pressure_factor.value) / plan_.divisor.value;
        r_.Step(
            1, label, power, "W",
            absl::StrCat("(flow x ", ShortestText(plan_.flow_factor.value),
                         ") x (pressure x ", ShortestText(plan_.pressure_factor.value),
                         ") / ", ShortestText(plan_.divisor.value)),
            plan_.divisor.citation);
        return {power, power};
      }
      case CorrectionForm::kEfficiency: {
        const T hydraulic = flow_ * pressure_;
        const T power = hydraulic / plan_.divisor.value;
        r_.Step(1, label, power, "W",
                absl::StrCat("flow x pressure / ", ShortestText(plan_.divisor.value)),
                plan_.divisor.citation);
        return {hydraulic, power};
      }
      case CorrectionForm::kHydraulicPower:
        break;
    }
    const T hydraulic = flow_ * pressure_;
    r_.Step(1, absl::StrCat(part, " correction: hydraulic power"), hydraulic, "W",
            "flow x pressure");
    if (!(ValueOf(hydraulic) > 0)) return {T(0.0), T(0.0)};
    using number::Log;
    using number::Pow;
    const bool small = ValueOf(hydraulic) <= plan_.limit.value;
    const T efficiency =
        small ? plan_.small_factor.value * Pow(hydraulic, plan_.small_exponent.value)
              : plan_.large_factor.value * Log(hydraulic) - plan_.large_offset.value;
    if (!(ValueOf(efficiency) > 0 && ValueOf(efficiency) <= 1)) {
      r_.Fault(absl::StrCat("method '", plan_.method, "' gives an efficiency of ",
                            ShortestText(ValueOf(efficiency)), " at ",
                            ShortestText(ValueOf(hydraulic)), " W"));
      return {T(0.0), T(0.0)};
    }
    r_.Step(1, absl::StrCat(part, " correction: efficiency"), efficiency, "1",
            small ? absl::StrCat(ShortestText(plan_.small_factor.value),
                                 " x hydraulic power^",
                                 ShortestText(plan_.small_exponent.value), ", up to ",
                                 ShortestText(plan_.limit.value), " W")
                  : absl::StrCat(ShortestText(plan_.large_factor.value),
                                 " ln(hydraulic power) - ",
                                 ShortestText(plan_.large_offset.value), ", above ",
                                 ShortestText(plan_.limit.value), " W"),
            small ? plan_.small_factor.citation : plan_.large_factor.citation);
    const T power = hydraulic / efficiency;
    r_.Step(1, label, power, "W", "hydraulic power / efficiency",
            plan_.small_factor.citation);
    return {hydraulic, power};
  }

  T CapacityPower(const Moving<T>& moving) const {
    switch (plan_.term) {
      case CapacityTerm::kWhole:
        return moving.power_w;
      case CapacityTerm::kLoss:
        return moving.power_w - moving.hydraulic_w;
      case CapacityTerm::kShare:
        return moving.power_w * plan_.share.value;
      case CapacityTerm::kNone:
        break;
    }
    return T(0.0);
  }

  void Apply(const std::string& part, const Moving<T>& moving) {
    const bool inside = plan_.is_inside();
    const T before_w = *r_.power_w;
    r_.power_w = inside ? before_w - moving.power_w : before_w + moving.power_w;
    r_.Put(OutputId::kPowerInput, *r_.power_w);
    r_.Step(0, "power input", *r_.power_w, "W",
            absl::StrCat("less or more by the ", part, ": ",
                         inside ? "power input - its power" : "power input + its power"),
            plan_.term_rule);
    if (plan_.term == CapacityTerm::kNone) return;
    if (!plan_.is_fan() && !plan_.on_capacity_side) return;
    // The heat of what is taken off had warmed the air or liquid; that of what is added
    // would.
    const T heat_w = CapacityPower(moving) * plan_.power_heat_w;
    const bool more = inside != r_.core.heating;
    const T change_w = more ? heat_w : -heat_w;
    const OutputId capacity =
        r_.core.heating ? OutputId::kHeatingCapacity : OutputId::kTotalCapacity;
    for (const OutputId id : {capacity, OutputId::kSensibleCapacity}) {
      const auto old = r_.Result(id);
      if (!old.has_value()) continue;
      r_.Put(id, *old + change_w);
      r_.Step(0, kOutputNames[static_cast<size_t>(id)], *old + change_w, "W",
              absl::StrCat("as measured ", more ? "+ " : "- ",
                           ShortestText(ValueOf(heat_w)), " W, heat of the ", part),
              plan_.term_rule);
    }
  }

  Reducer<T>& r_;
  const CorrectionPlan& plan_;
  T flow_ = T(0.0);
  T pressure_ = T(0.0);
  bool power_missed_ = false;
};

}  // namespace

template <class T>
void CombineSides(Reducer<T>& r) {
  if (r.sides.empty()) return;
  const OutputId capacity =
      r.core.heating ? OutputId::kHeatingCapacity : OutputId::kTotalCapacity;
  const SideCapacity<T>& first = r.sides.front();
  if (r.sides.size() == 1) {
    if (r.core.basis == CapacityBasis::kMean) {
      r.Fault("the capacity is the mean of two sides, and only one could be computed",
              "power_input (or indoor_fan_power with outdoor_section_power) serves");
      return;
    }
    if (r.core.basis == CapacityBasis::kLiquidSide && first.air) {
      r.Fault("the capacity is that of the liquid side, which could not be computed",
              "power_input (or indoor_fan_power with outdoor_section_power) serves");
      return;
    }
    r.Put(capacity, first.capacity_w);
    return;
  }
  const SideCapacity<T>& second = r.sides[1];
  if (ValueOf(first.capacity_w) != 0) {
    const T balance = (second.capacity_w - first.capacity_w) / first.capacity_w;
    r.Put(OutputId::kHeatBalance, balance);
    r.Step(0, "heat balance", balance, "1",
           absl::StrCat("(capacity by ", second.name, " - capacity by ", first.name,
                        ") / the latter"),
           r.core.balance_citation);
  }
  const SideCapacity<T>& liquid = first.air ? second : first;
  T capacity_w = first.capacity_w;
  std::string how = "by " + first.name;
  if (r.core.basis == CapacityBasis::kLiquidSide) {
    capacity_w = liquid.capacity_w;
    how = "by " + liquid.name;
  } else if (r.core.basis == CapacityBasis::kMean) {
    capacity_w = 0.5 * (first.capacity_w + second.capacity_w);
    how = absl::StrCat("mean of ", first.name, " and ", second.name);
  }
  r.Put(capacity, capacity_w);
  r.Step(0, kOutputNames[static_cast<size_t>(capacity)], capacity_w, "W",
         how + ", as the manifest's capacity_basis says");
  if (first.air && r.core.basis != CapacityBasis::kAirSide) {
    ScaleParts(r, first.capacity_w, capacity_w);
  }
}

template <class T>
void CorrectFansAndPumps(Reducer<T>& r) {
  for (const CorrectionPlan& plan : r.core.corrections) Correction<T>(r, plan).Run();
  const auto total = r.Result(OutputId::kTotalCapacity);
  const auto sensible = r.Result(OutputId::kSensibleCapacity);
  if (!r.core.corrections.empty() && total.has_value() && sensible.has_value() &&
      ValueOf(*total) != 0) {
    r.Put(OutputId::kSensibleHeatRatio, *sensible / *total);
  }
}

template void CombineSides(Reducer<double>&);
template void CombineSides(Reducer<number::Dual<kGradientWidth>>&);
template void CorrectFansAndPumps(Reducer<double>&);
template void CorrectFansAndPumps(Reducer<number::Dual<kGradientWidth>>&);

}  // namespace ratebound::points
