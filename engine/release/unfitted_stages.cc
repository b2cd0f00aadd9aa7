#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/release/work.h"

namespace ratebound::release {
namespace {

// Refusals say "no surface of total_capacity for tables: why"; most responses of a stage
// have the same reason.
std::vector<std::string> Reasons(const document::StageMap& map) {
  std::vector<std::string> reasons;
  for (const std::string& refusal : map.refusals) {
    const size_t colon = refusal.find(": ");
    std::string reason = colon == std::string::npos ? refusal : refusal.substr(colon + 2);
    if (std::find(reasons.begin(), reasons.end(), reason) == reasons.end()) {
      reasons.push_back(std::move(reason));
    }
  }
  return reasons;
}

}  // namespace

std::optional<base::Fault> UnfittedStage(const Folder& folder,
                                         const map::StageModel& model) {
  const document::StageMap& map = model.map();
  if (!map.surfaces.empty()) return {};
  base::Fault fault;
  std::vector<std::string> files;
  for (const document::TestPoint& point : folder.points) {
    if (std::find(map.point_ids.begin(), map.point_ids.end(), point.id) ==
        map.point_ids.end()) {
      continue;
    }
    if (std::find(files.begin(), files.end(), point.file) == files.end()) {
      files.push_back(point.file);
    }
    fault.line = map.point_ids.size() == 1 ? point.line : 0;
  }
  if (!files.empty()) fault.file = files.front();
  if (files.size() != 1) fault.line = 0;
  fault.message =
      absl::StrCat(map.unit, "/", map.mode, "/", map.stage, map.regime.empty() ? "" : "/",
                   map.regime, " has no surface over its ", map.point_ids.size(),
                   map.point_ids.size() == 1 ? " point" : " points",
                   files.size() > 1 ? absl::StrCat(" of ", files.size(), " files") : "",
                   ": ", absl::StrJoin(Reasons(map), "; "));
  fault.remedy =
      "test more, list a condition that never changes under held_conditions, or take the "
      "stage out of line.textproto";
  return fault;
}

absl::Status CheckEveryStageFitted(const Folder& folder, const Maps& maps) {
  base::FaultList faults;
  for (const map::StageModel& model : maps.all()) {
    const document::StageMap& map = model.map();
    const auto regimes = maps.Find(map.unit, map.mode, map.stage);
    const bool some_regime_fitted = std::any_of(
        regimes.begin(), regimes.end(),
        [](const map::StageModel* regime) { return !regime->map().surfaces.empty(); });
    if (some_regime_fitted) continue;
    if (auto fault = UnfittedStage(folder, model)) faults.Add(*std::move(fault));
  }
  return faults.ToStatus();
}

}  // namespace ratebound::release
