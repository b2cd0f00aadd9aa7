#include "engine/map/systematic.h"

#include <algorithm>
#include <cmath>

#include "engine/quantity/vocabulary.h"

namespace ratebound::map {
namespace {

// Whether a part of the value says anything: not for scales that start anywhere.
bool HasParts(std::string_view quantity) {
  const auto found = quantity::FindQuantity(quantity);
  if (!found.ok()) return false;
  using quantity::Dimension;
  const Dimension dimension = (*found)->dimension;
  return dimension == Dimension::kPower || dimension == Dimension::kVolumeFlow ||
         dimension == Dimension::kMassFlow || dimension == Dimension::kEnergyRatio;
}

}  // namespace

SystematicPart SystematicOfPoints(std::span<const document::TestPoint* const> points,
                                  std::string_view quantity) {
  SystematicPart part;
  const bool has_parts = HasParts(quantity);
  for (const document::TestPoint* point : points) {
    const document::SiValue* const value = point->FindValue(quantity);
    if (value == nullptr || !value->uncertainty) continue;
    const double expanded_si = value->uncertainty->systematic_expanded_si;
    if (has_parts && value->value_si != 0) {
      part.fraction = std::max(part.fraction, expanded_si / std::fabs(value->value_si));
    } else {
      part.absolute_si = std::max(part.absolute_si, expanded_si);
    }
  }
  return part;
}

void SetSystematic(std::span<const document::TestPoint* const> points,
                   document::StageMap& map) {
  std::vector<double> of_conditions;
  double greatest = 0;
  for (const std::string& condition : map.conditions) {
    double absolute_si = 0;
    for (const document::TestPoint* point : points) {
      const document::SiValue* const value = point->FindValue(condition);
      if (value == nullptr || !value->uncertainty) continue;
      absolute_si = std::max(absolute_si, value->uncertainty->systematic_expanded_si);
    }
    of_conditions.push_back(absolute_si);
    greatest = std::max(greatest, absolute_si);
  }
  if (greatest > 0) map.condition_systematic_si = std::move(of_conditions);
  for (document::Surface& surface : map.surfaces) {
    const SystematicPart part = SystematicOfPoints(points, surface.quantity);
    surface.systematic_fraction = part.fraction;
    surface.systematic_absolute_si = part.absolute_si;
  }
}

}  // namespace ratebound::map
