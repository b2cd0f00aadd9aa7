#include "engine/recheck/specimens.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::recheck {
namespace {

using document::StageMap;
using document::TestPoint;

// The degrees in "full polynomial of degree 2 in ... and of degree 1 ...".
std::vector<int> DegreesOf(const std::string& model) {
  constexpr char kMark[] = "of degree ";
  std::vector<int> degrees;
  for (size_t at = model.find(kMark); at != std::string::npos;
       at = model.find(kMark, at + 1)) {
    degrees.push_back(std::atoi(model.c_str() + at + sizeof kMark - 1));
  }
  return degrees;
}

// Whether a part of the value says anything: not for scales that start anywhere.
bool HasParts(const std::string& quantity) {
  const auto known = quantity::FindQuantity(quantity);
  if (!known.ok()) return false;
  using quantity::Dimension;
  const Dimension dimension = (*known)->dimension;
  return dimension == Dimension::kPower || dimension == Dimension::kVolumeFlow ||
         dimension == Dimension::kMassFlow || dimension == Dimension::kEnergyRatio;
}

// The stage by the points of one specimen, with a surface that has a degree alone. The
// systematic uncertainty is the greatest over the points (map/systematic.h).
absl::StatusOr<std::shared_ptr<StageMap>> MapOf(const PromiseInputs& inputs,
                                                const std::string& specimen, int degree) {
  auto map = std::make_shared<StageMap>();
  map->unit = inputs.claim.unit;
  map->mode = inputs.claim.mode;
  map->stage = inputs.claim.stage;
  map->regime = specimen;  // tells the two apart
  map->conditions = inputs.conditions;
  const size_t n = inputs.size();
  document::Surface surface{.quantity = inputs.claim.quantity,
                            .purpose = document::SurfacePurpose::kProof,
                            .degree = degree};
  std::vector<double> of_conditions(n, 0.0);
  const bool has_parts = HasParts(surface.quantity);
  for (const TestPoint& point : inputs.release.points) {
    if (point.specimen != specimen || !point.accepted() || point.unit != map->unit ||
        point.mode != map->mode || point.stage != map->stage) {
      continue;
    }
    map->point_ids.push_back(point.id);
    for (size_t i = 0; i < n; ++i) {
      const document::SiValue* const read = point.FindValue(inputs.conditions[i]);
      if (read == nullptr) {
        return absl::InvalidArgumentError("a point lacks " + inputs.conditions[i]);
      }
      if (map->point_ids.size() == 1) {
        map->tested_low_si.push_back(read->value_si);
        map->tested_high_si.push_back(read->value_si);
      }
      map->tested_low_si[i] = std::min(map->tested_low_si[i], read->value_si);
      map->tested_high_si[i] = std::max(map->tested_high_si[i], read->value_si);
      if (!read->uncertainty) continue;
      of_conditions[i] =
          std::max(of_conditions[i], read->uncertainty->systematic_expanded_si);
    }
    const document::SiValue* const read = point.FindValue(surface.quantity);
    if (read == nullptr || !read->uncertainty) continue;
    const double expanded_si = read->uncertainty->systematic_expanded_si;
    if (has_parts && read->value_si != 0) {
      surface.systematic_fraction =
          std::max(surface.systematic_fraction, expanded_si / std::fabs(read->value_si));
    } else {
      surface.systematic_absolute_si =
          std::max(surface.systematic_absolute_si, expanded_si);
    }
  }
  if (map->point_ids.empty()) {
    return absl::InvalidArgumentError(
        absl::StrCat("the release has no points of specimen ", specimen));
  }
  map->condition_systematic_si = std::move(of_conditions);
  map->surfaces.push_back(std::move(surface));
  return map;
}

}  // namespace

absl::Status AddEquivalence(const PromiseInputs& inputs, Promise& promise) {
  const document::Equivalence& promised = *inputs.claim.equivalence;
  const std::vector<int> degrees = DegreesOf(inputs.model);
  if (degrees.size() != 2) {
    return absl::InvalidArgumentError("the model states no degrees of two specimens");
  }
  ASSIGN_OR_RETURN(const auto specimen, MapOf(inputs, promised.specimen, degrees[0]));
  ASSIGN_OR_RETURN(const auto reference,
                   MapOf(inputs, promised.reference_specimen, degrees[1]));
  promise.own_maps = {specimen, reference};
  Way way{.stage = promised.specimen};
  for (const double sign : {1.0, -1.0}) {
    Formula formula{
        .over_map = reference.get(), .over = inputs.claim.quantity, .sign = sign};
    formula.numerator = {
        {specimen.get(), inputs.claim.quantity, NumberIn(inputs.size(), 1)}};
    formula.limit = NumberIn(inputs.size(), 1 - sign * promised.within_fraction);
    formula.allowance_si =
        inputs.AllowanceAt(inputs.claim.allowance.absolute, promised.within_fraction);
    way.sides.push_back(promise.formulas.size());
    promise.formulas.push_back(std::move(formula));
  }
  promise.duties.push_back({inputs.region, {std::move(way)}, "the specimens alike"});
  return absl::OkStatus();
}

}  // namespace ratebound::recheck
