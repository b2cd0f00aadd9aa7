// What the checks of the documents that people write share. Private to engine/document.
//
// A check adds faults through a Node and goes on; what is missing is reported by
// Node::Require and passed over here.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_PARTS_H_

#include <initializer_list>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/document/text_document.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"
#include "ratebound/v1/claim.pb.h"
#include "ratebound/v1/line.pb.h"
#include "ratebound/v1/measure.pb.h"
#include "ratebound/v1/method.pb.h"
#include "ratebound/v1/minimum.pb.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/table.pb.h"

namespace ratebound::document {

void CheckLineManifest(const v1::LineManifest& manifest, const Node& node);
void CheckClaimDocument(const v1::ClaimDocument& claims, const Node& node);
void CheckProcedure(const v1::Procedure& procedure, const Node& node);
void CheckMethod(const v1::MeasurementMethod& method, const Node& node);
void CheckMinimumLevels(const v1::MinimumLevels& levels, const Node& node);
// `manifest` is the one that the table stands in.
void CheckTableRequest(const v1::TableRequest& request, const v1::LineManifest& manifest,
                       const Node& node);

// Messages in one document; a line of a hundred units has about 5,000.
inline constexpr int kMostMessages = 20000;

// What a name is to be used for.
enum class Use { kAny, kCondition, kResponse };

// The quantity, or null with a fault where it is unknown or cannot be used so.
const quantity::Quantity* CheckQuantity(const Node& node, int field,
                                        const std::string& name, Use use, int index = -1);

// The quantity, or null with a fault where it is unknown or measures something else.
const quantity::Quantity* CheckMeasures(
    const Node& node, int field, const std::string& name,
    std::initializer_list<quantity::Dimension> dimensions);

// The unit, or nothing with a fault that says which units fit.
std::optional<quantity::Unit> CheckUnit(const Node& node, int field,
                                        const std::string& name,
                                        quantity::Dimension dimension);
// A unit that a difference or an uncertainty may be written in: one of the dimension or
// one of its differences.
std::optional<quantity::Unit> CheckDifferenceUnit(const Node& node, int field,
                                                  const std::string& name,
                                                  quantity::Dimension dimension);
// A unit that `what`, an uncertainty or tolerance of the quantity, may be written in: as
// above, and the same everywhere on its scale.
void CheckUncertaintyUnit(const Node& node, int field, const std::string& name,
                          const quantity::Quantity& quantity, std::string_view what);
// Any unit there is; an empty name is a plain number.
void CheckAnyUnit(const Node& node, int field, const std::string& name);

// Whether the value is one that the quantity can have. A number that is not finite has
// been reported.
bool CheckPlausible(const Node& node, int field, double value, const quantity::Unit& unit,
                    const quantity::Quantity& quantity, int index = -1);

// Faults a finite number outside [low, high].
void CheckBetween(const Node& node, int field, double value, double low, double high,
                  int index = -1);
void CheckAbove(const Node& node, int field, double value, double low);

// Faults a part of a quantity that is not from 0 to 1, or that is one of a temperature.
// Without a quantity only the first is known.
void CheckPart(const Node& node, int field, double part,
               const quantity::Quantity* quantity);

// A liquid of the engine, and the part by mass of what is dissolved in it.
template <typename Owner>
void CheckLiquid(const Owner& owner, const Node& node);
void CheckLiquidFields(const Node& node, int liquid_field, const std::string& liquid,
                       int concentration_field, double concentration_fraction);

// A day, as 2026-03-31; an empty text is no fault. Whether it is one.
bool CheckDay(const Node& node, int field, const std::string& day);

void CheckMeasure(const v1::Measure& measure, const Node& node, Use use);
void CheckMeasureRange(const v1::MeasureRange& range, const Node& node, Use use);

// Letters, digits and . _ + - after a letter or digit, at most 64 of them.
void CheckId(const Node& node, int field, const std::string& id);
// Lower-case letters, digits and hyphens.
void CheckFolderId(const Node& node, int field, const std::string& id, int index = -1);

// Names that others refer to, in their order.
class Names {
 public:
  explicit Names(std::vector<std::string> names)
      : names_(std::move(names)), sorted_(names_.begin(), names_.end()) {}
  bool Contains(const std::string& name) const { return sorted_.contains(name); }
  std::span<const std::string> all() const { return names_; }

 private:
  std::vector<std::string> names_;
  std::set<std::string> sorted_;
};

// Whether `name` is one of `known`; otherwise a fault "unknown <what> 'name'". An empty
// name refers to nothing.
bool CheckReference(const Node& node, int field, std::string_view what,
                    const std::string& name, const Names& known, int index = -1);

// Faults what has been said before in the same list.
class Unique {
 public:
  explicit Unique(std::string_view what) : what_(what) {}
  void Check(const Node& node, int field, const std::string& name, int index = -1);

 private:
  std::string what_;
  std::set<std::string> seen_;
};

// Quantities that are computed from the capacity and power of a mode and not fitted.
std::vector<std::string> DerivedEfficiencies();
bool IsDerivedEfficiency(std::string_view quantity);

// "a, b, c", cut where there are many.
std::string Listed(std::span<const std::string> names);

// The ids of a repeated field of messages.
template <typename Repeated>
Names IdsOf(const Repeated& items) {
  std::vector<std::string> ids;
  for (const auto& item : items) ids.push_back(item.id());
  return Names(std::move(ids));
}

template <typename Owner>
void CheckLiquid(const Owner& owner, const Node& node) {
  CheckLiquidFields(node, Owner::kLiquidFieldNumber, owner.liquid(),
                    Owner::kConcentrationFractionFieldNumber,
                    owner.concentration_fraction());
}

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_PARTS_H_
