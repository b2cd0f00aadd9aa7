#include "engine/release/rate_once_more.h"

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/release/folder.h"
#include "engine/release/work.h"

namespace ratebound::release {

absl::StatusOr<document::Rating> RateOnceMore(const document::Release& release,
                                              const std::string& unit,
                                              const std::string& procedure) {
  Folder folder;
  folder.manifest = release.manifest;
  folder.points = release.points;
  ASSIGN_OR_RETURN(const Maps maps, Maps::Create(release.maps));
  for (const document::Unit& each : folder.manifest.units) {
    if (each.id != unit) continue;
    return RateBy({}, folder, each, procedure, release.procedures, maps);
  }
  return absl::NotFoundError(absl::StrCat("the release has no unit '", unit, "'"));
}

}  // namespace ratebound::release
