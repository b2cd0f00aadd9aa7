#include "clients/cli/report.h"

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string SubjectOf(const v1::VerifyLineResponse& item) {
  const bool declared = item.has_declared_rating() || item.has_baseline_declared_rating();
  return declared ? DeclaredId(item) : VerdictOf(item).claim();
}

std::string Joined(const v1::VerifyLineResponse& item) {
  std::string text;
  for (const v1::VerdictDifference& difference : item.differences()) {
    absl::StrAppend(&text, text.empty() ? "" : "; ", difference.text());
  }
  return text;
}

void AddChanges(const std::vector<v1::VerifyLineResponse>& items, TextTable* table,
                int* count) {
  for (const v1::VerifyLineResponse& item : items) {
    const bool plain = item.change() == v1::VERDICT_CHANGE_SAME ||
                       item.change() == v1::VERDICT_CHANGE_UNSPECIFIED;
    if (plain && item.differences().empty()) continue;
    ++*count;
    table->AddRow({ChangeWord(item.change()), SubjectOf(item), Joined(item)});
  }
}

std::string DeclaredText(const Verification& verification) {
  std::string text;
  for (const v1::VerifyLineResponse& item : verification.declared_ratings) {
    if (!item.has_declared_rating()) {
      absl::StrAppend(&text, "GONE  ", DeclaredId(item), ": was ",
                      DeclaredOutcomeWord(item.baseline_declared_rating().outcome()),
                      " in the baseline\n");
      continue;
    }
    const v1::DeclaredRatingVerdict& declared = item.declared_rating();
    absl::StrAppend(&text, DeclaredOutcomeWord(declared.outcome()), "  ",
                    DeclaredId(item), ": ", declared.explanation(), "\n");
    if (!declared.declared().stated_in().empty()) {
      absl::StrAppend(&text, "  stated in  ", declared.declared().stated_in(), "\n");
    }
    const std::string uncertainty = UncertaintyText(declared.rating());
    if (!uncertainty.empty()) {
      absl::StrAppend(&text, "  sure to    ", uncertainty, "\n");
    }
    if (declared.has_surveillance_what_if()) {
      const v1::SurveillanceWhatIf& what_if = declared.surveillance_what_if();
      absl::StrAppend(&text, "  what if    an authority determined this figure: ",
                      what_if.within() ? "within" : "outside", " its ",
                      Number(what_if.tolerance_percent()), " % (to ",
                      Number(what_if.limit()), " ", declared.declared().unit(), "; ",
                      what_if.source(),
                      "). That is no tolerance for the declared value.\n");
    }
  }
  if (!text.empty()) text = "Declared ratings, at no tolerance:\n\n" + text + "\n";
  return text;
}

std::string FailuresText(const Verification& verification) {
  std::string text;
  const auto append = [&](const std::vector<v1::VerifyLineResponse>& items) {
    for (const v1::VerifyLineResponse& item : items) {
      for (const std::string& failure : item.failures()) {
        absl::StrAppend(&text, Wrapped(absl::StrCat(SubjectOf(item), ": ", failure), 2));
      }
    }
  };
  append(verification.claims);
  append(verification.declared_ratings);
  return text;
}

}  // namespace

Verification SortedVerification(const std::vector<v1::VerifyLineResponse>& items) {
  Verification sorted;
  for (const v1::VerifyLineResponse& item : items) {
    if (item.has_certificate_chunk()) continue;
    if (item.has_summary()) {
      sorted.summary = item.summary();
    } else if (item.has_declared_rating() || item.has_baseline_declared_rating()) {
      sorted.declared_ratings.push_back(item);
    } else {
      sorted.claims.push_back(item);
    }
  }
  return sorted;
}

std::string DeclaredId(const v1::VerifyLineResponse& item) {
  const v1::DeclaredRatingVerdict& declared = item.has_declared_rating()
                                                  ? item.declared_rating()
                                                  : item.baseline_declared_rating();
  return absl::StrCat(declared.unit(), "/", declared.declared().procedure());
}

std::string DeclaredOutcomeWord(v1::DeclaredOutcome outcome) {
  switch (outcome) {
    case v1::DECLARED_OUTCOME_SUPPORTED:
      return "SUPPORTED";
    case v1::DECLARED_OUTCOME_NOT_SUPPORTED:
      return "NOT SUPPORTED";
    case v1::DECLARED_OUTCOME_NOT_RATED:
      return "NOT RATED";
    default:
      return "";
  }
}

const v1::Verdict& VerdictOf(const v1::VerifyLineResponse& item) {
  return item.has_verdict() ? item.verdict() : item.baseline_verdict();
}

std::string GateRuleWord(v1::GateRule rule) {
  switch (rule) {
    case v1::GATE_RULE_REFUTED:
      return "refuted";
    case v1::GATE_RULE_WEAKER:
      return "weaker";
    case v1::GATE_RULE_NOT_SHOWN:
      return "not-shown";
    default:
      return "";
  }
}

std::string UncertaintyText(const v1::Rating& rating) {
  if (!rating.has_uncertainty()) return "";
  const v1::MetricUncertainty& uncertainty = rating.uncertainty();
  std::string text = absl::StrFormat("standard error %.2g, systematic %.2g %s",
                                     uncertainty.standard_error(),
                                     uncertainty.systematic(), rating.metric_unit());
  if (uncertainty.confidence() > 0) {
    absl::StrAppend(&text, "; ", Number(uncertainty.low()), " to ",
                    Number(uncertainty.high()), " at ",
                    Number(100 * uncertainty.confidence()), " %");
  }
  return text;
}

std::string GateText(const Verification& verification) {
  const v1::VerifySummary& summary = verification.summary;
  std::string text = DeclaredText(verification);
  if (!summary.effective_baseline().empty()) {
    TextTable table({"change", "claim or rating", "what differs"},
                    {Align::kLeft, Align::kLeft, Align::kLeft});
    int count = 0;
    AddChanges(verification.claims, &table, &count);
    AddChanges(verification.declared_ratings, &table, &count);
    absl::StrAppend(&text, "Against baseline ",
                    summary.effective_baseline().substr(0, 16));
    if (summary.baseline_engine_version() != summary.engine_version()) {
      absl::StrAppend(&text, ", made by engine ", summary.baseline_engine_version(),
                      " (this is ", summary.engine_version(), ")");
    }
    absl::StrAppend(&text, count == 0 ? ": nothing differs\n\n" : ":\n\n");
    if (count > 0) absl::StrAppend(&text, table.ToString(2), "\n");
  }
  if (summary.failed_count() == 0) {
    absl::StrAppend(&text, "The gate passes (fail on ",
                    GateRuleWord(summary.effective_fail_on()), ").\n");
    return text;
  }
  absl::StrAppend(&text, "The gate FAILS for ", summary.failed_count(), " of ",
                  verification.claims.size() + verification.declared_ratings.size(),
                  " claims and ratings (fail on ",
                  GateRuleWord(summary.effective_fail_on()), "):\n",
                  FailuresText(verification));
  return text;
}

}  // namespace ratebound::cli
