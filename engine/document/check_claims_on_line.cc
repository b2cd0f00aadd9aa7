#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/document/check_parts.h"
#include "engine/document/claimable.h"
#include "engine/document/text.h"

namespace ratebound::document {
namespace {

std::vector<std::string> IdsOfStages(const Mode& mode) {
  std::vector<std::string> ids;
  for (const Stage& stage : mode.stages) ids.push_back(stage.id);
  return ids;
}

// Holds one claim against the line.
class ClaimCheck {
 public:
  ClaimCheck(const ParsedClaims& claims, size_t index, base::FaultList& faults)
      : file_(claims.file), claim_(claims.claims[index]), index_(index), faults_(faults) {
    if (index < claims.places.size()) places_ = claims.places[index];
  }

  void Check(const LineManifest& manifest) {
    const Unit* unit = Find("unit", claim_.unit, manifest.units);
    if (unit == nullptr) return;
    if (claim_.seasonal_floor) {
      CheckKnown("seasonal_floor.procedure", "procedure",
                 claim_.seasonal_floor->procedure, manifest.procedures);
      return;
    }
    if (claim_.steadiness) {
      std::vector<std::string> logs;
      for (const LogFile& log : manifest.log_files) logs.push_back(log.path);
      CheckKnown("steadiness.log", "log", claim_.steadiness->log, logs);
      return;
    }
    const Mode* mode = Find("mode", claim_.mode, unit->modes);
    if (mode == nullptr) return;
    CheckStages(*mode);
    CheckQuantities(*mode);
    CheckRegion(*mode);
    if (claim_.equivalence) {
      std::vector<std::string> specimens;
      for (const Specimen& specimen : manifest.specimens) {
        specimens.push_back(specimen.id);
      }
      CheckKnown("equivalence.specimen", "specimen", claim_.equivalence->specimen,
                 specimens);
      CheckKnown("equivalence.reference_specimen", "specimen",
                 claim_.equivalence->reference_specimen, specimens);
    }
  }

 private:
  template <typename Item>
  const Item* Find(const char* what, const std::string& id,
                   const std::vector<Item>& items) {
    std::vector<std::string> known;
    for (const Item& item : items) {
      if (item.id == id) return &item;
      known.push_back(item.id);
    }
    AddUnknown(what, what, id, known);
    return nullptr;
  }

  void CheckKnown(const std::string& field, const char* what, const std::string& name,
                  const std::vector<std::string>& known) {
    if (std::find(known.begin(), known.end(), name) != known.end()) return;
    AddUnknown(field, what, name, known);
  }

  void CheckStages(const Mode& mode) {
    const std::vector<std::string> stages = IdsOfStages(mode);
    if (!claim_.stage.empty()) CheckKnown("stage", "stage", claim_.stage, stages);
    if (claim_.serving) {
      for (size_t i = 0; i < claim_.serving->stages.size(); ++i) {
        CheckKnown(absl::StrCat("serving.stages[", i, "]"), "stage",
                   claim_.serving->stages[i], stages);
      }
      for (size_t i = 0; i < claim_.serving->parts.size(); ++i) {
        CheckKnown(absl::StrCat("serving.parts[", i, "].stage"), "stage",
                   claim_.serving->parts[i].stage, stages);
      }
    }
    if (!claim_.turndown) return;
    if (!claim_.turndown->lowest_stage.empty()) {
      CheckKnown("turndown.lowest_stage", "stage", claim_.turndown->lowest_stage, stages);
    }
    if (!claim_.turndown->highest_stage.empty()) {
      CheckKnown("turndown.highest_stage", "stage", claim_.turndown->highest_stage,
                 stages);
    }
    if (stages.size() < 2) {
      Add("turndown", "compares two stages, and this mode has one",
          "make a claim on capacity of it");
    }
  }

  void CheckQuantities(const Mode& mode) {
    std::vector<std::string> known = ClaimableQuantities(mode);
    if (!claim_.quantity.empty()) {
      CheckKnown("quantity", "quantity of this mode", claim_.quantity,
                 claim_.equivalence ? FittedQuantities(mode) : known);
    }
    known.insert(known.end(), mode.conditions.begin(), mode.conditions.end());
    if (claim_.against) {
      CheckKnown("against.quantity", "quantity of this mode", claim_.against->quantity,
                 known);
    }
    if (!claim_.operating_envelope) return;
    const PolygonCut& polygon = claim_.operating_envelope->polygon;
    CheckKnown("operating_envelope.polygon.quantity", "quantity of this mode",
               polygon.quantity, known);
    CheckKnown("operating_envelope.polygon.other_quantity", "quantity of this mode",
               polygon.other_quantity, known);
  }

  void CheckRegion(const Mode& mode) {
    const std::vector<std::string>& conditions = mode.conditions;
    std::vector<std::string> given;
    for (size_t i = 0; i < claim_.region.size(); ++i) {
      const std::string& quantity = claim_.region[i].quantity;
      const std::string field = absl::StrCat("region[", i, "].quantity");
      if (std::find(given.begin(), given.end(), quantity) != given.end()) {
        Add(field, absl::StrCat("the condition '", quantity, "' is given twice"),
            "keep one");
      }
      given.push_back(quantity);
      CheckKnown(field, "condition of this mode", quantity, conditions);
    }
    for (const std::string& condition : conditions) {
      if (std::find(given.begin(), given.end(), condition) != given.end()) continue;
      AddAt("region", places_.claim,
            absl::StrCat("the condition '", condition, "' has no range"),
            "a claim names a range for every condition of its mode");
    }
  }

  void AddUnknown(const std::string& field, const char* what, const std::string& name,
                  const std::vector<std::string>& known) {
    constexpr size_t kMostCompared = 1000;
    Add(field,
        absl::StrCat("unknown ", what, " '", base::Printable(name), "'",
                     known.size() <= kMostCompared ? base::DidYouMean(name, known) : ""),
        absl::StrCat("there is ", Listed(known)));
  }

  void Add(const std::string& field, std::string message, std::string remedy) {
    AddAt(field, places_.Of(field), std::move(message), std::move(remedy));
  }

  void AddAt(const std::string& field, Place place, std::string message,
             std::string remedy) {
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

absl::Status CheckClaims(const LineManifest& manifest, const ParsedClaims& claims) {
  base::FaultList faults;
  for (size_t i = 0; i < claims.claims.size(); ++i) {
    ClaimCheck(claims, i, faults).Check(manifest);
  }
  return faults.ToStatus();
}

}  // namespace ratebound::document
