#include "engine/points/reduction/method_names.h"

#include <algorithm>
#include <initializer_list>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

using base::Absl;
using base::ShortestText;
using document::MeasurementMethod;
using document::MethodKind;

// When a number is asked for: always (no rule), or where a rule has this choice.
struct KnownNumber {
  std::string_view name;
  std::string_view inch_pound_unit;
  std::string_view si_unit;
  bool optional = false;
  std::string_view rule = {};
  std::string_view choice = {};
};

struct KnownRule {
  std::string_view name;
  std::vector<std::string> choices;
  bool inch_pound_only = false;
};

struct Known {
  std::vector<KnownNumber> numbers;
  std::vector<KnownRule> rules;
};

constexpr KnownNumber kPowerHeat = {.name = "power_heat",
                                    .inch_pound_unit = "Btu/Wh",
                                    .rule = "unit_system",
                                    .choice = "inch_pound"};
constexpr KnownNumber kBalanceLimit = {
    .name = "balance_limit", .inch_pound_unit = "%", .si_unit = "%", .optional = true};

Known KnownOf(MethodKind kind) {
  const std::vector<std::string> specific_heats = {
      "own_humidity", "mean_humidity", "leaving_humidity", "entering_humidity"};
  const std::vector<std::string> capacity_terms = {"whole", "loss", "share", "none"};
  const KnownRule unit_system = {"unit_system", {"inch_pound", "si"}};
  const KnownRule inch_of_water = {"inch_of_water", {"in_wg_4c", "in_wg_60f"}, true};
  switch (kind) {
    case MethodKind::kAirEnthalpy:
      return {{{"dry_air_specific_heat", "Btu/lb-degF", "J/kg-K"},
               {"water_vapour_specific_heat", "Btu/lb-degF", "J/kg-K"},
               {"latent_heat", "Btu/lb", "J/kg"},
               {"standard_air_density", "lb/ft3", "kg/m3"},
               kPowerHeat,
               kBalanceLimit},
              {unit_system,
               {"sensible_specific_heat", specific_heats},
               {"heating_specific_heat", specific_heats},
               {"standard_air", {"mixture", "dry_air"}}}};
    case MethodKind::kNozzleAirFlow: {
      constexpr std::string_view kRule = "nozzle_coefficient";
      return {{{"flow_constant", "", ""},
               {"throat_velocity_low", "ft/min", "m/s"},
               {"throat_velocity_high", "ft/min", "m/s"},
               {"coefficient_constant", "", "", false, kRule, "reynolds"},
               {"coefficient_root_term", "", "", false, kRule, "reynolds"},
               {"coefficient_inverse_term", "", "", false, kRule, "reynolds"},
               {"viscosity_at_zero", "", "", false, kRule, "reynolds"},
               {"viscosity_slope", "", "", false, kRule, "reynolds"},
               {"fixed_coefficient", "", "", false, kRule, "fixed"},
               {"fixed_from_diameter", "in", "mm", false, kRule, "fixed"}},
              {unit_system, inch_of_water, {kRule, {"reynolds", "fixed"}}}};
    }
    case MethodKind::kLiquidHeat:
      return {{{"flow_factor", "", "", false, "heat_form", "factor"},
               kPowerHeat,
               kBalanceLimit},
              {unit_system,
               {"heat_form", {"enthalpy_difference", "mean_specific_heat", "factor"}}}};
    case MethodKind::kFanPumpCorrection:
      return {{{"fan_flow_factor", "", "", false, "fan_form", "divisor"},
               {"fan_pressure_factor", "", "", false, "fan_form", "divisor"},
               {"fan_divisor", "", "", false, "fan_form", "divisor"},
               {"fan_efficiency", "", "", false, "fan_form", "efficiency"},
               {"pump_flow_factor", "", "", false, "pump_form", "divisor"},
               {"pump_pressure_factor", "", "", false, "pump_form", "divisor"},
               {"pump_divisor", "", "", false, "pump_form", "divisor"},
               {"pump_efficiency", "", "", false, "pump_form", "efficiency"},
               {"small_pump_factor", "", "", false, "pump_form", "hydraulic_power"},
               {"small_pump_exponent", "", "", false, "pump_form", "hydraulic_power"},
               {"large_pump_factor", "", "", false, "pump_form", "hydraulic_power"},
               {"large_pump_offset", "", "", false, "pump_form", "hydraulic_power"},
               {"pump_power_limit", "W", "W", false, "pump_form", "hydraulic_power"},
               {"fan_capacity_share", "", "", false, "fan_capacity_term", "share"},
               {"pump_capacity_share", "", "", false, "pump_capacity_term", "share"},
               kPowerHeat},
              {unit_system,
               inch_of_water,
               {"fan_form", {"divisor", "efficiency"}},
               {"pump_form", {"divisor", "efficiency", "hydraulic_power"}},
               {"fan_capacity_term", capacity_terms},
               {"pump_capacity_term", capacity_terms}}};
    case MethodKind::kSteadiness:
      return {{{"recording_time", "min", "min", true},
               {"equilibrium_time", "min", "min", true},
               {"greatest_interval", "s", "s", true}},
              {}};
  }
  return {};
}

