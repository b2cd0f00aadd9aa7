#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/promise_words.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"
#include "engine/quantity/unit.h"

namespace ratebound::cli {

std::string OutcomeWord(const v1::Verdict& verdict) {
  switch (verdict.outcome()) {
    case v1::OUTCOME_PROVEN:
      return "PROVEN";
    case v1::OUTCOME_REFUTED:
      return "REFUTED";
    case v1::OUTCOME_OBSERVED:
      return "OBSERVED";
    default:
      break;
  }
  switch (verdict.reason()) {
    case v1::NOT_SHOWN_REASON_UNCERTAIN:
      return "NOT_SHOWN (UNCERTAIN)";
    case v1::NOT_SHOWN_REASON_UNTESTED:
      return "NOT_SHOWN (UNTESTED)";
    case v1::NOT_SHOWN_REASON_MODEL:
      return "NOT_SHOWN (MODEL)";
    case v1::NOT_SHOWN_REASON_BUDGET:
      return "NOT_SHOWN (BUDGET)";
    default:
      return "NOT_SHOWN";
  }
}

std::string ChangeWord(v1::VerdictChange change) {
  switch (change) {
    case v1::VERDICT_CHANGE_NEW:
      return "new";
    case v1::VERDICT_CHANGE_SAME:
      return "same";
    case v1::VERDICT_CHANGE_STRONGER:
      return "stronger";
    case v1::VERDICT_CHANGE_WEAKER:
      return "WEAKER";
    case v1::VERDICT_CHANGE_GONE:
      return "gone";
    default:
      return "";
  }
}

namespace {

std::string Percent(double fraction) {
  return absl::StrFormat("%.1f %%", 100 * fraction);
}

// The least over a region is found by search: no more digits than that is worth.
std::string DegreesText(double degrees) {
  return degrees < 100 ? absl::StrFormat("%.3g", degrees)
                       : absl::StrFormat("%.0f", degrees);
}

std::string StateWord(v1::PartState state) {
  switch (state) {
    case v1::PART_STATE_PROVEN:
      return "proven";
    case v1::PART_STATE_REFUTED:
      return "refuted";
    case v1::PART_STATE_UNTESTED:
      return "untested";
    default:
      return "uncertain";
  }
}

// "hall-46, cooling, stage sml"
std::string Subject(const v1::Claim& claim) {
  std::vector<std::string> words = {claim.unit()};
  if (!claim.mode().empty()) words.push_back(claim.mode());
  if (std::string serving = ServingWords(claim); !serving.empty()) {
    words.push_back(std::move(serving));
  }
  return absl::StrJoin(words, ", ");
}

std::string CutRegion(const v1::Claim& claim) {
  const std::string cuts = CutsWords(claim);
  return absl::StrCat(RegionWords(claim.region()), cuts.empty() ? "" : "; where ", cuts);
}

std::string SharesWords(const v1::RegionShares& shares) {
  return absl::StrCat(Percent(shares.proven_fraction()), " proven, ",
                      Percent(shares.refuted_fraction()), " refuted, ",
                      Percent(shares.uncertain_fraction()), " uncertain, ",
                      Percent(shares.untested_fraction()), " untested");
}

// What the same data would carry: the tightest limit and, end by end, the region.
void AppendProvable(const v1::Verdict& verdict, std::string* text) {
  const v1::ProvableClaims& provable = verdict.provable();
  if (provable.has_tightest_limit()) {
    absl::StrAppend(text, "  provable   the limit ", Number(provable.tightest_limit()),
                    quantity::AfterNumber(provable.unit()), "\n");
  }
  for (const v1::RegionReach& reach : provable.reaches()) {
    const char* const way = reach.end() == v1::RANGE_END_LOW ? " down to " : " up to ";
    if (!reach.has_provable()) continue;
    if (reach.provable() == reach.claimed()) continue;
    absl::StrAppend(text, "  provable   ", reach.quantity(), way,
                    Number(reach.provable()), " instead of ", Number(reach.claimed()),
                    quantity::AfterNumber(reach.unit()), "\n");
  }
}

void AppendVerdict(const v1::Verdict& verdict, std::string* text) {
  const v1::Claim& claim = verdict.text();
  absl::StrAppend(text, "  promise    ", Subject(claim), ": ", PromiseWords(claim), "\n");
  if (!claim.region().empty()) {
    absl::StrAppend(text, "  region     ", CutRegion(claim), "\n");
  }
  if (!verdict.worst_point().empty()) {
    const std::vector<v1::Measure> worst(verdict.worst_point().begin(),
                                         verdict.worst_point().end());
    absl::StrAppend(
        text, "  worst at   ", Conditions(worst),
        verdict.worst_stage().empty() ? ""
                                      : absl::StrCat(", stage ", verdict.worst_stage()),
        "\n  there      estimate ", Number(verdict.estimate()), ", bound ",
        Number(verdict.bound()), ", margin ", absl::StrFormat("%.3g", verdict.margin()),
        quantity::AfterNumber(verdict.unit()), "\n  bound by   ",
        absl::StrFormat("%.3g", verdict.coverage_factor()), " x standard error ",
        absl::StrFormat("%.3g", verdict.standard_error()), ", systematic ",
        absl::StrFormat("%.3g", verdict.systematic()), ", allowance ",
        absl::StrFormat("%.3g", verdict.allowance()), "; level ", Number(verdict.level()),
        " (look ", verdict.look(), "), ", DegreesText(verdict.degrees_of_freedom()),
        " degrees of freedom\n");
  }
  if (!verdict.model().empty()) {
    absl::StrAppend(text, "  model      ", verdict.model());
    if (verdict.outcome() != v1::OUTCOME_OBSERVED) {  // a log has no region
      absl::StrAppend(text, "; tested ", Percent(verdict.tested_fraction()),
                      " of the region; ", Count(verdict.box_count(), "box"));
    }
    absl::StrAppend(text, "\n");
  }
  for (const v1::UntestedPart& part : verdict.untested()) {
    absl::StrAppend(text, "  untested   ", RegionWords(part.region()), ": ", part.why(),
                    "\n");
  }
  if (verdict.has_shares() && verdict.outcome() != v1::OUTCOME_PROVEN) {
    absl::StrAppend(text, "  region is  ", SharesWords(verdict.shares()), "\n");
    for (const v1::RegionPart& part : verdict.parts()) {
      absl::StrAppend(
          text, "    ", Percent(part.region_fraction()), " ", StateWord(part.state()),
          part.stage().empty() ? "" : absl::StrCat(" by stage ", part.stage()), ": ",
          RegionWords(part.region()), "\n");
    }
  }
  AppendProvable(verdict, text);
  absl::StrAppend(text, "  so         ", verdict.explanation(), "\n");
}

}  // namespace

std::string VerdictsText(const std::vector<v1::VerifyLineResponse>& verdicts) {
  std::string text;
  int proven = 0, refuted = 0, not_shown = 0, observed = 0, weaker = 0, gone = 0;
  for (const v1::VerifyLineResponse& item : verdicts) {
    if (item.change() == v1::VERDICT_CHANGE_GONE) {
      ++gone;
      absl::StrAppend(&text, "GONE  ", item.baseline_verdict().claim(), ": was ",
                      OutcomeWord(item.baseline_verdict()), " in the baseline\n\n");
      continue;
    }
    const v1::Verdict& verdict = item.verdict();
    absl::StrAppend(&text, OutcomeWord(verdict), "  ", verdict.claim());
    if (item.change() != v1::VERDICT_CHANGE_UNSPECIFIED) {
      absl::StrAppend(
          &text, "  [", ChangeWord(item.change()),
          item.has_baseline_verdict()
              ? absl::StrCat("; baseline ", OutcomeWord(item.baseline_verdict()))
              : "",
          "]");
    }
    absl::StrAppend(&text, verdict.text().statement().empty() ? "" : ": ",
                    verdict.text().statement(), "\n");
    AppendVerdict(verdict, &text);
    absl::StrAppend(&text, "\n");
    proven += verdict.outcome() == v1::OUTCOME_PROVEN;
    refuted += verdict.outcome() == v1::OUTCOME_REFUTED;
    not_shown += verdict.outcome() == v1::OUTCOME_NOT_SHOWN;
    observed += verdict.outcome() == v1::OUTCOME_OBSERVED;
    weaker += item.change() == v1::VERDICT_CHANGE_WEAKER;
  }
  absl::StrAppend(&text, Count(static_cast<int>(verdicts.size()) - gone, "claim"), ": ",
                  proven, " proven, ", refuted, " refuted, ", not_shown, " not shown");
  if (observed > 0) absl::StrAppend(&text, ", ", observed, " observed");
  if (weaker > 0) absl::StrAppend(&text, "; ", weaker, " weaker than the baseline");
  if (gone > 0) absl::StrAppend(&text, "; ", gone, " gone");
  absl::StrAppend(
      &text,
      "\nProven is for the stated model, level and allowance. A surface does not show "
      "that a unit runs:\nfreezing, refrigerant pressure, electrical and combustion "
      "limits stand in its safety approvals.\n");
  return text;
}

std::string VerdictsCsv(const std::vector<v1::VerifyLineResponse>& verdicts) {
  TextTable table({"claim",
                   "verdict",
                   "unit",
                   "mode",
                   "stage",
                   "promise",
                   "region",
                   "margin",
                   "bound",
                   "estimate",
                   "margin_unit",
                   "worst_point",
                   "coverage_factor",
                   "standard_error",
                   "systematic",
                   "allowance",
                   "level",
                   "look",
                   "degrees_of_freedom",
                   "tested_fraction",
                   "box_count",
                   "model",
                   "untested",
                   "change",
                   "baseline_verdict",
                   "statement",
                   "explanation"},
                  {});
  for (const v1::VerifyLineResponse& item : verdicts) {
    const v1::Verdict& verdict = item.change() == v1::VERDICT_CHANGE_GONE
                                     ? item.baseline_verdict()
                                     : item.verdict();
    const std::vector<v1::Measure> worst(verdict.worst_point().begin(),
                                         verdict.worst_point().end());
    std::vector<std::string> untested;
    for (const v1::UntestedPart& part : verdict.untested()) {
      untested.push_back(absl::StrCat(RegionWords(part.region()), ": ", part.why()));
    }
    const v1::Claim& claim = verdict.text();
    table.AddRow({verdict.claim(),
                  OutcomeWord(verdict),
                  claim.unit(),
                  claim.mode(),
                  claim.has_serving() ? ServingWords(claim) : claim.stage(),
                  PromiseWords(claim),
                  CutRegion(claim),
                  Exact(verdict.margin()),
                  Exact(verdict.bound()),
                  Exact(verdict.estimate()),
                  verdict.unit(),
                  Conditions(worst),
                  Exact(verdict.coverage_factor()),
                  Exact(verdict.standard_error()),
                  Exact(verdict.systematic()),
                  Exact(verdict.allowance()),
                  Exact(verdict.level()),
                  absl::StrCat(verdict.look()),
                  Exact(verdict.degrees_of_freedom()),
                  Exact(verdict.tested_fraction()),
                  absl::StrCat(verdict.box_count()),
                  verdict.model(),
                  absl::StrJoin(untested, "; "),
                  ChangeWord(item.change()),
                  item.has_baseline_verdict() ? OutcomeWord(item.baseline_verdict()) : "",
                  claim.statement(),
                  verdict.explanation()});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
