#include "engine/points/pipeline/mode_plans.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/points/point_checks.h"

namespace ratebound::points {
namespace {

// A wet bulb may read above its dry bulb by what the manifest allows the two, as ingest
// allows it.
ReductionOptions OptionsFor(const document::LineManifest& manifest) {
  return {.wet_bulb_slack_k =
              HumiditySlackK(manifest, "entering_air_wb", "entering_air_db", 0, 0)};
}

}  // namespace

absl::StatusOr<ModePlans> ModePlans::Create(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods) {
  base::FaultList faults;
  ModePlans plans;
  for (const document::Unit& unit : manifest.units) {
    for (const document::Mode& mode : unit.modes) {
      if (!mode.reduction) continue;
      auto plan = ReductionPlan::Create(mode, methods, OptionsFor(manifest));
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

}  // namespace ratebound::points
