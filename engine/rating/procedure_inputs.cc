#include "engine/rating/procedure_inputs.h"

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"
#include "engine/rating/units.h"

namespace ratebound::rating {

const document::ProcedureInput* ProcedureInputs::Find(const std::string& name) const {
  for (const document::ProcedureInput& input : unit_.procedure_inputs) {
    if (input.procedure == procedure_.id && input.input == name) return &input;
  }
  return nullptr;
}

absl::Status ProcedureInputs::Require(const std::vector<std::string>& names) const {
  std::vector<std::string> missing;
  for (const std::string& name : names) {
    if (Find(name) != nullptr) continue;
    std::string text = name;
    for (const document::RequiredInput& input : procedure_.required_inputs) {
      if (input.name != name) continue;
      text = absl::StrCat(name,
                          input.unit.empty() ? "" : absl::StrCat(" [", input.unit, "]"),
                          ": ", input.description);
    }
    missing.push_back(text);
  }
  if (missing.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(absl::StrCat(
      "procedure ", procedure_.id, " needs inputs that unit ", unit_.id,
      " does not give; add to its procedure_inputs: ", absl::StrJoin(missing, "; ")));
}

absl::Status ProcedureInputs::Unfit(const document::ProcedureInput& input,
                                    const absl::Status& why) const {
  return absl::FailedPreconditionError(
      absl::StrCat("input ", input.input, " of procedure ", procedure_.id, " for unit ",
                   unit_.id, ": ", why.message()));
}

absl::StatusOr<double> ProcedureInputs::InSi(const std::string& name,
                                             const std::string& quantity) const {
  RETURN_IF_ERROR(Require({name}));
  const document::ProcedureInput& input = *Find(name);
  absl::StatusOr<double> value_si = ToSi(quantity, input.value, input.unit);
  if (!value_si.ok()) return Unfit(input, value_si.status());
  return value_si;
}

absl::StatusOr<double> ProcedureInputs::In(const std::string& name,
                                           const std::string& quantity,
                                           const std::string& unit) const {
  ASSIGN_OR_RETURN(const double value_si, InSi(name, quantity));
  const document::ProcedureInput& input = *Find(name);
  if (input.unit == unit) return input.value;
  return FromSi(quantity, value_si, unit);
}

absl::StatusOr<double> ProcedureInputs::Number(const std::string& name) const {
  RETURN_IF_ERROR(Require({name}));
  const document::ProcedureInput& input = *Find(name);
  if (input.unit.empty() || input.unit == "1") return input.value;
  return Unfit(input, absl::InvalidArgumentError(absl::StrCat(
                          "is a plain number; leave out the unit ", input.unit)));
}

absl::StatusOr<double> ProcedureInputs::InUnitOf(const std::string& name, double value,
                                                 const std::string& from,
                                                 const std::string& to) const {
  if (from == to) return value;
  const absl::StatusOr<quantity::Unit> from_unit = quantity::FindUnit(from);
  const absl::StatusOr<quantity::Unit> to_unit = quantity::FindUnit(to);
  if (from_unit.ok() && to_unit.ok() &&
      (from_unit->dimensions & to_unit->dimensions) != 0) {
    return quantity::FromSi(quantity::ToSi(value, *from_unit), *to_unit);
  }
  return absl::FailedPreconditionError(
      absl::StrCat(name, " of procedure ", procedure_.id, " for unit ", unit_.id,
                   " is in ", from.empty() ? "no unit" : from, "; it is asked for in ",
                   to.empty() ? "no unit: leave it out" : to));
}

absl::StatusOr<double> ProcedureInputs::ValueOf(
    const document::CitedNumber& number) const {
  if (number.value) return number.value->value;
  RETURN_IF_ERROR(Require({number.input}));
  const document::ProcedureInput& given = *Find(number.input);
  for (const document::RequiredInput& asked : procedure_.required_inputs) {
    if (asked.name != number.input) continue;
    return InUnitOf(absl::StrCat("input ", given.input), given.value, given.unit,
                    asked.unit);
  }
  return given.value;
}

absl::StatusOr<double> ProcedureInputs::ValueIn(const document::CitedNumber& number,
                                                const std::string& unit) const {
  if (number.value) {
    if (number.value->unit.empty()) return number.value->value;
    return InUnitOf("a number", number.value->value, number.value->unit, unit);
  }
  RETURN_IF_ERROR(Require({number.input}));
  const document::ProcedureInput& given = *Find(number.input);
  return InUnitOf(absl::StrCat("input ", given.input), given.value, given.unit, unit);
}

}  // namespace ratebound::rating
