#include "engine/map/shape.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/map/consistency.h"
#include "engine/map/fit_line.h"
#include "engine/map/shape_change.h"
#include "engine/map/shape_judge.h"
#include "engine/map/shape_refit.h"
#include "engine/map/surface_polynomials.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::map {
namespace {

using bound::Polynomial;
using document::ShapeFact;
using document::ShapeKind;
using document::ShapeOutcome;
using document::ShapeResult;
using document::StageMap;
using document::Surface;

// The SI unit of a quantity, or of differences of it.
std::string SiUnitOf(std::string_view quantity, bool difference = false) {
  const auto found = quantity::FindQuantity(quantity);
  if (!found.ok()) return "";
  quantity::Dimension dimension = (*found)->dimension;
  if (difference) dimension = quantity::DifferenceOf(dimension);
  const std::string_view name = quantity::SiUnit(dimension).name;
  // "W per K" reads better than "W per delta_K", and says the same.
  constexpr std::string_view kDifference = "delta_";
  return std::string(name.starts_with(kDifference) ? name.substr(kDifference.size())
                                                   : name);
}

std::string Short(double value) { return absl::StrFormat("%.6g", value); }
std::string Percent(double fraction) {
  return absl::StrFormat("%.3g %%", 100 * fraction);
}

bool IsSlope(const ShapeFact& fact) {
  return fact.kind == ShapeKind::kRises || fact.kind == ShapeKind::kFalls;
}

// What the margin is called and its unit.
std::string MarginName(const ShapeFact& fact) {
  switch (fact.kind) {
    case ShapeKind::kRises:
      return absl::StrCat("slope of ", fact.quantity, " over ", fact.condition);
    case ShapeKind::kFalls:
      return absl::StrCat("fall of ", fact.quantity, " over ", fact.condition);
    case ShapeKind::kAtLeast:
      return absl::StrCat("margin of ", fact.quantity);
    case ShapeKind::kAtMostOther:
      break;
  }
  return absl::StrCat("margin of ", fact.quantity, " below ", fact.other_quantity);
}

std::string MarginUnit(const ShapeFact& fact) {
  const std::string unit = SiUnitOf(fact.quantity, true);
  return IsSlope(fact) ? absl::StrCat(unit, " per ", SiUnitOf(fact.condition, true))
                       : unit;
}

std::string ReasonOf(const ShapeResult& result, const StageMap& map, bool grazes,
                     double tested_fraction) {
  const std::string least =
      absl::StrCat("the least ", MarginName(result.fact), " that was found is ",
                   Short(result.worst_margin_si), " ", MarginUnit(result.fact), ", at ",
                   PlaceText(map, result.worst_point_si));
  const std::string region =
      tested_fraction == 1 ? "the tested ranges"
                           : absl::StrCat("the tested region, ", Percent(tested_fraction),
                                          " of the tested ranges");
  switch (result.outcome) {
    case ShapeOutcome::kProven:
      return absl::StrCat("holds over ", region, ": ", least);
    case ShapeOutcome::kRefuted:
      return absl::StrCat("fails over ", Percent(result.failing_fraction_low), " to ",
                          Percent(result.failing_fraction_high), " of ", region, ": ",
                          least);
    default:
      break;
  }
  if (grazes) {
    return absl::StrCat("touches its limit within rounding, which hides the sign: ",
                        least);
  }
  return absl::StrCat("not decided within ", result.box_count,
                      " boxes; it may fail over ", Percent(result.failing_fraction_high),
                      " of ", region, ": ", least);
}

ShapeResult NotJudged(const ShapeFact& fact, const absl::Status& status) {
  return {.fact = fact,
          .outcome = ShapeOutcome::kNotJudged,
          .reason = std::string(status.message())};
}

absl::StatusOr<ShapeResult> Judge(const ShapeFact& fact, const StageMap& map) {
  ASSIGN_OR_RETURN(const Polynomial margin, MarginOf(fact, map));
  ASSIGN_OR_RETURN(const Surface* surface, JudgedSurface(map, fact.quantity));
  ASSIGN_OR_RETURN(const RegionJudge judge, RegionJudge::Create(map, *surface));
  ASSIGN_OR_RETURN(const RegionVerdict verdict, judge.Judge(margin));
  // Slopes over z become slopes over the condition.
  const double scale =
      IsSlope(fact) ? surface->half_range_si[ConditionIndex(map, fact.condition)] : 1;
  ShapeResult result{.fact = fact,
                     .outcome = verdict.outcome,
                     .worst_margin_si = verdict.worst_value / scale,
                     .worst_point_si = UnscaledPoint(*surface, verdict.worst_z),
                     .margin_bound_si = verdict.lower_bound / scale,
                     .failing_fraction_low = verdict.failing_low,
                     .failing_fraction_high = verdict.failing_high,
                     .box_count = verdict.boxes};
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    // A place at the end of a range is that end, not its image through z.
    result.worst_point_si[i] =
        std::clamp(result.worst_point_si[i], map.tested_low_si[i], map.tested_high_si[i]);
  }
  result.reason = ReasonOf(result, map, verdict.grazes, judge.tested_fraction());
  return result;
}

