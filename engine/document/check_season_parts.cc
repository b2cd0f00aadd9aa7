#include "engine/document/check_season_parts.h"

#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_citation.h"
#include "engine/quantity/unit.h"

namespace ratebound::document {

using quantity::Dimension;

static bool Measures(const std::string& unit, Dimension dimension) {
  return quantity::FindUnit(unit, dimension).ok();
}

SeasonNumbers::SeasonNumbers(const v1::BinSeason& season, const RequiredInputs& inputs)
    : season_(season), inputs_(inputs) {}

std::string SeasonNumbers::Misfit(const std::string& unit, NumberKind kind) const {
  const std::string name = absl::StrCat("'", base::Printable(unit), "'");
  switch (kind) {
    case NumberKind::kTemperature:
      if (unit == season_.temperature_unit()) return "";
      return absl::StrCat(name, " is not the season's unit of temperature");
    case NumberKind::kPlain:
      if (unit.empty() || unit == "1") return "";
      return absl::StrCat(name, " on a plain number");
    case NumberKind::kPower:
      if (Measures(unit, Dimension::kPower)) return "";
      return absl::StrCat(name, " is no unit of power");
    case NumberKind::kHours:
      if (Measures(unit, Dimension::kTime)) return "";
      return absl::StrCat(name, " is no unit of time");
    case NumberKind::kFraction:
      if (unit.empty() || unit == "1" || unit == "%") return "";
      return absl::StrCat(name, " is neither percent nor a plain number");
    case NumberKind::kAny:
      return "";
  }
  return "";
}

void SeasonNumbers::CheckUnitOf(const Node& node, int field, const std::string& unit,
                                NumberKind kind) const {
  const std::string misfit = Misfit(unit, kind);
  if (!misfit.empty()) node.Fault(field, misfit, "write one that fits");
}

void SeasonNumbers::Check(const v1::SeasonNumber& number, NumberKind kind,
                          const Node& node) const {
  using S = v1::SeasonNumber;
  switch (number.from_case()) {
    case S::kValue: {
      using V = v1::CitedValue;
      const Node value = node.Child(S::kValueFieldNumber);
      value.Require({V::kValueFieldNumber});
      CheckCited(number.value(), value);
      CheckUnitOf(value, V::kUnitFieldNumber, number.value().unit(), kind);
      break;
    }
    case S::kInput:
      node.Require({S::kInputFieldNumber});
      CheckInput(node, S::kInputFieldNumber, number.input(), kind);
      break;
    case S::kClimateValue:
      node.Require({S::kClimateValueFieldNumber});
      if (number.climate_value().empty()) return;
      for (const v1::Climate& climate : season_.climates()) {
        const v1::ClimateValue* found = nullptr;
        for (const v1::ClimateValue& value : climate.values()) {
          if (value.name() == number.climate_value()) found = &value;
        }
        if (found == nullptr) {
          node.Fault(
              S::kClimateValueFieldNumber,
              absl::StrCat("climate ", base::Printable(climate.id()), " has no value '",
                           base::Printable(number.climate_value()), "'"),
              "add it to its values");
          continue;
        }
        const std::string misfit = Misfit(found->value().unit(), kind);
        if (misfit.empty()) continue;
        node.Fault(
            S::kClimateValueFieldNumber,
            absl::StrCat("of climate ", base::Printable(climate.id()), ": ", misfit));
      }
      break;
    case S::FROM_NOT_SET:
      node.Fault(S::kValueFieldNumber, "the number comes from nowhere",
                 "write value, input or climate_value");
      break;
  }
  if (number.may_be_missing() && !number.has_input()) {
    node.Fault(S::kMayBeMissingFieldNumber, "only an input may be missing",
               "leave it out");
  }
}

void SeasonNumbers::CheckIf(bool present, const v1::SeasonNumber& number, NumberKind kind,
                            int field, const Node& node) const {
  if (present) Check(number, kind, node.Child(field));
}

void SeasonNumbers::CheckInput(const Node& node, int field, const std::string& name,
                               NumberKind kind) const {
  if (inputs_.Check(node, field, name)) {
    CheckUnitOf(node, field, inputs_.UnitOf(name), kind);
  }
}

void CheckTestList(const Node& node, int field,
                   const google::protobuf::RepeatedPtrField<std::string>& tests,
                   const Names& known, std::string_view what) {
  Unique names("test");
  for (int i = 0; i < tests.size(); ++i) {
    names.Check(node, field, tests[i], i);
    CheckReference(node, field, what, tests[i], known, i);
  }
  if (tests.size() > 2) node.Fault(field, "a line goes through one or two tests");
}

namespace {

class StageCheck {
 public:
  StageCheck(const v1::BinSeason& season, const SeasonNumbers& numbers,
             const Names& tests)
      : season_(season), numbers_(numbers), tests_(tests) {}

