#include "engine/rating/procedure_inputs.h"

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
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

absl::StatusOr<double> ProcedureInputs::In(const std::string& name,
                                           const std::string& quantity,
                                           const std::string& unit) const {
  RETURN_IF_ERROR(Require({name}));
  const document::ProcedureInput& input = *Find(name);
  if (input.unit == unit) return input.value;
  absl::StatusOr<double> value_si = ToSi(quantity, input.value, input.unit);
  absl::StatusOr<double> value =
      value_si.ok() ? FromSi(quantity, *value_si, unit) : value_si.status();
  if (value.ok()) return value;
  return absl::FailedPreconditionError(absl::StrCat("input ", name, " of procedure ",
                                                    procedure_.id, " for unit ", unit_.id,
                                                    ": ", value.status().message()));
}

absl::StatusOr<double> ProcedureInputs::Number(const std::string& name) const {
  RETURN_IF_ERROR(Require({name}));
  const document::ProcedureInput& input = *Find(name);
  if (input.unit.empty()) return input.value;
  return absl::FailedPreconditionError(
      absl::StrCat("input ", name, " of procedure ", procedure_.id, " for unit ",
                   unit_.id, " is a plain number; leave out the unit ", input.unit));
}

}  // namespace ratebound::rating