void JudgeFacts(const document::Mode& mode, StageMap& map) {
  for (const ShapeFact& fact : mode.shape_facts) {
    if (Applies(fact, map)) map.shapes.push_back(JudgeFact(fact, map));
  }
}

}  // namespace

int ConditionIndex(const StageMap& map, const std::string& condition) {
  const auto found = std::find(map.conditions.begin(), map.conditions.end(), condition);
  return found == map.conditions.end() ? -1
                                       : static_cast<int>(found - map.conditions.begin());
}

std::string PlaceText(const StageMap& map, const std::vector<double>& point_si) {
  std::string text;
  for (size_t i = 0; i < point_si.size() && i < map.conditions.size(); ++i) {
    absl::StrAppend(&text, text.empty() ? "" : ", ", map.conditions[i], " ",
                    Short(point_si[i]), " ", SiUnitOf(map.conditions[i]));
  }
  return text;
}

bool Applies(const ShapeFact& fact, const StageMap& map) {
  return fact.regime.empty() || fact.regime == map.regime;
}

absl::StatusOr<const Surface*> JudgedSurface(const StageMap& map,
                                             const std::string& quantity) {
  const Surface* const surface =
      FindSurface(map, quantity, document::SurfacePurpose::kTable);
  if (surface == nullptr) {
    return absl::FailedPreconditionError(
        absl::StrCat("there is no surface of ", quantity, " for tables"));
  }
  if (!IsPlainPolynomial(*surface)) {
    return absl::FailedPreconditionError(absl::StrCat(
        "the surface of ", quantity,
        " is no plain polynomial in the conditions, so nothing is proven of its shape"));
  }
  return surface;
}

absl::StatusOr<Polynomial> MarginOf(const ShapeFact& fact, const StageMap& map) {
  ASSIGN_OR_RETURN(const Surface* surface, JudgedSurface(map, fact.quantity));
  ASSIGN_OR_RETURN(const Polynomial value, ValuePolynomial(*surface));
  const int n = value.variables();
  if (IsSlope(fact)) {
    const int condition = ConditionIndex(map, fact.condition);
    if (condition < 0) {
      return absl::FailedPreconditionError(
          absl::StrCat("no surface depends on ", fact.condition));
    }
    const Polynomial slope = value.Derivative(condition);
    return fact.kind == ShapeKind::kRises ? slope : slope.Scale(-1);
  }
  if (fact.kind == ShapeKind::kAtLeast) {
    return Sum(value, Polynomial::Constant(n, -fact.limit_si));
  }
  ASSIGN_OR_RETURN(const Surface* other, JudgedSurface(map, fact.other_quantity));
  if (other->centre_si != surface->centre_si ||
      other->half_range_si != surface->half_range_si) {
    return absl::FailedPreconditionError(absl::StrCat("the surfaces of ", fact.quantity,
                                                      " and ", fact.other_quantity,
                                                      " are scaled to other ranges"));
  }
  ASSIGN_OR_RETURN(const Polynomial greater, ValuePolynomial(*other));
  ASSIGN_OR_RETURN(const Polynomial difference, Sum(greater, value.Scale(-1)));
  return Sum(difference, Polynomial::Constant(n, fact.limit_si));
}

ShapeResult JudgeFact(const ShapeFact& fact, const StageMap& map) {
  auto result = Judge(fact, map);
  return result.ok() ? *std::move(result) : NotJudged(fact, result.status());
}

void JudgeShape(const document::LineManifest&, const document::Mode& mode,
                std::span<const document::TestPoint> points, StageMap& map) {
  map.shapes.clear();
  map.consistencies.clear();
  map.response_covariances.clear();
  map.shape_refits.clear();
  std::vector<JointFit> joint_fits = FitTogether(mode, points, map);
  JudgeFacts(mode, map);
  if (mode.constrain_to_shape_facts) {
    const std::vector<std::string> changed = BendToFacts(joint_fits, map);
    for (ShapeResult& result : map.shapes) {
      const auto is_changed = [&](const std::string& quantity) {
        return std::find(changed.begin(), changed.end(), quantity) != changed.end();
      };
      if (!is_changed(result.fact.quantity) && !is_changed(result.fact.other_quantity)) {
        continue;
      }
      const ShapeOutcome before = result.outcome;
      result = JudgeFact(result.fact, map);
      result.outcome_before_refit = before;
    }
  }
  JudgeConsistency(mode, points, std::move(joint_fits), map);
}

}  // namespace ratebound::map