class NameCheck {
 public:
  explicit NameCheck(const MeasurementMethod& method)
      : method_(method), known_(KnownOf(method.kind)) {}

  absl::Status Run() {
    CheckRules();
    CheckNumbers();
    return faults_.ToStatus();
  }

 private:
  std::string ChoiceOf(std::string_view rule) const {
    for (const document::MethodRule& given : method_.rules) {
      if (given.name == rule) return given.choice.text;
    }
    return "";
  }
  bool inch_pound() const { return ChoiceOf("unit_system") == "inch_pound"; }

  void Fault(std::string message, std::string remedy = "") {
    faults_.Add({.field = absl::StrCat("method '", method_.id, "'"),
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }
  template <class Items>
  std::string NamesOf(const Items& items) const {
    std::vector<std::string> names;
    for (const auto& item : items) names.emplace_back(item.name);
    return absl::StrJoin(names, ", ");
  }
  template <class Items>
  std::string UnknownRemedy(std::string_view name, const Items& items) const {
    std::vector<std::string> names;
    for (const auto& item : items) names.emplace_back(item.name);
    const std::string nearest = base::NearestName(name, names);
    if (!nearest.empty()) return absl::StrCat("did you mean '", nearest, "'?");
    return absl::StrCat(Absl(MethodKindName(method_.kind)), " knows ",
                        names.empty() ? "none" : absl::StrJoin(names, ", "));
  }

  void CheckRules() {
    std::vector<std::string> seen;
    for (const document::MethodRule& given : method_.rules) {
      const auto rule =
          std::find_if(known_.rules.begin(), known_.rules.end(),
                       [&](const KnownRule& k) { return k.name == given.name; });
      if (rule == known_.rules.end()) {
        Fault(absl::StrCat("unknown rule '", base::Printable(given.name), "'"),
              UnknownRemedy(given.name, known_.rules));
        continue;
      }
      if (std::find(seen.begin(), seen.end(), given.name) != seen.end()) {
        Fault(absl::StrCat("rule '", given.name, "' stands twice"));
      }
      seen.push_back(given.name);
      if (std::find(rule->choices.begin(), rule->choices.end(), given.choice.text) ==
          rule->choices.end()) {
        Fault(absl::StrCat("rule '", given.name, "' has no choice '",
                           base::Printable(given.choice.text), "'"),
              absl::StrCat("write one of ", absl::StrJoin(rule->choices, ", ")));
      }
    }
    for (const KnownRule& rule : known_.rules) {
      if (rule.inch_pound_only && !inch_pound()) continue;
      if (std::find(seen.begin(), seen.end(), rule.name) == seen.end()) {
        Fault(absl::StrCat("rule '", Absl(rule.name), "' is missing"),
              absl::StrCat("write one of ", absl::StrJoin(rule.choices, ", ")));
      }
    }
  }

  const KnownNumber* FindKnown(std::string_view name) {
    for (const KnownNumber& known : known_.numbers) {
      if (known.name == name) return &known;
    }
    Fault(absl::StrCat("unknown number '", base::Printable(name), "'"),
          UnknownRemedy(name, known_.numbers));
    return nullptr;
  }

  void CheckNumber(std::string_view name, std::string_view unit,
                   std::vector<std::string>& seen) {
    const KnownNumber* const known = FindKnown(name);
    if (known == nullptr) return;
    if (std::find(seen.begin(), seen.end(), name) != seen.end()) {
      Fault(absl::StrCat("number '", Absl(name), "' stands twice"));
    }
    seen.emplace_back(name);
    const std::string_view wanted =
        method_.kind == MethodKind::kSteadiness || !inch_pound() ? known->si_unit
                                                                 : known->inch_pound_unit;
    if (unit == wanted) return;
    Fault(
        absl::StrCat("number '", Absl(name), "' stands in '", base::Printable(unit), "'"),
        wanted.empty() ? "leave the unit out; method_names.h says which it is"
                       : absl::StrCat("write it in ", Absl(wanted)));
  }

  void CheckNumbers() {
    std::vector<std::string> seen;
    for (const document::MethodNumber& given : method_.numbers) {
      CheckNumber(given.name, given.value.unit, seen);
    }
    for (const document::RequiredInput& input : method_.required_inputs) {
      CheckNumber(input.name, input.unit, seen);
    }
    for (const KnownNumber& known : known_.numbers) {
      if (known.optional) continue;
      if (!known.rule.empty() && ChoiceOf(known.rule) != known.choice) continue;
      if (std::find(seen.begin(), seen.end(), known.name) != seen.end()) continue;
      Fault(absl::StrCat("number '", Absl(known.name), "' is missing"),
            known.rule.empty()
                ? ""
                : absl::StrCat("rule '", Absl(known.rule), "' is '", Absl(known.choice),
                               "', which asks for it"));
    }
  }

  const MeasurementMethod& method_;
  const Known known_;
  base::FaultList faults_;
};

}  // namespace

std::string_view MethodKindName(MethodKind kind) {
  switch (kind) {
    case MethodKind::kAirEnthalpy:
      return "AIR_ENTHALPY";
    case MethodKind::kNozzleAirFlow:
      return "NOZZLE_AIR_FLOW";
    case MethodKind::kLiquidHeat:
      return "LIQUID_HEAT";
    case MethodKind::kFanPumpCorrection:
      return "FAN_PUMP_CORRECTION";
    case MethodKind::kSteadiness:
      return "STEADINESS";
  }
  return "";
}

absl::Status CheckMethodNames(const MeasurementMethod& method) {
  return NameCheck(method).Run();
}

MethodReader::MethodReader(const MeasurementMethod& method,
                           std::span<const document::MethodInput> inputs,
                           base::FaultList& faults)
    : method_(method), inputs_(inputs), faults_(faults) {
  for (const document::MethodInput& input : inputs_) {
    if (input.method != method_.id) continue;
    std::vector<std::string> names;
    for (const document::RequiredInput& known : method_.required_inputs) {
      names.push_back(known.name);
    }
    if (std::find(names.begin(), names.end(), input.input) == names.end()) {
      faults_.Add(
          {.field = absl::StrCat("method '", method_.id, "'"),
           .message = absl::StrCat("asks for no input '", base::Printable(input.input),
                                   "'", base::DidYouMean(input.input, names))});
    }
  }
  for (const document::MethodRule& rule : method_.rules) {
    if (rule.choice.citation.basis == document::Basis::kPublishedText) continue;
    unconfirmed_.push_back(
        absl::StrCat(method_.id, ": ", rule.name, " = ", rule.choice.text, " (",
                     document::BasisName(rule.choice.citation.basis), ")"));
  }
}

bool MethodReader::Has(std::string_view name) const {
  const auto named = [&](const auto& item) { return item.name == name; };
  return std::any_of(method_.numbers.begin(), method_.numbers.end(), named) ||
         std::any_of(method_.required_inputs.begin(), method_.required_inputs.end(),
                     named);
}

MethodValue MethodReader::Number(std::string_view name) {
  for (const document::MethodNumber& number : method_.numbers) {
    if (number.name != name) continue;
    if (number.value.citation.basis != document::Basis::kPublishedText) {
      unconfirmed_.push_back(absl::StrCat(
          method_.id, ": ", number.name, " = ", ShortestText(number.value.value),
          number.value.unit.empty() ? "" : " ", number.value.unit, " (",
          document::BasisName(number.value.citation.basis), ")"));
    }
    return {number.value.value, number.value.unit, number.value.citation};
  }
  for (const document::RequiredInput& asked : method_.required_inputs) {
    if (asked.name != name) continue;
    for (const document::MethodInput& given : inputs_) {
      if (given.method != method_.id || given.input != name) continue;
      if (given.unit != asked.unit) {
        faults_.Add({.field = absl::StrCat("method '", method_.id, "'"),
                     .message = absl::StrCat("input '", asked.name, "' stands in '",
                                             base::Printable(given.unit), "'"),
                     .remedy = asked.unit.empty()
                                   ? "leave the unit out"
                                   : absl::StrCat("write it in ", asked.unit)});
      }
      return {given.value,
              given.unit,
              {"input of the line folder", document::Basis::kUnspecified}};
    }
    faults_.Add(
        {.field = absl::StrCat("method '", method_.id, "'"),
         .message =
             absl::StrCat("input '", asked.name, "' is not given: ", asked.description),
         .remedy = absl::StrCat("write reduction { inputs { method: \"", method_.id,
                                "\" input: \"", asked.name, "\" value: ... } }")});
    return {};
  }
  faults_.Add({.field = absl::StrCat("method '", method_.id, "'"),
               .message = absl::StrCat("number '", Absl(name), "' is missing")});
  return {};
}

std::string_view MethodReader::Rule(std::string_view name) const {
  for (const document::MethodRule& rule : method_.rules) {
    if (rule.name == name) return rule.choice.text;
  }
  return {};
}

document::Citation MethodReader::RuleCitation(std::string_view name) const {
  for (const document::MethodRule& rule : method_.rules) {
    if (rule.name == name) return rule.choice.citation;
  }
  return {};
}

}  // namespace ratebound::points
