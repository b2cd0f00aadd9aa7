#include <algorithm>
#include <cmath>
#include <map>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/display_unit.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::cli {
namespace {

bool IsTable(const v1::Surface& surface) {
  return surface.purpose() == v1::SURFACE_PURPOSE_TABLE;
}

bool IsTemperature(const v1::Surface& surface) {
  const auto quantity = quantity::FindQuantity(surface.quantity());
  return quantity.ok() && (*quantity)->dimension == quantity::Dimension::kTemperature;
}

// Errors in percent of the mean say most, but not of a temperature, whose zero is
// arbitrary.
std::string Error(const v1::Surface& surface, double error_si) {
  const bool temperature = IsTemperature(surface);
  if (temperature || surface.mean_si() == 0) {
    return absl::StrFormat("%.3g%s", error_si, temperature ? " K" : "");
  }
  return absl::StrFormat("%.2f %%", 100 * error_si / std::fabs(surface.mean_si()));
}

std::string StageName(const v1::StageMap& map) {
  return absl::StrCat(map.mode(), " ", map.stage(), map.regime().empty() ? "" : " ",
                      map.regime());
}

// What proofs take: the same degree, another, or why there is none.
std::string ProofDegree(const v1::StageMap& map, const v1::Surface& table) {
  for (const v1::Surface& surface : map.surfaces()) {
    if (IsTable(surface) || surface.quantity() != table.quantity()) continue;
    return absl::StrCat(surface.degree(),
                        surface.covariance_si().empty() ? " (no band)" : "");
  }
  return "none";
}

std::string Blocks(const v1::Surface& surface) {
  return surface.block_count() > 0 ? absl::StrCat(surface.block_count()) : "-";
}

double RelativeLeaveOut(const v1::Surface& surface) {
  return surface.leave_out_rms_si() / std::max(1e-300, std::fabs(surface.mean_si()));
}

bool IsMain(const v1::StageMap& map, const v1::Surface& surface) {
  return surface.quantity() == map.capacity_quantity() ||
         surface.quantity() == map.power_quantity();
}

TextTable SurfaceTable(const std::vector<const v1::StageMap*>& maps, bool all) {
  TextTable table({"stage", "quantity", "degree", "in proofs", "terms", "points",
                   "blocks", "R2", "residual", "leave-out", "worst point"},
                  {Align::kLeft, Align::kLeft, Align::kRight, Align::kRight,
                   Align::kRight, Align::kRight, Align::kRight, Align::kRight,
                   Align::kRight, Align::kRight, Align::kLeft});
  for (const v1::StageMap* map : maps) {
    for (const v1::Surface& surface : map->surfaces()) {
      if (!IsTable(surface) || !(all || IsMain(*map, surface))) continue;
      table.AddRow({StageName(*map), surface.quantity(), absl::StrCat(surface.degree()),
                    ProofDegree(*map, surface),
                    absl::StrCat(surface.coefficients_si_size()),
                    absl::StrCat(surface.point_count()), Blocks(surface),
                    absl::StrFormat("%.4f", surface.r_squared()),
                    Error(surface, surface.residual_sd_si()),
                    Error(surface, surface.leave_out_rms_si()), surface.worst_point()});
    }
  }
  return table;
}

// What the compact screen leaves out, and the worst of it.
std::string OtherSurfaces(const std::vector<const v1::StageMap*>& maps) {
  int count = 0;
  const v1::Surface* worst = nullptr;
  const v1::StageMap* worst_map = nullptr;
  for (const v1::StageMap* map : maps) {
    for (const v1::Surface& surface : map->surfaces()) {
      if (!IsTable(surface) || IsMain(*map, surface)) continue;
      ++count;
      if (IsTemperature(surface)) continue;
      if (worst == nullptr || RelativeLeaveOut(surface) > RelativeLeaveOut(*worst)) {
        worst = &surface;
        worst_map = map;
      }
    }
  }
  if (count == 0) return "";
  std::string text = absl::StrCat("  and ", Count(count, "surface"),
                                  " of other quantities (--all shows them)");
  if (worst != nullptr) {
    absl::StrAppend(&text, "; the least sure: ", worst->quantity(), ", ",
                    StageName(*worst_map), ", leave-out ",
                    Error(*worst, worst->leave_out_rms_si()));
  }
  return text + "\n";
}

// What every stage of a mode was tested over, for the modes of a unit.
std::string TestedRegions(const std::vector<const v1::StageMap*>& maps, bool inch_pound) {
  std::vector<std::string> modes;
  for (const v1::StageMap* map : maps) {
    if (std::find(modes.begin(), modes.end(), map->mode()) == modes.end()) {
      modes.push_back(map->mode());
    }
  }
  std::string text;
  for (const std::string& mode : modes) {
    std::map<std::string, std::pair<double, double>> ranges;
    std::vector<std::string> order;
    for (const v1::StageMap* map : maps) {
      if (map->mode() != mode || map->surfaces().empty()) continue;
      for (int i = 0; i < map->conditions_size(); ++i) {
        const auto [found, fresh] = ranges.try_emplace(
            map->conditions(i), std::pair{map->tested_low_si(i), map->tested_high_si(i)});
        if (fresh) order.push_back(map->conditions(i));
        found->second.first = std::max(found->second.first, map->tested_low_si(i));
        found->second.second = std::min(found->second.second, map->tested_high_si(i));
      }
    }
    if (order.empty()) continue;
    absl::StrAppend(&text, "  every stage in ", mode, " was tested over");
    for (size_t i = 0; i < order.size(); ++i) {
      const auto& [low_si, high_si] = ranges[order[i]];
      absl::StrAppend(&text, i > 0 ? ", " : " ", order[i], " ");
      if (low_si > high_si) {
        absl::StrAppend(&text, "(no range in common)");
        continue;
      }
      const Displayed low = Display(order[i], low_si, inch_pound);
      const Displayed high = Display(order[i], high_si, inch_pound);
      absl::StrAppend(&text, absl::StrFormat("%.4g to %.4g ", low.value, high.value),
                      high.unit);
    }
    absl::StrAppend(&text, "\n");
  }
  return text;
}

}  // namespace

