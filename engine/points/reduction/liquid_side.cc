// Heat that a liquid takes up or gives off.
//
// Source: the first law for a stream; ASHRAE Standard 37-2009 7.6 and EN 14511-3 for the
// choice of forms, from memory, as the method files say.
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/fluid/liquid.h"
#include "engine/points/reduction/reducer.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using base::Absl;
using base::ShortestText;
using document::Citation;
using document::LiquidRole;
using number::ValueOf;

template <class T>
class LiquidReduction {
 public:
  LiquidReduction(Reducer<T>& reducer, const LiquidPlan& plan)
      : r_(reducer), plan_(plan) {}

  void Run() {
    if (!Gather()) return;
    const T heat_taken_up_w =
        plan_.form == HeatForm::kFactor ? ByFactor() : ByProperties();
    Assign(heat_taken_up_w);
  }

 private:
  bool Gather() {
    const size_t before = static_cast<size_t>(r_.faults.total());
    if (r_.Need(plan_.flow, "the liquid side")) flow_ = r_.Read(plan_.flow);
    if (plan_.difference != kNowhere) {
      const bool entering = r_.Has(plan_.entering);
      const bool leaving = r_.Has(plan_.leaving);
      if (!entering && !leaving) r_.Need(plan_.entering, "the liquid side");
      if (r_.Need(plan_.difference, "the liquid side")) {
        difference_ = r_.Read(plan_.difference);
        if (entering) {
          entering_ = r_.Read(plan_.entering);
          leaving_ = entering_ + difference_;
        } else if (leaving) {
          leaving_ = r_.Read(plan_.leaving);
          entering_ = leaving_ - difference_;
        }
      }
    } else {
      const bool entering = r_.Need(plan_.entering, "the liquid side");
      const bool leaving = r_.Need(plan_.leaving, "the liquid side");
      if (entering) entering_ = r_.Read(plan_.entering);
      if (leaving) leaving_ = r_.Read(plan_.leaving);
      difference_ = leaving_ - entering_;
    }
    liquid_.kind = plan_.liquid;
    if (plan_.liquid != fluid::LiquidKind::kWater && plan_.form != HeatForm::kFactor) {
      if (r_.Has(plan_.concentration_input)) {
        liquid_.concentration_fraction = r_.Read(plan_.concentration_input);
      } else if (plan_.concentration.has_value()) {
        liquid_.concentration_fraction = T(*plan_.concentration);
      } else {
        r_.Fault("fluid_concentration was not read, which the liquid side asks for",
                 "write concentration_fraction in the manifest where it is not measured");
      }
    }
    if (static_cast<size_t>(r_.faults.total()) != before) return false;
    if (plan_.form != HeatForm::kFactor) {
      const fluid::Liquid liquid{plan_.liquid, ValueOf(liquid_.concentration_fraction)};
      for (const auto& [input, t] : {std::pair(plan_.entering, ValueOf(entering_)),
                                     std::pair(plan_.leaving, ValueOf(leaving_))}) {
        const absl::Status status = fluid::CheckLiquid(liquid, t, plan_.pressure_pa);
        if (!status.ok()) {
          r_.Fault(absl::StrCat(r_.NameOf(input), ": ", std::string(status.message())));
        }
      }
    }
    return static_cast<size_t>(r_.faults.total()) == before;
  }

  void Readings(std::string_view temperature, std::string_view flow_unit,
                double (*to)(double), double flow) {
    const std::string name = Name();
    r_.Step(1, absl::StrCat(name, ": entering"), T(to(ValueOf(entering_))), temperature,
            r_.Has(plan_.entering) ? r_.NameOf(plan_.entering) + " as read"
                                   : "leaving less the measured difference");
    r_.Step(1, absl::StrCat(name, ": leaving"), T(to(ValueOf(leaving_))), temperature,
            plan_.difference == kNowhere || !r_.Has(plan_.entering)
                ? r_.NameOf(plan_.leaving) + " as read"
                : "entering + the measured difference");
    r_.Step(1, absl::StrCat(name, ": flow"), T(flow), flow_unit,
            r_.NameOf(plan_.flow) + " as read");
  }

  std::string Name() const { return std::string(fluid::LiquidKindName(plan_.liquid)); }

  T ByFactor() {
    const bool inch_pound = plan_.inch_pound;
    const double flow_unit =
        inch_pound ? quantity::ToSi(1, *quantity::FindUnit("gpm")) : 1;
    const double degrees = inch_pound ? 1.8 : 1;
    const T flow = flow_ / flow_unit;
    const T heat = plan_.flow_factor.value * flow * (difference_ * degrees);
    if (r_.steps != nullptr) {
      Readings(
          inch_pound ? "degF" : "degC", inch_pound ? "gpm" : "m3/s",
          inch_pound ? +[](double c) { return c * 1.8 + 32; }
                     : +[](double c) { return c; },
          ValueOf(flow));
      r_.Step(1, absl::StrCat(Name(), ": heat taken up"), heat,
              inch_pound ? "Btu/h" : "W",
              absl::StrCat(ShortestText(plan_.flow_factor.value),
                           " x flow x (leaving - entering)"),
              plan_.flow_factor.citation);
    }
    return heat * plan_.heat_w;
  }

