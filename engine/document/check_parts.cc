#include "engine/document/check_parts.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/iso_date.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::document {
namespace {

using base::Absl;
using base::ShortestText;

bool IsIdCharacter(char c) {
  return absl::ascii_isalnum(c) || c == '.' || c == '_' || c == '+' || c == '-';
}

bool IsFolderIdCharacter(char c) {
  return absl::ascii_islower(c) || absl::ascii_isdigit(c) || c == '-';
}

void FaultId(const Node& node, int field, const std::string& id, const char* remedy,
             int index) {
  node.Fault(field, absl::StrCat("'", base::Printable(id), "' is no id"), remedy, index);
}

constexpr size_t kLongestId = 64;
// Names to look through for the nearest.
constexpr size_t kMostCompared = 1000;

}  // namespace

const quantity::Quantity* CheckQuantity(const Node& node, int field,
                                        const std::string& name, Use use, int index) {
  if (name.empty()) {
    // An empty item of a list; an empty single field is reported as missing.
    if (index >= 0) node.Fault(field, "is empty", "name a quantity", index);
    return nullptr;
  }
  if (node.FaultsAreMany()) return nullptr;
  const auto found = quantity::FindQuantity(name);
  if (!found.ok()) {
    node.Fault(field, std::string(found.status().message()), "", index);
    return nullptr;
  }
  const quantity::Role role = (*found)->role;
  if (use == Use::kCondition && role == quantity::Role::kResponse) {
    node.Fault(
        field,
        absl::StrCat("'", name, "' is what a machine does and no condition of a test"),
        "", index);
    return nullptr;
  }
  if (use == Use::kResponse && role == quantity::Role::kCondition) {
    node.Fault(
        field,
        absl::StrCat("'", name, "' is a condition of a test and not what a machine does"),
        "", index);
    return nullptr;
  }
  return *found;
}

const quantity::Quantity* CheckMeasures(
    const Node& node, int field, const std::string& name,
    std::initializer_list<quantity::Dimension> dimensions) {
  const auto* quantity = CheckQuantity(node, field, name, Use::kAny);
  if (quantity == nullptr) return nullptr;
  std::string fit;
  for (quantity::Dimension dimension : dimensions) {
    if (quantity->dimension == dimension) return quantity;
    absl::StrAppend(&fit, fit.empty() ? "" : " or ",
                    Absl(quantity::DimensionName(dimension)));
  }
  node.Fault(field,
             absl::StrCat("'", name, "' is a quantity of ",
                          Absl(quantity::DimensionName(quantity->dimension))),
             absl::StrCat("name a quantity of ", fit));
  return nullptr;
}

std::optional<quantity::Unit> CheckUnit(const Node& node, int field,
                                        const std::string& name,
                                        quantity::Dimension dimension) {
  if (name.empty() || node.FaultsAreMany()) return {};
  const auto unit = quantity::FindUnit(name, dimension);
  if (unit.ok()) return *unit;
  node.Fault(field, std::string(unit.status().message()));
  return {};
}

std::optional<quantity::Unit> CheckDifferenceUnit(const Node& node, int field,
                                                  const std::string& name,
                                                  quantity::Dimension dimension) {
  if (name.empty()) return {};
  const auto direct = quantity::FindUnit(name, dimension);
  if (direct.ok()) return *direct;
  return CheckUnit(node, field, name, quantity::DifferenceOf(dimension));
}

void CheckUncertaintyUnit(const Node& node, int field, const std::string& name,
                          const quantity::Quantity& quantity, std::string_view what) {
  const auto unit = CheckDifferenceUnit(node, field, name, quantity.dimension);
  if (!unit.has_value() || !unit->reciprocal) return;
  node.Fault(field, absl::StrCat(Absl(what), " in ", name, " is not the same everywhere"),
             "write it as relative_fraction, or in W/W or Btu/Wh");
}

void CheckAnyUnit(const Node& node, int field, const std::string& name) {
  if (name.empty() || node.FaultsAreMany()) return;
  const auto unit = quantity::FindUnit(name);
  if (!unit.ok()) node.Fault(field, std::string(unit.status().message()));
}

bool CheckPlausible(const Node& node, int field, double value, const quantity::Unit& unit,
                    const quantity::Quantity& quantity, int index) {
  if (!std::isfinite(value)) return false;
  if (quantity::CheckPlausible(quantity, quantity::ToSi(value, unit)).ok()) return true;
  // In the writer's unit, to the few digits that a plausible range has.
  const auto in_unit = [&](double si) {
    return absl::StrFormat("%.6g", quantity::FromSi(si, unit));
  };
  std::string low = in_unit(quantity.least_si);
  std::string high = in_unit(quantity.greatest_si);
  if (unit.reciprocal) std::swap(low, high);
  node.Fault(field,
             absl::StrCat(ShortestText(value), " ", Absl(unit.name), " is no plausible ",
                          Absl(quantity.name), ", which is from ", low, " to ", high, " ",
                          Absl(unit.name)),
             "look at value and unit", index);
  return false;
}

void CheckBetween(const Node& node, int field, double value, double low, double high,
                  int index) {
  if (!std::isfinite(value) || (value >= low && value <= high)) return;
  node.Fault(
      field, absl::StrCat(ShortestText(value), " is out of range"),
      absl::StrCat("write a number from ", ShortestText(low), " to ", ShortestText(high)),
      index);
}

void CheckAbove(const Node& node, int field, double value, double low) {
  if (!std::isfinite(value) || value > low) return;
  node.Fault(field, absl::StrCat(ShortestText(value), " is out of range"),
             absl::StrCat("write a number above ", ShortestText(low)));
}

