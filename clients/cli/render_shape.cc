#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/display_unit.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string OutcomeWord(v1::ShapeOutcome outcome) {
  switch (outcome) {
    case v1::SHAPE_OUTCOME_PROVEN:
      return "proven";
    case v1::SHAPE_OUTCOME_REFUTED:
      return "refuted";
    case v1::SHAPE_OUTCOME_UNDECIDED:
      return "undecided";
    default:
      return "not judged";
  }
}

std::string FactWords(const v1::ShapeFact& fact) {
  switch (fact.kind()) {
    case v1::SHAPE_KIND_RISES:
      return absl::StrCat(fact.quantity(), " rises with ", fact.condition());
    case v1::SHAPE_KIND_FALLS:
      return absl::StrCat(fact.quantity(), " falls with ", fact.condition());
    case v1::SHAPE_KIND_AT_MOST_OTHER:
      return absl::StrCat(
          fact.quantity(), " at most ", fact.other_quantity(),
          fact.has_limit() ? absl::StrCat(" + ", Number(fact.limit()), " ", fact.unit())
                           : "");
    default:
      return absl::StrCat(fact.quantity(), " at least ", Number(fact.limit()), " ",
                          fact.unit());
  }
}

std::string Place(const v1::StageMap& map,
                  const google::protobuf::RepeatedField<double>& point_si,
                  bool inch_pound) {
  std::string text;
  for (int i = 0; i < point_si.size() && i < map.conditions_size(); ++i) {
    const Displayed shown = Display(map.conditions(i), point_si[i], inch_pound);
    absl::StrAppendFormat(&text, "%s%s %.4g %s", i > 0 ? ", " : "", map.conditions(i),
                          shown.value, shown.unit);
  }
  return text;
}

std::string FactLine(const v1::StageMap& map, const v1::ShapeResult& result,
                     bool inch_pound) {
  std::string text = absl::StrCat("  ", OutcomeWord(result.outcome()), ": ", map.mode(),
                                  "/", map.stage(), ", ", FactWords(result.fact()));
  if (result.outcome() == v1::SHAPE_OUTCOME_REFUTED) {
    absl::StrAppendFormat(&text, "; fails in %.3g to %.3g %% of the tested region",
                          100 * result.failing_fraction_low(),
                          100 * result.failing_fraction_high());
  }
  if (result.outcome() != v1::SHAPE_OUTCOME_PROVEN && result.worst_point_si_size() > 0) {
    absl::StrAppend(&text, ", worst at ",
                    Place(map, result.worst_point_si(), inch_pound));
  }
  if (!result.reason().empty()) absl::StrAppend(&text, ": ", result.reason());
  return text + "\n";
}

std::string RefitLine(const v1::StageMap& map, const v1::ShapeRefit& refit) {
  if (!refit.refusal().empty()) {
    return absl::StrCat("  not bent: ", map.mode(), "/", map.stage(), ", ",
                        refit.quantity(), ": ", refit.refusal(), "\n");
  }
  return absl::StrFormat(
      "  bent: %s/%s, %s obeys its facts; residual %.4g before, %.4g after (SI), "
      "greatest "
      "change %.3g at point %s\n",
      map.mode(), map.stage(), refit.quantity(), refit.residual_sd_before_si(),
      refit.residual_sd_after_si(), refit.greatest_change_si(),
      refit.greatest_change_point());
}

std::string BalanceLine(const v1::StageMap& map, const v1::ConsistencyResult& result,
                        bool inch_pound) {
  std::string text = absl::StrFormat(
      "  %s: %s/%s, balance %s; greatest mismatch %.3g %% (%.4g W)",
      OutcomeWord(result.outcome()), map.mode(), map.stage(), result.text(),
      100 * result.greatest_fraction(), result.greatest_mismatch_w());
  if (result.greatest_fraction_at_si_size() > 0) {
    absl::StrAppend(&text, " at ",
                    Place(map, result.greatest_fraction_at_si(), inch_pound));
  }
  absl::StrAppendFormat(&text, ", %.3g %% allowed", 100 * result.tolerance_fraction());
  if (result.at_points_only()) absl::StrAppend(&text, "; at the tested points only");
  if (result.fitted_jointly()) absl::StrAppend(&text, "; fitted together");
  for (const std::string& reason : {result.reason(), result.joint_refusal()}) {
    if (!reason.empty()) absl::StrAppend(&text, ": ", reason);
  }
  return text + "\n";
}

}  // namespace

std::string FactsText(const std::vector<const v1::StageMap*>& stages, bool all,
                      bool inch_pound) {
  std::string text;
  int proven = 0;
  int within = 0;  // balances that only points can be asked about
  double greatest = 0;
  for (const v1::StageMap* map : stages) {
    for (const v1::ShapeResult& result : map->shapes()) {
      if (result.outcome() == v1::SHAPE_OUTCOME_PROVEN && !all) {
        ++proven;
      } else {
        text += FactLine(*map, result, inch_pound);
      }
    }
    for (const v1::ShapeRefit& refit : map->shape_refits())
      text += RefitLine(*map, refit);
    for (const v1::ConsistencyResult& result : map->consistencies()) {
      if (result.outcome() == v1::SHAPE_OUTCOME_PROVEN && !all) {
        ++proven;
      } else if (result.outcome() == v1::SHAPE_OUTCOME_UNDECIDED &&
                 result.at_points_only() && !all) {
        ++within;
        greatest = std::max(greatest, result.greatest_fraction());
      } else {
        text += BalanceLine(*map, result, inch_pound);
      }
    }
  }
  if (within > 0) {
    absl::StrAppendFormat(
        &text,
        "  %s of streams within what is allowed at every tested point "
        "(greatest mismatch %.3g %%); no surface can be asked between\n",
        Count(within, "balance"), 100 * greatest);
  }
  if (proven > 0) {
    absl::StrAppend(&text, "  ", proven, proven == 1 ? " fact" : " facts and balances",
                    " proven over the tested region\n");
  }
  return text.empty() ? "" : absl::StrCat("  facts of physics\n", text);
}

}  // namespace ratebound::cli
