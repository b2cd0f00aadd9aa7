#include "engine/points/stage_points.h"

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"

namespace ratebound::points {
namespace {

using document::TestPoint;

// Fills columns and blocks from the points.
void FillColumns(StagePoints& group, base::FaultList& faults) {
  for (const std::string& condition : group.mode->conditions) {
    std::vector<double>& column = group.columns.emplace_back();
    for (const TestPoint* point : group.points) {
      const std::optional<double> value = point->Find(condition);
      if (!value) {
        faults.Add({.file = point->file,
                    .line = point->line,
                    .message = absl::StrCat("point '", point->id, "' has no ", condition,
                                            ", a condition of mode ", group.mode->id)});
      }
      column.push_back(value.value_or(0));
    }
  }
  for (const TestPoint* point : group.points) {
    if (std::find(group.specimens.begin(), group.specimens.end(), point->specimen) ==
        group.specimens.end()) {
      group.specimens.push_back(point->specimen);
    }
  }
  const bool any_block =
      std::any_of(group.points.begin(), group.points.end(),
                  [](const TestPoint* point) { return !point->block.empty(); });
  if (!any_block) return;
  for (const TestPoint* point : group.points) {
    auto found =
        std::find(group.block_names.begin(), group.block_names.end(), point->block);
    group.blocks.push_back(static_cast<int>(found - group.block_names.begin()));
    if (found == group.block_names.end()) group.block_names.push_back(point->block);
  }
}

}  // namespace

absl::StatusOr<std::vector<StagePoints>> GroupPoints(
    const document::LineManifest& manifest, std::span<const TestPoint> points,
    std::string_view only_unit) {
  base::FaultList faults;
  std::vector<StagePoints> groups;
  std::vector<std::string> unit_ids;
  // Points by unit, once: a line may have thousands of units.
  std::map<std::string_view, std::vector<const TestPoint*>> of_units;
  for (const TestPoint& point : points) {
    if (point.accepted()) of_units[point.unit].push_back(&point);
  }
  for (const document::Unit& unit : manifest.units) {
    unit_ids.push_back(unit.id);
    if (!only_unit.empty() && unit.id != only_unit) continue;
    const std::vector<const TestPoint*>& of_unit = of_units[unit.id];
    for (const document::Mode& mode : unit.modes) {
      for (const document::Stage& stage : mode.stages) {
        std::map<std::string, StagePoints> by_regime;
        for (const TestPoint* point : of_unit) {
          if (point->mode != mode.id || point->stage != stage.id) continue;
          StagePoints& group = by_regime[point->regime];
          if (point->Find(mode.capacity_quantity) && point->Find(mode.power_quantity)) {
            group.points.push_back(point);
          } else {
            group.incomplete_point_ids.push_back(point->id);
          }
        }
        for (auto& [regime, group] : by_regime) {
          if (group.points.empty()) continue;
          group.unit = &unit;
          group.mode = &mode;
          group.stage = stage.id;
          group.regime = regime;
          FillColumns(group, faults);
          groups.push_back(std::move(group));
        }
      }
    }
  }
  const std::string wanted(only_unit);
  if (!only_unit.empty() &&
      std::find(unit_ids.begin(), unit_ids.end(), wanted) == unit_ids.end()) {
    faults.Add({.message = absl::StrCat("unknown unit '", wanted, "'",
                                        base::DidYouMean(wanted, unit_ids))});
  }
  if (!faults.empty()) return faults.ToStatus();
  return groups;
}

absl::Status CheckPooling(const StagePoints& group) {
  if (group.unit->pool_specimens || group.specimens.size() < 2) return absl::OkStatus();
  const TestPoint& first = *group.points[0];
  const TestPoint& other = **std::find_if(
      group.points.begin(), group.points.end(),
      [&](const TestPoint* point) { return point->specimen != first.specimen; });
  const auto shown = [](const TestPoint& point) {
    return point.specimen.empty() ? std::string("without a specimen")
                                  : absl::StrCat("of specimen '", point.specimen, "'");
  };
  base::FaultList faults;
  faults.Add({.file = other.file,
              .line = other.line,
              .message = absl::StrCat(NameOf(group), ": point '", other.id, "' is ",
                                      shown(other), " and point '", first.id, "' is ",
                                      shown(first), "; unlike specimens are not pooled"),
              .remedy = "drop the points of one, or set pool_specimens of the unit"});
  return faults.ToStatus();
}

std::string NameOf(const StagePoints& group) {
  return absl::StrCat(group.unit->id, "/", group.mode->id, "/", group.stage,
                      group.regime.empty() ? "" : "/", group.regime);
}

int CountLevels(std::span<const double> values) {
  if (values.empty()) return 0;
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const double width = kLevelWidth * (sorted.back() - sorted.front());
  int levels = 1;
  double start = sorted.front();
  for (double value : sorted) {
    if (value - start > width) {
      ++levels;
      start = value;
    }
  }
  return levels;
}

}  // namespace ratebound::points