std::string FitText(const std::vector<v1::StageMap>& maps, bool all, bool inch_pound) {
  std::map<std::string, std::vector<const v1::StageMap*>> by_unit;
  for (const v1::StageMap& map : maps) by_unit[map.unit()].push_back(&map);
  std::string text;
  for (const auto& [unit, stages] : by_unit) {
    absl::StrAppend(&text, text.empty() ? "" : "\n", unit, "\n",
                    SurfaceTable(stages, all).ToString(2));
    if (!all) absl::StrAppend(&text, OtherSurfaces(stages));
    absl::StrAppend(&text, TestedRegions(stages, inch_pound));
    for (const v1::StageMap* map : stages) {
      for (const std::string& refusal : map->refusals()) {
        absl::StrAppend(&text, "  warning: ", StageName(*map), ": ", refusal, "\n");
      }
    }
  }
  absl::StrAppend(
      &text,
      "\nresidual and leave-out: root mean square in percent of the mean; leave-out "
      "leaves whole blocks out where\nthere are blocks. Errors of a block move "
      "together, so uncertainty counts blocks and not points.\n");
  return text;
}

std::string UnfittedStages(const std::vector<v1::StageMap>& maps) {
  std::vector<std::string> lines;
  for (const v1::StageMap& map : maps) {
    if (!map.surfaces().empty()) continue;
    lines.push_back(absl::StrCat(map.unit(), ", ", StageName(map),
                                 " has no surface over its ",
                                 Count(map.point_ids_size(), "point"), ", the first ",
                                 map.point_ids().empty() ? "" : map.point_ids(0), ": ",
                                 map.refusals().empty() ? "" : map.refusals(0)));
  }
  return absl::StrJoin(lines, "\n");
}

std::string FitCsv(const std::vector<v1::StageMap>& maps) {
  TextTable table({"unit",
                   "mode",
                   "stage",
                   "regime",
                   "quantity",
                   "purpose",
                   "degree",
                   "terms",
                   "points",
                   "blocks",
                   "r_squared",
                   "residual_sd_si",
                   "leave_out_rms_si",
                   "mean_si",
                   "condition_number",
                   "worst_point",
                   "degrees_of_freedom",
                   "cluster_robust",
                   "has_band",
                   "lack_of_fit_probability",
                   "refusal"},
                  {});
  for (const v1::StageMap& map : maps) {
    for (const v1::Surface& surface : map.surfaces()) {
      table.AddRow({map.unit(),
                    map.mode(),
                    map.stage(),
                    map.regime(),
                    surface.quantity(),
                    IsTable(surface) ? "table" : "proof",
                    absl::StrCat(surface.degree()),
                    absl::StrCat(surface.coefficients_si_size()),
                    absl::StrCat(surface.point_count()),
                    absl::StrCat(surface.block_count()),
                    Exact(surface.r_squared()),
                    Exact(surface.residual_sd_si()),
                    Exact(surface.leave_out_rms_si()),
                    Exact(surface.mean_si()),
                    Exact(surface.condition_number()),
                    surface.worst_point(),
                    Exact(surface.degrees_of_freedom()),
                    surface.cluster_robust() ? "yes" : "no",
                    surface.covariance_si().empty() ? "no" : "yes",
                    surface.has_lack_of_fit_probability()
                        ? Exact(surface.lack_of_fit_probability())
                        : "",
                    ""});
    }
    for (const std::string& refusal : map.refusals()) {
      std::vector<std::string> row(21);
      row[0] = map.unit();
      row[1] = map.mode();
      row[2] = map.stage();
      row[3] = map.regime();
      row.back() = refusal;
      table.AddRow(std::move(row));
    }
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
