#include "engine/map/support.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"

namespace ratebound::map {
namespace {

absl::Status CheckBox(const document::StageMap& map, std::span<const double> low_si,
                      std::span<const double> high_si) {
  const size_t n = map.conditions.size();
  if (low_si.size() != n || high_si.size() != n) {
    return absl::InvalidArgumentError(absl::StrCat("the map has ", n, " conditions; ",
                                                   low_si.size(), " and ", high_si.size(),
                                                   " ends given"));
  }
  base::FaultList faults;
  for (size_t i = 0; i < n; ++i) {
    if (std::isfinite(low_si[i]) && std::isfinite(high_si[i]) && low_si[i] <= high_si[i])
      continue;
    faults.Add({.field = map.conditions[i],
                .message = absl::StrCat("runs from ", low_si[i], " to ", high_si[i]),
                .remedy = "give finite ends, the lower one first"});
  }
  return faults.ToStatus();
}

}  // namespace

const document::Surface* SupportingSurface(const document::StageMap& map) {
  for (const document::Surface& surface : map.surfaces) {
    if (surface.quantity == map.capacity_quantity &&
        surface.purpose == document::SurfacePurpose::kTable) {
      return &surface;
    }
  }
  return map.surfaces.empty() ? nullptr : &map.surfaces.front();
}

absl::StatusOr<BoxSupport> SupportOfBox(const document::StageMap& map,
                                        std::span<const double> low_si,
                                        std::span<const double> high_si) {
  RETURN_IF_ERROR(CheckBox(map, low_si, high_si));
  const document::Surface* const surface = SupportingSurface(map);
  if (surface == nullptr) {
    return absl::FailedPreconditionError(
        "the map has no surface, so nothing between its points is supported");
  }
  ASSIGN_OR_RETURN(const TestedRegion tested, TestedRegion::Create(map, *surface));
  ASSIGN_OR_RETURN(TestedShare share, tested.Share(low_si, high_si));
  BoxSupport support{.inside_fraction = share.tested_fraction};
  support.outside_fraction =
      std::max(0.0, 1 - share.tested_fraction - share.unknown_fraction);
  // A part outside of no volume, such as a box in a plane beyond a range, is still named.
  const bool outside = support.outside_fraction > 0 || !share.inside.has_value();
  support.answer = outside                      ? BoxSupport::kPartlyOutside
                   : share.tested_fraction == 1 ? BoxSupport::kInside
                                                : BoxSupport::kUndecided;
  if (outside) support.outside = std::move(share.untested);
  return support;
}

absl::StatusOr<bool> IsSupported(const document::StageMap& map,
                                 std::span<const double> point_si) {
  ASSIGN_OR_RETURN(const BoxSupport support, SupportOfBox(map, point_si, point_si));
  return support.answer == BoxSupport::kInside;
}

}  // namespace ratebound::map
