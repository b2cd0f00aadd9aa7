#include "engine/claim/judged_figures.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"

namespace ratebound::claim {
namespace {

std::vector<document::Measure> StatedPoint(const Frame& frame, const StatedRegion& region,
                                           const std::vector<double>& z) {
  std::vector<document::Measure> point;
  const document::ConditionBox& box = region.pieces().box;
  const std::vector<double> x = PointOf(frame, z);
  for (size_t i = 0; i < x.size(); ++i) {
    // z is widened by rounding, so an end of the region may come back a step outside it.
    const double low_si = box.low_si[i], high_si = box.high_si[i];
    double value_si = std::clamp(x[i], low_si, high_si);
    const double slack = 1e-12 * frame.half_range_si[i];
    if (std::fabs(value_si - low_si) <= slack) value_si = low_si;
    if (std::fabs(value_si - high_si) <= slack) value_si = high_si;
    point.push_back({region.range(i).quantity, region.InUnit(i, value_si),
                     region.range(i).unit, value_si});
  }
  return point;
}

}  // namespace

std::string ModelText(const OneSide& side) {
  const document::Surface& surface = side.surfaces.front();
  std::string text = absl::StrCat("full polynomial of degree ", surface.degree, " in ",
                                  surface.centre_si.size(), " conditions (",
                                  surface.coefficients_si.size(), " terms)");
  for (size_t k = 1; k < side.surfaces.size(); ++k) {
    absl::StrAppend(&text, " and of degree ", side.surfaces[k].degree, " (",
                    side.surfaces[k].coefficients_si.size(), " terms)");
  }
  if (side.surfaces.size() > 1) {
    absl::StrAppend(&text, ", each with a band at the level divided by ",
                    side.surfaces.size());
  }
  // What the surface does not follow holds only as it was held.
  const document::StageMap& map = *side.stages.front()->map;
  if (!map.held_conditions.empty()) {
    absl::StrAppend(&text,
                    "; as held in the tests: ", absl::StrJoin(map.held_conditions, ", "));
  }
  return text;
}

double LeastDegreesOfFreedom(const OneSide& side) {
  double least = side.surfaces.front().degrees_of_freedom;
  for (const document::Surface& surface : side.surfaces) {
    least = std::min(least, surface.degrees_of_freedom);
  }
  return least;
}

JudgedPromise RecordFigures(const JudgedFigures& how, const JudgedPoint& point,
                            document::Verdict& verdict) {
  const SideMargin& side = *point.side;
  const OneSide& one = how.granted ? side.margin.granted : side.margin.taken;
  const Factors& factors = how.granted ? *side.refuting : side.proving;
  const std::vector<double>& z = point.z;
  verdict.coverage_factor = *std::max_element(factors.begin(), factors.end());
  if (how.several_stages) verdict.worst_stage = point.alternative->stage;
  verdict.worst_point = StatedPoint(how.frame, how.region, z);
  const double per = MarginDivisor(side, z);
  const double estimate_si = side.margin.numerator.Evaluate(z) / per;
  // Against another quantity or a line the limit is another at each point.
  const bool moving = how.claim.against || how.claim.limit_line;
  const double limit = moving ? quantity::FromSi(side.margin.limit.Evaluate(z), how.unit)
                              : side.side.limit;
  const auto difference = [&](double value_si) {
    return quantity::DifferenceFromSi(value_si / per, how.unit);
  };
  verdict.estimate = quantity::FromSi(estimate_si, how.unit);
  verdict.standard_error = difference(StandardErrorAt(one, z));
  verdict.systematic = difference(SystematicAt(one, z, factors));
  verdict.margin = difference(point.margin_si);
  verdict.bound = limit + side.side.sign * verdict.margin;
  return {.limit = limit, .sign = side.side.sign, .what = side.side.what};
}

}  // namespace ratebound::claim
