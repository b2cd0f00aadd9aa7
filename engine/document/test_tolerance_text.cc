#include "engine/document/test_tolerance_text.h"

#include <string>

#include "engine/base/status_macros.h"
#include "engine/document/check_procedure_parts.h"
#include "engine/document/convert_parts.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/test_tolerance.pb.h"

namespace ratebound::document {
namespace {

using quantity::Dimension;

void CheckDifference(const v1::CitedValue& value, const std::string& unit,
                     const Node& node) {
  using V = v1::CitedValue;
  CheckCitedValue(value, node);
  if (value.unit().empty() || unit.empty() || value.unit() == unit) return;
  node.Fault(V::kUnitFieldNumber, "is not the unit that temperature differences are in",
             "write " + unit);
}

void CheckTolerance(const v1::LoadTolerance& tolerance, const std::string& unit,
                    const Node& node) {
  using L = v1::LoadTolerance;
  node.Require({L::kIdFieldNumber, L::kTitleFieldNumber, L::kConstantFieldNumber,
                L::kOverDifferenceFieldNumber});
  CheckFolderId(node, L::kIdFieldNumber, tolerance.id());
  CheckCited(tolerance, node);
  if (tolerance.has_constant()) {
    CheckPlainNumber(tolerance.constant(), node.Child(L::kConstantFieldNumber));
  }
  if (tolerance.has_over_difference()) {
    CheckDifference(tolerance.over_difference(), unit,
                    node.Child(L::kOverDifferenceFieldNumber));
  }
  if (!tolerance.regardless_of_load()) {
    node.Require({L::kPerLoadFieldNumber});
  } else if (tolerance.has_per_load()) {
    node.Fault(L::kPerLoadFieldNumber, "load is left out of this tolerance",
               "leave it out");
  }
  if (tolerance.has_per_load()) {
    CheckPlainNumber(tolerance.per_load(), node.Child(L::kPerLoadFieldNumber));
  }
}

void CheckPressureDrop(const v1::PressureDropTolerance& drop, const Node& node) {
  using P = v1::PressureDropTolerance;
  node.Require({P::kRatioFieldNumber, P::kAdditionFieldNumber});
  CheckCited(drop, node);
  if (drop.has_ratio()) {
    const Node ratio = node.Child(P::kRatioFieldNumber);
    CheckPlainNumber(drop.ratio(), ratio);
    if (ratio.Has(v1::CitedValue::kValueFieldNumber)) {
      CheckAbove(ratio, v1::CitedValue::kValueFieldNumber, drop.ratio().value(), 1);
    }
  }
  if (drop.has_addition()) {
    const Node addition = node.Child(P::kAdditionFieldNumber);
    addition.Require({v1::CitedValue::kUnitFieldNumber});
    CheckCitedValue(drop.addition(), addition);
    CheckUnit(addition, v1::CitedValue::kUnitFieldNumber, drop.addition().unit(),
              Dimension::kPressureDifference);
  }
}

void CheckTolerances(const v1::TestTolerances& tolerances, const Node& node) {
  using T = v1::TestTolerances;
  node.RequireSoundValues();
  node.Require({T::kIdFieldNumber, T::kTitleFieldNumber, T::kDocumentFieldNumber,
                T::kEditionFieldNumber, T::kTemperatureDifferenceUnitFieldNumber,
                T::kTolerancesFieldNumber});
  CheckFolderId(node, T::kIdFieldNumber, tolerances.id());
  const std::string& unit = tolerances.temperature_difference_unit();
  CheckUnit(node, T::kTemperatureDifferenceUnitFieldNumber, unit,
            Dimension::kTemperatureDifference);
  Unique ids("tolerance");
  for (int i = 0; i < tolerances.tolerances_size(); ++i) {
    const Node child = node.Child(T::kTolerancesFieldNumber, i);
    CheckTolerance(tolerances.tolerances(i), unit, child);
    ids.Check(child, v1::LoadTolerance::kIdFieldNumber, tolerances.tolerances(i).id());
  }
  if (tolerances.has_pressure_drop()) {
    CheckPressureDrop(tolerances.pressure_drop(),
                      node.Child(T::kPressureDropFieldNumber));
  }
}

LoadTolerance ReadTolerance(const v1::LoadTolerance& from, base::FaultList& faults) {
  LoadTolerance to{.id = from.id(), .title = from.title()};
  Read(from.constant(), to.constant, faults);
  if (from.has_per_load()) Read(from.per_load(), to.per_load.emplace(), faults);
  Read(from.over_difference(), to.over_difference, faults);
  to.regardless_of_load = from.regardless_of_load();
  Read(from.citation(), to.citation, faults);
  return to;
}

absl::StatusOr<TestTolerances> Convert(const v1::TestTolerances& from) {
  base::FaultList faults;
  TestTolerances to{.id = from.id(),
                    .title = from.title(),
                    .document = from.document(),
                    .edition = from.edition(),
                    .temperature_difference_unit = from.temperature_difference_unit()};
  for (const v1::LoadTolerance& tolerance : from.tolerances()) {
    to.tolerances.push_back(ReadTolerance(tolerance, faults));
  }
  if (from.has_pressure_drop()) {
    PressureDropTolerance& drop = to.pressure_drop.emplace();
    Read(from.pressure_drop().ratio(), drop.ratio, faults);
    Read(from.pressure_drop().addition(), drop.addition, faults);
    Read(from.pressure_drop().citation(), drop.citation, faults);
  }
  to.notes.assign(from.notes().begin(), from.notes().end());
  if (!faults.empty()) return faults.ToStatus();
  return to;
}

}  // namespace

absl::StatusOr<TestTolerances> ParseTestTolerances(std::string_view name,
                                                   std::string_view bytes) {
  TextDocument document(name, bytes);
  v1::TestTolerances message;
  if (!document.ParseInto(&message)) return document.ToStatus();
  CheckTolerances(message, document.Root(message));
  RETURN_IF_ERROR(document.ToStatus());
  return Convert(message);
}

}  // namespace ratebound::document
