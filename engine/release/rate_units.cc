#include <algorithm>
#include <utility>

#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/rating/map_rated_unit.h"
#include "engine/rating/rate.h"
#include "engine/release/parallel.h"
#include "engine/release/work.h"

namespace ratebound::release {
namespace {

absl::StatusOr<document::Rating> Rate(const BuildRequest& request,
                                      const document::Unit& unit,
                                      const document::Procedure& procedure,
                                      const Maps& maps) {
  ASSIGN_OR_RETURN(const rating::RatedUnit rated,
                   rating::MapRatedUnit(unit, maps.all(), procedure.mode_kind));
  return rating::RateUnit(procedure, rated, {.published_only = request.published_only});
}

bool IsDeclared(const document::Unit& unit, const document::Procedure& procedure) {
  return std::any_of(unit.declared_ratings.begin(), unit.declared_ratings.end(),
                     [&](const document::DeclaredRating& declared) {
                       return declared.procedure == procedure.id;
                     });
}

}  // namespace

absl::StatusOr<std::vector<document::Rating>> RateUnits(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps) {
  std::vector<std::pair<const document::Unit*, const document::Procedure*>> pairs;
  const std::vector<std::string>& listed = folder.manifest.procedures;
  for (const document::Unit& unit : folder.manifest.units) {
    if (!request.only_unit.empty() && unit.id != request.only_unit) continue;
    for (const document::Procedure& procedure : procedures) {
      const bool wanted =
          !request.parts.ratings ? IsDeclared(unit, procedure)
          : request.only_procedure.empty()
              ? std::find(listed.begin(), listed.end(), procedure.id) != listed.end()
              : procedure.id == request.only_procedure;
      if (wanted) pairs.push_back({&unit, &procedure});
    }
  }
  const int count = static_cast<int>(pairs.size());
  std::vector<absl::StatusOr<document::Rating>> rated(count);
  RETURN_IF_ERROR(ForEachIndex(count, request.thread_count, request.stop, [&](int i) {
    rated[i] = Rate(request, *pairs[i].first, *pairs[i].second, maps);
  }));
  base::FaultList faults;
  std::vector<document::Rating> ratings;
  for (absl::StatusOr<document::Rating>& rating : rated) {
    faults.AddStatus(rating.status());
    if (rating.ok()) ratings.push_back(*std::move(rating));
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return ratings;
}

}  // namespace ratebound::release