void CheckPart(const Node& node, int field, double part,
               const quantity::Quantity* quantity) {
  CheckBetween(node, field, part, 0, 1);
  if (quantity == nullptr || quantity->dimension != quantity::Dimension::kTemperature) {
    return;
  }
  if (part > 0 && part <= 1) {
    node.Fault(field,
               "is a part of a temperature, which depends on where its scale starts",
               "write 'absolute', a difference");
  }
}

void CheckLiquidFields(const Node& node, int liquid_field, const std::string& liquid,
                       int concentration_field, double concentration_fraction) {
  // The greatest of the tables of both glycols.
  constexpr double kGreatestConcentration = 0.6;
  const bool known =
      CheckReference(node, liquid_field, "liquid", liquid,
                     Names({"water", "ethylene_glycol", "propylene_glycol"}));
  if (!node.Has(concentration_field)) return;
  if (known && liquid == "water") {
    node.Fault(concentration_field, "water has no concentration", "leave it out");
    return;
  }
  CheckBetween(node, concentration_field, concentration_fraction, 0,
               kGreatestConcentration);
}

bool CheckDay(const Node& node, int field, const std::string& day) {
  if (day.empty()) return false;
  if (base::IsIsoDate(day)) return true;
  node.Fault(field, absl::StrCat("'", base::Printable(day), "' is no day"),
             "write it as 2026-03-31");
  return false;
}

void CheckMeasure(const v1::Measure& measure, const Node& node, Use use) {
  node.Require({v1::Measure::kQuantityFieldNumber, v1::Measure::kValueFieldNumber,
                v1::Measure::kUnitFieldNumber});
  const auto* quantity =
      CheckQuantity(node, v1::Measure::kQuantityFieldNumber, measure.quantity(), use);
  if (quantity == nullptr) return;
  const auto unit =
      CheckUnit(node, v1::Measure::kUnitFieldNumber, measure.unit(), quantity->dimension);
  if (!unit.has_value() || !node.Has(v1::Measure::kValueFieldNumber)) return;
  CheckPlausible(node, v1::Measure::kValueFieldNumber, measure.value(), *unit, *quantity);
}

void CheckMeasureRange(const v1::MeasureRange& range, const Node& node, Use use) {
  using R = v1::MeasureRange;
  node.Require({R::kQuantityFieldNumber, R::kLowFieldNumber, R::kHighFieldNumber,
                R::kUnitFieldNumber});
  if (range.high() < range.low() && node.Has(R::kLowFieldNumber) &&
      node.Has(R::kHighFieldNumber)) {
    node.Fault(R::kHighFieldNumber,
               absl::StrCat("the range is reversed: ", ShortestText(range.high()),
                            " is below ", ShortestText(range.low())));
  }
  const auto* quantity =
      CheckQuantity(node, R::kQuantityFieldNumber, range.quantity(), use);
  if (quantity == nullptr) return;
  const auto unit =
      CheckUnit(node, R::kUnitFieldNumber, range.unit(), quantity->dimension);
  if (!unit.has_value()) return;
  if (node.Has(R::kLowFieldNumber)) {
    CheckPlausible(node, R::kLowFieldNumber, range.low(), *unit, *quantity);
  }
  if (node.Has(R::kHighFieldNumber)) {
    CheckPlausible(node, R::kHighFieldNumber, range.high(), *unit, *quantity);
  }
}

void CheckId(const Node& node, int field, const std::string& id) {
  if (id.empty()) return;
  const bool sound = id.size() <= kLongestId && absl::ascii_isalnum(id[0]) &&
                     std::all_of(id.begin(), id.end(), IsIdCharacter);
  if (sound) return;
  FaultId(node, field, id,
          "write at most 64 letters, digits and . _ + -, a letter or digit first", -1);
}

void CheckFolderId(const Node& node, int field, const std::string& id, int index) {
  if (id.empty() && index < 0) return;
  const bool sound = !id.empty() && id.size() <= kLongestId && id[0] != '-' &&
                     std::all_of(id.begin(), id.end(), IsFolderIdCharacter);
  if (sound) return;
  FaultId(node, field, id, "write at most 64 lower-case letters, digits and hyphens",
          index);
}

bool CheckReference(const Node& node, int field, std::string_view what,
                    const std::string& name, const Names& known, int index) {
  if ((name.empty() && index < 0) || node.FaultsAreMany()) return false;
  if (known.Contains(name)) return true;
  const std::span<const std::string> all = known.all();
  node.Fault(field,
             absl::StrCat("unknown ", Absl(what), " '", base::Printable(name), "'",
                          all.size() <= kMostCompared ? base::DidYouMean(name, all) : ""),
             all.empty() ? absl::StrCat("there is no ", Absl(what))
                         : absl::StrCat("there is ", Listed(all)),
             index);
  return false;
}

void Unique::Check(const Node& node, int field, const std::string& name, int index) {
  if (name.empty() || seen_.insert(name).second) return;
  node.Fault(field,
             absl::StrCat("the ", what_, " '", base::Printable(name), "' is given twice"),
             "keep one", index);
}

std::vector<std::string> DerivedEfficiencies() {
  return {"coefficient_of_performance", "energy_efficiency_ratio"};
}

bool IsDerivedEfficiency(std::string_view quantity) {
  for (const std::string& derived : DerivedEfficiencies()) {
    if (derived == quantity) return true;
  }
  return false;
}

std::string Listed(std::span<const std::string> names) {
  constexpr size_t kMostNamed = 12;
  std::string all;
  for (size_t i = 0; i < names.size() && i < kMostNamed; ++i) {
    absl::StrAppend(&all, all.empty() ? "" : ", ", base::Printable(names[i]));
  }
  if (names.size() > kMostNamed) absl::StrAppend(&all, ", ...");
  return all;
}

}  // namespace ratebound::document
