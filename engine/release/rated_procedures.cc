#include "engine/release/rated_procedures.h"

#include <algorithm>
#include <utility>
#include <variant>

#include "absl/strings/str_cat.h"

namespace ratebound::release {

std::optional<document::Procedure> FindRated(
    std::string_view name, std::span<const document::Procedure> procedures) {
  const size_t slash = name.find('/');
  const std::string_view id = name.substr(0, slash);
  for (const document::Procedure& procedure : procedures) {
    if (procedure.id != id) continue;
    if (slash == name.npos) return procedure;
    document::Procedure chosen = procedure;
    auto* const season = std::get_if<document::BinSeason>(&chosen.form);
    if (season == nullptr) return {};
    std::vector<document::Climate>& climates = season->climates;
    const auto found = std::find_if(
        climates.begin(), climates.end(),
        [&](const document::Climate& c) { return c.id == name.substr(slash + 1); });
    if (found == climates.end()) return {};
    std::rotate(climates.begin(), found, found + 1);
    return chosen;
  }
  return {};
}

document::Unit WithInputsOf(const document::Unit& unit, std::string_view name) {
  const size_t slash = name.find('/');
  if (slash == name.npos) return unit;
  document::Unit own = unit;
  std::vector<document::ProcedureInput> of_climate;
  for (document::ProcedureInput input : unit.procedure_inputs) {
    if (input.procedure != name) continue;
    input.procedure = std::string(name.substr(0, slash));
    of_climate.push_back(std::move(input));
  }
  // The first that fits is taken.
  own.procedure_inputs.insert(own.procedure_inputs.begin(), of_climate.begin(),
                              of_climate.end());
  return own;
}

std::vector<std::string> RatedNames(std::span<const document::Procedure> procedures) {
  std::vector<std::string> names;
  for (const document::Procedure& procedure : procedures) {
    names.push_back(procedure.id);
    const auto* const season = std::get_if<document::BinSeason>(&procedure.form);
    if (season == nullptr) continue;
    for (const document::Climate& climate : season->climates) {
      names.push_back(absl::StrCat(procedure.id, "/", climate.id));
    }
  }
  return names;
}

}  // namespace ratebound::release
