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

// What the manifest says of a quantity outright.
SystematicPart Stated(const document::LineManifest& manifest, std::string_view quantity) {
  for (const document::SystematicUncertainty& entry : manifest.systematic_uncertainties) {
    if (entry.quantity == quantity) return {entry.relative_fraction, entry.absolute_si};
  }
  return {};
}

}  // namespace

SystematicPart SystematicOfResponse(const document::LineManifest& manifest,
                                    const document::StageMap& map,
                                    std::string_view quantity) {
  for (const document::Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        (surface.systematic_fraction > 0 || surface.systematic_absolute_si > 0)) {
      return {surface.systematic_fraction, surface.systematic_absolute_si};
    }
  }
  return Stated(manifest, quantity);
}

double SystematicOfCondition(const document::LineManifest& manifest,
                             const document::StageMap& map, size_t condition) {
  if (condition < map.condition_systematic_si.size() &&
      map.condition_systematic_si[condition] > 0) {
    return map.condition_systematic_si[condition];
  }
  const SystematicPart stated = Stated(manifest, map.conditions[condition]);
  const double greatest = std::max(std::fabs(map.tested_low_si[condition]),
                                   std::fabs(map.tested_high_si[condition]));
  return stated.absolute_si + stated.fraction * greatest;
}

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
