#include "engine/points/pipeline/mode_plans.h"

#include <algorithm>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/points/point_checks.h"

namespace ratebound::points {
namespace {

// A wet bulb or dew point may read above its dry bulb by what ingest allows any of the
// pairs that a reduction takes in any file, so that no point passes the one and fails the
// other.
ReductionOptions OptionsFor(const document::LineManifest& manifest, ModePlans::Use use) {
  constexpr double kAnySlackK = 5;  // the most that a plan takes
  if (use == ModePlans::Use::kDraws) return {.wet_bulb_slack_k = kAnySlackK};
  constexpr std::pair<std::string_view, std::string_view> kPairs[] = {
      {"entering_air_wb", "entering_air_db"},
      {"leaving_air_wb", "leaving_air_db"},
      {"entering_air_dew_point", "entering_air_db"},
      {"leaving_air_dew_point", "leaving_air_db"}};
  std::vector<std::string_view> files = {""};
  for (const document::PointFile& file : manifest.point_files) files.push_back(file.path);
  for (const document::LogFile& log : manifest.log_files) files.push_back(log.path);
  double slack_k = 0;
  for (const std::string_view file : files) {
    for (const auto& [lower, upper] : kPairs) {
      slack_k = std::max(slack_k, HumiditySlackK(manifest, file, lower, upper, 0, 0));
    }
  }
  return {.wet_bulb_slack_k = std::min(slack_k, kAnySlackK)};
}

}  // namespace

absl::StatusOr<ModePlans> ModePlans::Create(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods, Use use) {
  base::FaultList faults;
  ModePlans plans;
  for (const document::LogFile& log : manifest.log_files) {
    if (log.frost_cycles) plans.integrated_files_.insert(log.path);
  }
  for (const document::Unit& unit : manifest.units) {
    for (const document::Mode& mode : unit.modes) {
      if (!mode.reduction) continue;
      auto plan = ReductionPlan::Create(mode, methods, OptionsFor(manifest, use));
      if (plan.ok()) {
        plans.entries_.emplace(std::pair(unit.id, mode.id),
                               Entry{&mode, *std::move(plan)});
        continue;
      }
      for (base::Fault fault : base::FaultsOf(plan.status())) {
        if (fault.file.empty()) fault.file = "line.textproto";
        fault.message =
            absl::StrCat("the reduction of ", unit.id, "/", mode.id, ": ", fault.message);
        faults.Add(std::move(fault));
      }
    }
  }
  if (!faults.empty()) return faults.ToStatus();
  return plans;
}

const ModePlans::Entry* ModePlans::Find(std::string_view unit,
                                        std::string_view mode) const {
  const auto found = entries_.find(std::pair<std::string, std::string>(unit, mode));
  return found == entries_.end() ? nullptr : &found->second;
}

const ModePlans::Entry* ModePlans::For(const document::TestPoint& point) const {
  if (!point.accepted() || integrated_files_.contains(point.file)) return nullptr;
  return Find(point.unit, point.mode);
}

}  // namespace ratebound::points
