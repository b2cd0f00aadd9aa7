#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

// The value in W, where it can be told.
std::optional<double> CheckCapacity(const v1::CitedValue& value, const Node& node) {
  using V = v1::CitedValue;
  node.Require({V::kValueFieldNumber, V::kUnitFieldNumber});
  CheckCited(value, node);
  // Heat, or the water that an outdoor-air unit takes out of the air.
  const auto mass_flow = quantity::FindUnit(value.unit(), quantity::Dimension::kMassFlow);
  const auto unit = mass_flow.ok() ? std::optional(*mass_flow)
                                   : CheckUnit(node, V::kUnitFieldNumber, value.unit(),
                                               quantity::Dimension::kPower);
  if (!unit.has_value() || !std::isfinite(value.value())) return {};
  return quantity::ToSi(value.value(), *unit);
}

void CheckRange(const v1::MinimumLevel& level, const Node& node) {
  using L = v1::MinimumLevel;
  std::optional<double> low_w;
  std::optional<double> high_w;
  if (level.has_capacity_low()) {
    low_w = CheckCapacity(level.capacity_low(), node.Child(L::kCapacityLowFieldNumber));
  }
  if (level.has_capacity_high()) {
    high_w =
        CheckCapacity(level.capacity_high(), node.Child(L::kCapacityHighFieldNumber));
  }
  if (low_w.has_value() && high_w.has_value() && !(*low_w < *high_w)) {
    node.Fault(L::kCapacityHighFieldNumber,
               "the range is reversed: it is not above capacity_low");
  }
}

// An efficiency of heat or of moisture removal, or a seasonal one of space heating.
void CheckMetricUnit(const v1::MinimumLevel& level, const Node& node) {
  for (const char* unit : {"%", "lb/kWh", "kg/kWh"}) {
    if (level.metric_unit() == unit) return;
  }
  CheckUnit(node, v1::MinimumLevel::kMetricUnitFieldNumber, level.metric_unit(),
            quantity::Dimension::kEnergyRatio);
}

void CheckLevel(const v1::MinimumLevel& level, const Node& node) {
  using L = v1::MinimumLevel;
  node.Require({L::kProcedureFamiliesFieldNumber, L::kMetricUnitFieldNumber,
                L::kEquipmentClassesFieldNumber, L::kValidFromFieldNumber});
  CheckCited(level, node);
  for (int i = 0; i < level.procedure_families_size(); ++i) {
    CheckFolderId(node, L::kProcedureFamiliesFieldNumber, level.procedure_families(i), i);
  }
  CheckMetricUnit(level, node);
  Unique classes("class");
  for (int i = 0; i < level.equipment_classes_size(); ++i) {
    const std::string& name = level.equipment_classes(i);
    if (name.empty()) {
      node.Fault(L::kEquipmentClassesFieldNumber, "is empty", "name a class", i);
    }
    classes.Check(node, L::kEquipmentClassesFieldNumber, name, i);
  }
  CheckRange(level, node);
  for (int i = 0; i < level.phase_counts_size(); ++i) {
    if (level.phase_counts(i) == 1 || level.phase_counts(i) == 3) continue;
    node.Fault(L::kPhaseCountsFieldNumber,
               absl::StrCat(level.phase_counts(i), " is no number of phases"),
               "write 1 or 3", i);
  }
  Unique keys("key");
  for (int i = 0; i < level.keys_size(); ++i) {
    using K = v1::MinimumKey;
    const Node child = node.Child(L::kKeysFieldNumber, i);
    child.Require({K::kNameFieldNumber, K::kValueFieldNumber});
    CheckId(child, K::kNameFieldNumber, level.keys(i).name());
    keys.Check(child, K::kNameFieldNumber, level.keys(i).name());
  }
  const bool has_from = CheckDay(node, L::kValidFromFieldNumber, level.valid_from());
  const bool has_until = CheckDay(node, L::kValidUntilFieldNumber, level.valid_until());
  if (has_from && has_until && level.valid_from() >= level.valid_until()) {
    node.Fault(L::kValidUntilFieldNumber, "is not after valid_from");
  }
  switch (level.level_case()) {
    case L::kValue:
      CheckAbove(node, L::kValueFieldNumber, level.value(), 0);
      return;
    case L::kNotKnown:
      node.Require({L::kNotKnownFieldNumber});
      return;
    case L::LEVEL_NOT_SET:
      node.Fault(L::kValueFieldNumber, "the level is missing",
                 "write value, or not_known with the reason");
      return;
  }
}

}  // namespace

void CheckMinimumLevels(const v1::MinimumLevels& levels, const Node& node) {
  using M = v1::MinimumLevels;
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.RequireSoundValues();
  node.Require({M::kIdFieldNumber, M::kTitleFieldNumber, M::kDocumentFieldNumber,
                M::kEditionFieldNumber, M::kLevelsFieldNumber});
  CheckFolderId(node, M::kIdFieldNumber, levels.id());
  for (int i = 0; i < levels.levels_size(); ++i) {
    CheckLevel(levels.levels(i), node.Child(M::kLevelsFieldNumber, i));
  }
}

}  // namespace ratebound::document
