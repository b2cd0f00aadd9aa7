#include "engine/document/text.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/check_parts.h"
#include "engine/document/convert.h"
#include "engine/document/text_document.h"

namespace ratebound::document {
namespace {

// Reads, checks and converts a document; `check` takes the message and its root node.
template <typename Wire, typename Check, typename Convert>
auto ParseDocument(TextDocument& document, Check check, Convert convert)
    -> decltype(convert(Wire(), document.Root(Wire()))) {
  Wire message;
  if (!document.ParseInto(&message)) return document.ToStatus();
  const Node root = document.Root(message);
  check(message, root);
  RETURN_IF_ERROR(document.ToStatus());
  return convert(message, root);
}

ClaimPlaces PlacesOf(const v1::Claim& claim, const Node& node) {
  using C = v1::Claim;
  ClaimPlaces places{.claim = node.place(),
                     .unit = node.PlaceOf(C::kUnitFieldNumber),
                     .mode = node.PlaceOf(C::kModeFieldNumber),
                     .stage = node.PlaceOf(C::kStageFieldNumber),
                     .quantity = node.PlaceOf(C::kQuantityFieldNumber),
                     .region = {}};
  for (int i = 0; i < claim.region_size(); ++i) {
    const Node range = node.Child(C::kRegionFieldNumber, i);
    places.region.push_back(range.PlaceOf(v1::MeasureRange::kQuantityFieldNumber));
  }
  return places;
}

absl::StatusOr<ParsedClaims> ConvertClaims(const v1::ClaimDocument& message,
                                           const Node& root) {
  ParsedClaims parsed;
  for (int i = 0; i < message.claims_size(); ++i) {
    ASSIGN_OR_RETURN(Claim claim, FromMessage(message.claims(i)));
    parsed.claims.push_back(std::move(claim));
    parsed.places.push_back(PlacesOf(
        message.claims(i), root.Child(v1::ClaimDocument::kClaimsFieldNumber, i)));
  }
  return parsed;
}

// Holds one claim against the line.
class ClaimCheck {
 public:
  ClaimCheck(const ParsedClaims& claims, size_t index, base::FaultList& faults)
      : file_(claims.file), claim_(claims.claims[index]), index_(index), faults_(faults) {
    if (index < claims.places.size()) places_ = claims.places[index];
  }

  void Check(const LineManifest& manifest) {
    const Unit* unit = Find("unit", claim_.unit, manifest.units, places_.unit);
    if (unit == nullptr) return;
    const Mode* mode = Find("mode", claim_.mode, unit->modes, places_.mode);
    if (mode == nullptr) return;
    Find("stage", claim_.stage, mode->stages, places_.stage);
    CheckQuantityOf(*mode);
    CheckRegion(*mode);
  }

 private:
  template <typename Item>
  const Item* Find(const char* what, const std::string& id,
                   const std::vector<Item>& items, Place place) {
    std::vector<std::string> known;
    for (const Item& item : items) {
      if (item.id == id) return &item;
      known.push_back(item.id);
    }
    AddUnknown(what, what, id, known, place);
    return nullptr;
  }

  void CheckQuantityOf(const Mode& mode) {
    std::vector<std::string> known = DerivedEfficiencies();
    known.push_back(mode.capacity_quantity);
    known.push_back(mode.power_quantity);
    known.insert(known.end(), mode.other_responses.begin(), mode.other_responses.end());
    if (std::find(known.begin(), known.end(), claim_.quantity) != known.end()) return;
    AddUnknown("quantity", "quantity of this mode", claim_.quantity, known,
               places_.quantity);
  }

  void CheckRegion(const Mode& mode) {
    const std::vector<std::string>& conditions = mode.conditions;
    std::vector<std::string> given;
    for (size_t i = 0; i < claim_.region.size(); ++i) {
      const std::string& quantity = claim_.region[i].quantity;
      const std::string field = absl::StrCat("region[", i, "].quantity");
      const Place place = i < places_.region.size() ? places_.region[i] : places_.claim;
      if (std::find(given.begin(), given.end(), quantity) != given.end()) {
        Add(field, absl::StrCat("the condition '", quantity, "' is given twice"),
            "keep one", place);
      }
      given.push_back(quantity);
      if (std::find(conditions.begin(), conditions.end(), quantity) == conditions.end()) {
        AddUnknown(field, "condition of this mode", quantity, conditions, place);
      }
    }
    for (const std::string& condition : conditions) {
      if (std::find(given.begin(), given.end(), condition) != given.end()) continue;
      Add("region", absl::StrCat("the condition '", condition, "' has no range"),
          "a claim names a range for every condition of its mode", places_.claim);
    }
  }

  void AddUnknown(const std::string& field, const char* what, const std::string& name,
                  const std::vector<std::string>& known, Place place) {
    constexpr size_t kMostCompared = 1000;
    Add(field,
        absl::StrCat("unknown ", what, " '", base::Printable(name), "'",
                     known.size() <= kMostCompared ? base::DidYouMean(name, known) : ""),
        absl::StrCat("there is ", Listed(known)), place);
  }

  void Add(const std::string& field, std::string message, std::string remedy,
           Place place) {
    faults_.Add({.file = file_,
                 .line = place.line,
                 .column = place.column,
                 .field = absl::StrCat("claims[", index_, "].", field),
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }

  const std::string& file_;
  const Claim& claim_;
  size_t index_;
  ClaimPlaces places_;
  base::FaultList& faults_;
};

}  // namespace

absl::StatusOr<LineManifest> ParseLineManifest(std::string_view name,
                                               std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::LineManifest>(
      document, CheckLineManifest,
      [](const v1::LineManifest& message, const Node&) { return FromMessage(message); });
}

absl::StatusOr<ParsedClaims> ParseClaims(std::string_view name, std::string_view bytes) {
  TextDocument document(name, bytes);
  ASSIGN_OR_RETURN(ParsedClaims parsed, ParseDocument<v1::ClaimDocument>(
                                            document, CheckClaimDocument, ConvertClaims));
  parsed.file = std::string(name);
  return parsed;
}

absl::Status CheckClaims(const LineManifest& manifest, const ParsedClaims& claims) {
  base::FaultList faults;
  for (size_t i = 0; i < claims.claims.size(); ++i) {
    ClaimCheck(claims, i, faults).Check(manifest);
  }
  return faults.ToStatus();
}

absl::StatusOr<Procedure> ParseProcedure(std::string_view name, std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::Procedure>(
      document, CheckProcedure,
      [](const v1::Procedure& message, const Node&) { return FromMessage(message); });
}

absl::StatusOr<MeasurementMethod> ParseMethod(std::string_view name,
                                              std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::MeasurementMethod>(
      document, CheckMethod, [](const v1::MeasurementMethod& message, const Node&) {
        return FromMessage(message);
      });
}

absl::StatusOr<MinimumLevels> ParseMinimumLevels(std::string_view name,
                                                 std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::MinimumLevels>(
      document, CheckMinimumLevels,
      [](const v1::MinimumLevels& message, const Node&) { return FromMessage(message); });
}

}  // namespace ratebound::document