  void Check(const Node& node) const {
    using S = v1::BinSeason;
    switch (season_.performance_case()) {
      case S::kStaged:
        CheckStaged(node.Child(S::kStagedFieldNumber));
        break;
      case S::kDeclared:
        CheckDeclared(node.Child(S::kDeclaredFieldNumber));
        break;
      case S::PERFORMANCE_NOT_SET:
        node.Fault(S::kStagedFieldNumber, "the season has no capacity and power",
                   "write staged or declared");
        break;
    }
  }

 private:
  void CheckStaged(const Node& node) const {
    using S = v1::StagedBins;
    const v1::StagedBins& staged = season_.staged();
    if (staged.all_from_map()) {
      node.Require({S::kBetweenFieldNumber});
      if (staged.curves_size() > 0) {
        node.Fault(S::kCurvesFieldNumber, "the stages come from the map", "leave it out");
      }
    } else {
      node.Require({S::kCurvesFieldNumber});
    }
    if (staged.curves_size() > 1) node.Require({S::kBetweenFieldNumber});
    if (staged.between() != v1::BETWEEN_STAGES_UNSPECIFIED) {
      node.Require({S::kBetweenCitationFieldNumber});
      if (staged.has_between_citation()) {
        CheckCitation(staged.between_citation(),
                      node.Child(S::kBetweenCitationFieldNumber));
      }
    }
    numbers_.CheckIf(staged.has_lowest_locked_above(), staged.lowest_locked_above(),
                     NumberKind::kTemperature, S::kLowestLockedAboveFieldNumber, node);
    numbers_.CheckIf(staged.has_lowest_locked_below(), staged.lowest_locked_below(),
                     NumberKind::kTemperature, S::kLowestLockedBelowFieldNumber, node);
    Unique ids("curve");
    for (int i = 0; i < staged.curves_size(); ++i) {
      const Node child = node.Child(S::kCurvesFieldNumber, i);
      ids.Check(child, v1::StageCurve::kIdFieldNumber, staged.curves(i).id());
      CheckCurve(staged, i, child);
    }
  }

  void CheckCurve(const v1::StagedBins& staged, int index, const Node& node) const {
    using C = v1::StageCurve;
    const v1::StageCurve& curve = staged.curves(index);
    node.Require({C::kIdFieldNumber});
    CheckId(node, C::kIdFieldNumber, curve.id());
    const bool over_temperature =
        staged.between() == v1::BETWEEN_STAGES_EFFICIENCY_OVER_TEMPERATURE;
    switch (curve.shape_case()) {
      case C::kPieces: {
        using P = v1::CurvePieces;
        const Node pieces = node.Child(C::kPiecesFieldNumber);
        pieces.Require({P::kPiecesFieldNumber});
        for (int i = 0; i < curve.pieces().pieces_size(); ++i) {
          CheckPiece(curve.pieces().pieces(i), pieces.Child(P::kPiecesFieldNumber, i));
        }
        break;
      }
      case C::kSlopes:
        CheckSlopes(staged, index, node.Child(C::kSlopesFieldNumber));
        break;
      case C::kFromMap:
        node.Require({C::kFromMapFieldNumber});
        break;
      case C::SHAPE_NOT_SET:
        node.Fault(C::kPiecesFieldNumber, "the curve has no shape",
                   "write pieces, slopes or from_map");
        break;
    }
    if (over_temperature && curve.shape_case() == C::kFromMap) {
      node.Fault(C::kFromMapFieldNumber,
                 "temperatures of balance are found on straight lines only",
                 "write pieces");
    }
  }

