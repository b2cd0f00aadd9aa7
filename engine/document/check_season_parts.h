// What the checks of seasons share. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_PARTS_H_

#include <google/protobuf/repeated_field.h>

#include <string>
#include <string_view>

#include "engine/document/check_parts.h"
#include "engine/document/check_required_inputs.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/season.pb.h"

namespace ratebound::document {

// What a number of a season is.
enum class NumberKind {
  kTemperature,  // in the season's unit
  kPlain,
  kPower,
  kHours,     // in a unit of time
  kFraction,  // plain or in percent
  kAny,
};

// Checks numbers that come from the file, the climates or the user.
class SeasonNumbers {
 public:
  // Refers to both, which must outlive it.
  SeasonNumbers(const v1::BinSeason& season, const RequiredInputs& inputs);

  void Check(const v1::SeasonNumber& number, NumberKind kind, const Node& node) const;
  // The number in `field`, if it is there.
  void CheckIf(bool present, const v1::SeasonNumber& number, NumberKind kind, int field,
               const Node& node) const;
  // The name of an input in `field`; an empty one refers to nothing.
  void CheckInput(const Node& node, int field, const std::string& name,
                  NumberKind kind) const;

 private:
  void CheckUnitOf(const Node& node, int field, const std::string& unit,
                   NumberKind kind) const;
  std::string Misfit(const std::string& unit, NumberKind kind) const;

  const v1::BinSeason& season_;
  const RequiredInputs& inputs_;
};

// One or two different names of `known`.
void CheckTestList(const Node& node, int field,
                   const google::protobuf::RepeatedPtrField<std::string>& tests,
                   const Names& known, std::string_view what = "test");

// Curves and declared points.
void CheckSeasonStages(const v1::BinSeason& season, const SeasonNumbers& numbers,
                       const Names& tests, const Node& node);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_PARTS_H_
