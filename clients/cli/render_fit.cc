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

int TermCount(const v1::Surface& surface) {
  return surface.fitted_term_count() > 0 ? surface.fitted_term_count()
                                         : surface.coefficients_si_size();
}

// "2", or what else the model is called.
std::string ModelName(const v1::Surface& surface) {
  const std::string plain = absl::StrCat("degree ", surface.degree());
  if (surface.model().empty() || surface.model() == plain) {
    return absl::StrCat(surface.degree());
  }
  return surface.model();
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
      table.AddRow({StageName(*map), surface.quantity(), ModelName(surface),
                    ProofDegree(*map, surface), absl::StrCat(TermCount(surface)),
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

// What is said of a surface, with where it is said.
struct Said {
  const v1::StageMap* map;
  const v1::Surface* surface;
  const v1::FitRemark* remark;
};

// The first sentence alone, unless `all`.
std::string SaidText(const Said& said, bool all) {
  const std::string& text = said.remark->text();
  const size_t end = all ? std::string::npos : text.find(". ");
  return absl::StrCat(StageName(*said.map), ", ", said.surface->quantity(), ": ",
                      said.remark->diagnostic(),
                      said.remark->subject().empty() ? "" : " of ",
                      said.remark->subject(), ": ",
                      end == std::string::npos ? text : text.substr(0, end + 1));
}

// The remarks of the surfaces for tables; of capacity and power, and only what asks for
// something to be done, unless `all`.
std::string RemarksText(const std::vector<const v1::StageMap*>& maps, bool all) {
  constexpr size_t kMostShown = 6;
  std::vector<Said> said;
  int left_out = 0;
  for (const v1::StageMap* map : maps) {
    for (const v1::Surface& surface : map->surfaces()) {
      if (!IsTable(surface)) continue;
      for (const v1::FitRemark& remark : surface.diagnostics().remarks()) {
        const bool shown = all || (remark.concern() == v1::FIT_CONCERN_ACT &&
                                   IsMain(*map, surface) && said.size() < kMostShown);
        if (shown) {
          said.push_back({map, &surface, &remark});
        } else {
          ++left_out;
        }
      }
    }
  }
  std::string text;
  for (const Said& one : said) {
    absl::StrAppend(&text,
                    one.remark->concern() == v1::FIT_CONCERN_ACT ? "  act: " : "  look: ",
                    SaidText(one, all), "\n");
  }
  if (left_out > 0) {
    absl::StrAppend(&text, "  ", Count(left_out, said.empty() ? "remark" : "more remark"),
                    " on single points and surfaces (--all shows them)\n");
  }
  return text;
}

// One line a surface of what it is worth and where it hangs on single points.
TextTable DiagnosticsTable(const std::vector<const v1::StageMap*>& maps) {
  TextTable table(
      {"stage", "quantity", "condition", "inflation", "leverage", "at", "studentised",
       "at", "Cook", "at", "predicted R2", "normal p", "lack of fit p", "by blocks",
       "robust apart"},
      {Align::kLeft, Align::kLeft, Align::kRight, Align::kRight, Align::kRight,
       Align::kLeft, Align::kRight, Align::kLeft, Align::kRight, Align::kLeft,
       Align::kRight, Align::kRight, Align::kRight, Align::kRight, Align::kRight});
  for (const v1::StageMap* map : maps) {
    for (const v1::Surface& surface : map->surfaces()) {
      if (!IsTable(surface) || !surface.has_diagnostics()) continue;
      const v1::SurfaceDiagnostics& of = surface.diagnostics();
      double inflation = 0;
      for (double one : of.condition_inflation()) inflation = std::max(inflation, one);
      table.AddRow(
          {StageName(*map), surface.quantity(),
           absl::StrFormat("%.3g", surface.condition_number()),
           inflation > 0 ? absl::StrFormat("%.3g", inflation) : "-",
           absl::StrFormat("%.2f", surface.greatest_leverage()), of.leverage_point(),
           of.has_greatest_studentised()
               ? absl::StrFormat("%.1f", of.greatest_studentised())
               : "-",
           of.studentised_point(), absl::StrFormat("%.2f", of.greatest_cooks_distance()),
           of.cooks_point(),
           of.has_predicted_r_squared()
               ? absl::StrFormat("%.4f", of.predicted_r_squared())
               : "-",
           of.has_normality_probability()
               ? absl::StrFormat("%.3f", of.normality_probability())
               : "-",
           surface.has_lack_of_fit_probability()
               ? absl::StrFormat("%.3f", surface.lack_of_fit_probability())
               : "-",
           of.has_block_error_ratio() ? absl::StrFormat("%.2f", of.block_error_ratio())
                                      : "-",
           of.has_robust_difference_fraction()
               ? absl::StrFormat("%.2f %% at %s", 100 * of.robust_difference_fraction(),
                                 of.robust_point())
               : "-"});
    }
  }
  return table;
}

// The models that were tried for each surface.
TextTable CandidatesTable(const std::vector<const v1::StageMap*>& maps) {
  TextTable table({"stage", "quantity", "model tried", "terms", "leave-out", "its error",
                   "residual", "", "why"},
                  {Align::kLeft, Align::kLeft, Align::kLeft, Align::kRight, Align::kRight,
                   Align::kRight, Align::kRight, Align::kLeft, Align::kLeft});
  for (const v1::StageMap* map : maps) {
    for (const v1::Surface& surface : map->surfaces()) {
      if (!IsTable(surface)) continue;
      for (const v1::DegreeCandidate& tried : surface.candidates()) {
        const bool fits = tried.refusal().empty();
        table.AddRow({StageName(*map), surface.quantity(),
                      tried.model().empty() ? absl::StrCat("degree ", tried.degree())
                                            : tried.model(),
                      tried.term_count() > 0 ? absl::StrCat(tried.term_count()) : "-",
                      fits ? Error(surface, tried.leave_out_rms_si()) : "-",
                      fits ? Error(surface, tried.leave_out_standard_error_si()) : "-",
                      fits ? Error(surface, tried.residual_sd_si()) : "-",
                      tried.chosen() ? "taken" : "",
                      fits ? tried.reason() : tried.refusal()});
      }
    }
  }
  return table;
}

std::string CurvesText(const std::vector<const v1::CurveFit*>& curves, bool inch_pound) {
  std::string text;
  for (const v1::CurveFit* curve : curves) {
    absl::StrAppend(&text, "  curve ", curve->id(), ", ",
                    Count(curve->points_size(), "point"), ": ",
                    curve->form().empty() ? "not fitted" : curve->form(), "\n");
    for (int i = 0; i < curve->coefficients_size(); ++i) {
      absl::StrAppend(&text, i == 0 ? "    coefficients " : ", ",
                      Number(curve->coefficients(i)));
      if (i < curve->standard_errors_size()) {
        absl::StrAppend(&text, " (+-", absl::StrFormat("%.2g", curve->standard_errors(i)),
                        ")");
      }
    }
    if (curve->coefficients_size() > 0) {
      absl::StrAppend(&text, absl::StrFormat("; residual %.2f %%\n",
                                             100 * curve->residual_fraction()));
    }
    for (int i = 0; i < curve->power_coefficients_size(); ++i) {
      absl::StrAppend(&text, i == 0 ? "    of power " : ", ",
                      Number(curve->power_coefficients(i)));
    }
    if (curve->power_coefficients_size() > 0) {
      absl::StrAppend(&text, absl::StrFormat("; residual %.2f %%\n",
                                             100 * curve->power_residual_fraction()));
    }
    for (int i = 0; i < curve->tested_size(); ++i) {
      const v1::TestedSpan& span = curve->tested(i);
      const Displayed low = Display(span.quantity(), span.low_si(), inch_pound);
      const Displayed high = Display(span.quantity(), span.high_si(), inch_pound);
      absl::StrAppend(&text, i == 0 ? "    tested over " : ", ", span.quantity(),
                      absl::StrFormat(" %.4g to %.4g ", low.value, high.value),
                      high.unit);
    }
    if (curve->tested_size() > 0) absl::StrAppend(&text, "\n");
    for (const std::string& warning : curve->warnings()) {
      absl::StrAppend(&text, "    warning: ", warning, "\n");
    }
  }
  return text;
}

// For one cell.
std::string Remarks(const v1::Surface& surface) {
  std::vector<std::string> all;
  for (const v1::FitRemark& remark : surface.diagnostics().remarks()) {
    all.push_back(absl::StrCat(remark.diagnostic(),
                               remark.subject().empty() ? "" : " of ", remark.subject(),
                               ": ", remark.text()));
  }
  return absl::StrJoin(all, "; ");
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

std::string FitText(const std::vector<v1::StageMap>& maps,
                    const std::vector<v1::CurveFit>& curves, bool all, bool inch_pound) {
  struct OfUnit {
    std::vector<const v1::StageMap*> stages;
    std::vector<const v1::CurveFit*> curves;
  };
  std::map<std::string, OfUnit> by_unit;
  for (const v1::StageMap& map : maps) by_unit[map.unit()].stages.push_back(&map);
  for (const v1::CurveFit& curve : curves) {
    by_unit[curve.unit()].curves.push_back(&curve);
  }
  std::string text;
  for (const auto& [unit, of] : by_unit) {
    absl::StrAppend(&text, text.empty() ? "" : "\n", unit, "\n");
    if (!of.stages.empty()) {
      absl::StrAppend(&text, SurfaceTable(of.stages, all).ToString(2));
    }
    if (!all) absl::StrAppend(&text, OtherSurfaces(of.stages));
    absl::StrAppend(&text, TestedRegions(of.stages, inch_pound));
    for (const v1::StageMap* map : of.stages) {
      for (const std::string& refusal : map->refusals()) {
        absl::StrAppend(&text, "  warning: ", StageName(*map), ": ", refusal, "\n");
      }
    }
    absl::StrAppend(&text, FactsText(of.stages, all, inch_pound));
    if (all && !of.stages.empty()) {
      absl::StrAppend(&text, "\n", CandidatesTable(of.stages).ToString(2), "\n",
                      DiagnosticsTable(of.stages).ToString(2), "\n");
    }
    absl::StrAppend(&text, RemarksText(of.stages, all),
                    CurvesText(of.curves, inch_pound));
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
                   "model",
                   "weighted",
                   "remarks",
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
                    absl::StrCat(TermCount(surface)),
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
                    surface.model(),
                    surface.weighted() ? "yes" : "no",
                    Remarks(surface),
                    ""});
    }
    for (const std::string& refusal : map.refusals()) {
      std::vector<std::string> row(24);
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