  void CheckPiece(const v1::CurvePiece& piece, const Node& node) const {
    using P = v1::CurvePiece;
    node.Require({P::kTestsFieldNumber});
    CheckCited(piece, node);
    CheckTestList(node, P::kTestsFieldNumber, piece.tests(), tests_);
    numbers_.CheckIf(piece.has_from(), piece.from(), NumberKind::kTemperature,
                     P::kFromFieldNumber, node);
    numbers_.CheckIf(piece.has_to(), piece.to(), NumberKind::kTemperature,
                     P::kToFieldNumber, node);
  }

  // A curve with a mixed slope stands between the two that it is mixed from; both are of
  // straight lines through tests.
  void CheckSlopes(const v1::StagedBins& staged, int index, const Node& node) const {
    using S = v1::SlopeCurve;
    const v1::SlopeCurve& slopes = staged.curves(index).slopes();
    node.Require({S::kTestFieldNumber, S::kLowerFieldNumber, S::kUpperFieldNumber,
                  S::kLowerTestsFieldNumber, S::kUpperTestsFieldNumber});
    CheckCited(slopes, node);
    CheckReference(node, S::kTestFieldNumber, "test", slopes.test(), tests_);
    std::vector<std::string> before;
    std::vector<std::string> after;
    for (int i = 0; i < staged.curves_size(); ++i) {
      if (!staged.curves(i).has_pieces()) continue;
      if (i < index) before.push_back(staged.curves(i).id());
      if (i > index) after.push_back(staged.curves(i).id());
    }
    CheckReference(node, S::kLowerFieldNumber, "curve of pieces before this one",
                   slopes.lower(), Names(std::move(before)));
    CheckReference(node, S::kUpperFieldNumber, "curve of pieces after this one",
                   slopes.upper(), Names(std::move(after)));
    CheckTestList(node, S::kLowerTestsFieldNumber, slopes.lower_tests(), tests_);
    CheckTestList(node, S::kUpperTestsFieldNumber, slopes.upper_tests(), tests_);
    if (slopes.lower_tests_size() == 1) {
      node.Fault(S::kLowerTestsFieldNumber, "a slope needs two tests");
    }
    if (slopes.upper_tests_size() == 1) {
      node.Fault(S::kUpperTestsFieldNumber, "a slope needs two tests");
    }
  }

  void CheckDeclared(const Node& node) const {
    using D = v1::DeclaredPoints;
    const v1::DeclaredPoints& declared = season_.declared();
    node.Require({D::kTestsFieldNumber, D::kWindowPercentFieldNumber,
                  D::kDegradeAtFieldNumber, D::kBelowFieldNumber, D::kAboveFieldNumber});
    CheckCited(declared, node);
    Unique names("test");
    for (int i = 0; i < declared.tests_size(); ++i) {
      names.Check(node, D::kTestsFieldNumber, declared.tests(i), i);
      CheckReference(node, D::kTestsFieldNumber, "test", declared.tests(i), tests_, i);
      for (const v1::SeasonTest& test : season_.tests()) {
        if (test.id() == declared.tests(i) && test.has_fallback()) {
          node.Fault(D::kTestsFieldNumber, "a declared point has no default", "", i);
        }
      }
    }
    if (!declared.has_window_percent()) return;
    const Node window = node.Child(D::kWindowPercentFieldNumber);
    window.Require({v1::CitedValue::kValueFieldNumber});
    if (declared.window_percent().unit() != "%") {
      window.Fault(v1::CitedValue::kUnitFieldNumber, "the window is in percent",
                   "write %");
    }
    CheckBetween(window, v1::CitedValue::kValueFieldNumber,
                 declared.window_percent().value(), 0, 100);
    CheckCited(declared.window_percent(), window);
  }

  const v1::BinSeason& season_;
  const SeasonNumbers& numbers_;
  const Names& tests_;
};

}  // namespace

void CheckSeasonStages(const v1::BinSeason& season, const SeasonNumbers& numbers,
                       const Names& tests, const Node& node) {
  StageCheck(season, numbers, tests).Check(node);
}

}  // namespace ratebound::document