  // Properties are in SI, whatever the units of the method.
  T ByProperties() {
    const T pressure(plan_.pressure_pa);
    T mass_flow = flow_;
    if (r_.steps != nullptr) {
      Readings(
          "degC", plan_.mass_flow ? "kg/s" : "m3/s", +[](double c) { return c; },
          ValueOf(flow_));
    }
    const std::string name = Name();
    if (!plan_.mass_flow) {
      const T& meter = plan_.flow_at_leaving ? leaving_ : entering_;
      const T density = fluid::Density(liquid_, meter, pressure);
      mass_flow = flow_ * density;
      r_.Step(1, absl::StrCat(name, ": density at the flow meter"), density, "kg/m3",
              plan_.flow_at_leaving ? "at the leaving temperature"
                                    : "at the entering temperature",
              PropertySource());
      r_.Step(1, absl::StrCat(name, ": mass flow"), mass_flow, "kg/s", "flow x density");
    }
    T heat;
    if (plan_.form == HeatForm::kEnthalpyDifference) {
      const T rise =
          fluid::EnthalpyDifference(liquid_, entering_, pressure, leaving_, pressure);
      heat = mass_flow * rise;
      r_.Step(1, absl::StrCat(name, ": rise of enthalpy"), rise, "J/kg",
              "leaving - entering, at one pressure", PropertySource());
      r_.Step(1, absl::StrCat(name, ": heat taken up"), heat, "W",
              "mass flow x rise of enthalpy", plan_.form_rule);
    } else {
      const T specific_heat =
          fluid::SpecificHeat(liquid_, 0.5 * (entering_ + leaving_), pressure);
      heat = mass_flow * specific_heat * difference_;
      r_.Step(1, absl::StrCat(name, ": specific heat"), specific_heat, "J/kg-K",
              "at the mean temperature", PropertySource());
      r_.Step(1, absl::StrCat(name, ": heat taken up"), heat, "W",
              "mass flow x specific heat x (leaving - entering)", plan_.form_rule);
    }
    return heat;
  }

  Citation PropertySource() const {
    return plan_.liquid == fluid::LiquidKind::kWater
               ? Citation{"IAPWS R7-97(2012), region 1", document::Basis::kSecondaryText}
               : Citation{"Melinder 2010, properties of secondary working fluids",
                          document::Basis::kSecondaryText};
  }

  void Assign(const T& taken_up_w) {
    const bool heating = r_.core.heating;
    const std::string name = absl::StrCat("the ", Name(), " side");
    switch (plan_.role) {
      case LiquidRole::kCapacity:
        r_.sides.push_back({name, heating ? taken_up_w : -taken_up_w, false});
        break;
      case LiquidRole::kHeatRejection:
        r_.Put(OutputId::kHeatRejection, taken_up_w);
        r_.Step(0, "heat rejection", taken_up_w, "W", "heat taken up by " + name);
        if (!heating) Close(name, taken_up_w, true);
        break;
      case LiquidRole::kHeatAbsorbed: {
        const T absorbed_w = -taken_up_w;
        r_.Put(OutputId::kHeatAbsorbed, absorbed_w);
        r_.Step(0, "heat absorbed", absorbed_w, "W", "heat given off by " + name);
        if (heating) Close(name, absorbed_w, false);
        break;
      }
    }
  }

  // Capacity of a cooling machine = rejection - power; of a heating one = absorbed +
  // power.
  void Close(const std::string& name, const T& heat_w, bool rejected) {
    if (!r_.power_w.has_value()) return;
    const T power_w = *r_.power_w * plan_.power_heat_w;
    const T capacity_w = rejected ? heat_w - power_w : heat_w + power_w;
    r_.Step(0, absl::StrCat("capacity by ", name), capacity_w, "W",
            rejected ? "heat rejection - power input" : "heat absorbed + power input",
            plan_.form_rule);
    r_.sides.push_back({name, capacity_w, false});
  }

  Reducer<T>& r_;
  const LiquidPlan& plan_;
  T entering_ = T(0.0);
  T leaving_ = T(0.0);
  T difference_ = T(0.0);
  T flow_ = T(0.0);
  fluid::BasicLiquid<T> liquid_{fluid::LiquidKind::kWater, T(0.0)};
};

}  // namespace

template <class T>
void ReduceLiquidSides(Reducer<T>& reducer) {
  for (const LiquidPlan& plan : reducer.core.liquids) {
    LiquidReduction<T>(reducer, plan).Run();
  }
}
template void ReduceLiquidSides(Reducer<double>&);
template void ReduceLiquidSides(Reducer<number::Dual<kGradientWidth>>&);

}  // namespace ratebound::points
