#include "engine/document/check_required_inputs.h"

#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::document {
namespace {

Names NamesOf(const google::protobuf::RepeatedPtrField<v1::RequiredInput>& inputs) {
  std::vector<std::string> names;
  for (const v1::RequiredInput& input : inputs) names.push_back(input.name());
  return Names(std::move(names));
}

std::string AskedIn(const std::string& name, const std::string& unit) {
  return absl::StrCat(
      "required input '", base::Printable(name), "' is asked for ",
      unit.empty() ? "without a unit" : absl::StrCat("in '", base::Printable(unit), "'"));
}

// What has no known unit is faulted where it stands.
bool IsKnown(const std::string& unit) {
  return unit.empty() || quantity::FindUnit(unit).ok();
}

}  // namespace

RequiredInputs::RequiredInputs(
    const google::protobuf::RepeatedPtrField<v1::RequiredInput>& inputs)
    : names_(NamesOf(inputs)) {
  for (const v1::RequiredInput& input : inputs) units_[input.name()] = input.unit();
}

std::string RequiredInputs::UnitOf(const std::string& name) const {
  const auto found = units_.find(name);
  return found == units_.end() ? "" : found->second;
}

bool RequiredInputs::Check(const Node& node, int field, const std::string& name,
                           int index) const {
  return CheckReference(node, field, "required input", name, names_, index);
}

void RequiredInputs::CheckPlain(const Node& node, int field,
                                const std::string& name) const {
  if (!Check(node, field, name)) return;
  const std::string unit = UnitOf(name);
  if (unit.empty() || unit == "1" || !IsKnown(unit)) return;
  node.Fault(field,
             absl::StrCat(AskedIn(name, unit), ", and is taken as a plain number here"),
             "leave the unit out of required_inputs");
}

void RequiredInputs::CheckMeasures(const Node& node, int field, const std::string& name,
                                   quantity::Dimension dimension, int index) const {
  if (!Check(node, field, name, index)) return;
  const std::string unit = UnitOf(name);
  if (!IsKnown(unit) || quantity::FindUnit(unit, dimension).ok()) return;
  node.Fault(
      field,
      absl::StrCat(AskedIn(name, unit), ", and is taken as ",
                   base::Absl(quantity::DimensionName(dimension)), " here"),
      absl::StrCat("in required_inputs, write one of ", quantity::UnitNames(dimension)),
      index);
}

void RequiredInputs::CheckConverts(const Node& node, int field, const std::string& name,
                                   const std::string& unit) const {
  if (!Check(node, field, name)) return;
  const std::string asked = UnitOf(name);
  const auto from = quantity::FindUnit(asked), to = quantity::FindUnit(unit);
  if (!to.ok() || !IsKnown(asked)) return;
  if (from.ok() && (from->dimensions & to->dimensions) != 0) return;
  node.Fault(field,
             absl::StrCat(AskedIn(name, asked), ", and is turned into ",
                          base::Printable(unit), " here"),
             absl::StrCat("in required_inputs, write one of ",
                          quantity::UnitNames(to->dimension)));
}

}  // namespace ratebound::document
