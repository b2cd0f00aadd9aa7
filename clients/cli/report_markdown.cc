#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/report.h"
#include "clients/cli/text_table.h"
#include "engine/quantity/unit.h"

namespace ratebound::cli {
namespace {

// A row of a table; the cells are escaped here.
std::string Row(std::initializer_list<std::string> cells) {
  std::string row = "|";
  for (const std::string& cell : cells) {
    absl::StrAppend(&row, " ", MarkdownText(cell), " |");
  }
  return row + "\n";
}

std::string Header(std::initializer_list<std::string> cells) {
  std::string rule = "|";
  for (size_t i = 0; i < cells.size(); ++i) rule += " --- |";
  return Row(cells) + rule + "\n";
}

std::string DifferencesOf(const v1::VerifyLineResponse& item) {
  std::vector<std::string> texts;
  for (const v1::VerdictDifference& difference : item.differences()) {
    texts.push_back(difference.text());
  }
  return absl::StrJoin(texts, "; ");
}

struct Subject {
  std::string name;
  std::string now;
  std::string before;
};

Subject SubjectOf(const v1::VerifyLineResponse& item) {
  if (item.has_declared_rating() || item.has_baseline_declared_rating()) {
    return {DeclaredId(item),
            item.has_declared_rating()
                ? DeclaredOutcomeWord(item.declared_rating().outcome())
                : "",
            item.has_baseline_declared_rating()
                ? DeclaredOutcomeWord(item.baseline_declared_rating().outcome())
                : ""};
  }
  return {VerdictOf(item).claim(), item.has_verdict() ? OutcomeWord(item.verdict()) : "",
          item.has_baseline_verdict() ? OutcomeWord(item.baseline_verdict()) : ""};
}

bool Changed(const v1::VerifyLineResponse& item) {
  return (item.change() != v1::VERDICT_CHANGE_UNSPECIFIED &&
          item.change() != v1::VERDICT_CHANGE_SAME) ||
         !item.differences().empty();
}

template <typename Visit>
void ForEachItem(const Verification& verification, Visit visit) {
  for (const v1::VerifyLineResponse& item : verification.claims) visit(item);
  for (const v1::VerifyLineResponse& item : verification.declared_ratings) visit(item);
}

std::string Failures(const Verification& verification) {
  std::string text;
  ForEachItem(verification, [&](const v1::VerifyLineResponse& item) {
    for (const std::string& failure : item.failures()) {
      absl::StrAppend(&text, "- **", MarkdownText(SubjectOf(item).name),
                      "**: ", MarkdownText(failure), "\n");
    }
  });
  return text;
}

std::string Changes(const Verification& verification) {
  std::string rows;
  ForEachItem(verification, [&](const v1::VerifyLineResponse& item) {
    if (!Changed(item)) return;
    const Subject subject = SubjectOf(item);
    rows += Row({ChangeWord(item.change()), subject.name, subject.before, subject.now,
                 DifferencesOf(item)});
  });
  if (rows.empty()) return "Nothing differs.\n";
  return Header({"change", "claim or rating", "baseline", "now", "what differs"}) + rows;
}

std::string Verdicts(const Verification& verification) {
  std::string text = Header({"verdict", "claim", "promise", "margin"});
  for (const v1::VerifyLineResponse& item : verification.claims) {
    if (!item.has_verdict()) continue;
    const v1::Verdict& verdict = item.verdict();
    text += Row({OutcomeWord(verdict), verdict.claim(), verdict.text().statement(),
                 verdict.worst_point().empty()
                     ? ""
                     : absl::StrFormat("%.3g%s", verdict.margin(),
                                       quantity::AfterNumber(verdict.unit()))});
  }
  return text;
}

std::string NotShown(const Verification& verification) {
  std::string text;
  for (const v1::VerifyLineResponse& item : verification.claims) {
    if (!item.has_verdict() || item.verdict().outcome() != v1::OUTCOME_NOT_SHOWN)
      continue;
    absl::StrAppend(&text, "- **", MarkdownText(item.verdict().claim()), "**, ",
                    MarkdownText(OutcomeWord(item.verdict())), ": ",
                    MarkdownText(item.verdict().explanation()), "\n");
  }
  return text;
}

std::string Declared(const Verification& verification) {
  std::string rows;
  std::string what_ifs;
  for (const v1::VerifyLineResponse& item : verification.declared_ratings) {
    if (!item.has_declared_rating()) continue;
    const v1::DeclaredRatingVerdict& declared = item.declared_rating();
    const std::string& unit = declared.declared().unit();
    rows += Row({DeclaredOutcomeWord(declared.outcome()), DeclaredId(item),
                 absl::StrCat(Number(declared.declared().value()), " ", unit),
                 declared.rating().rounded().empty()
                     ? declared.rating().refusal()
                     : absl::StrCat(declared.rating().rounded(), " ", unit),
                 UncertaintyText(declared.rating())});
    if (!declared.has_surveillance_what_if()) continue;
    const v1::SurveillanceWhatIf& what_if = declared.surveillance_what_if();
    absl::StrAppend(
        &what_ifs, "- ", MarkdownText(DeclaredId(item)),
        ": what if an authority determined this figure? It would be ",
        what_if.within() ? "within" : "outside", " its tolerance of ",
        Number(what_if.tolerance_percent()), " % (", MarkdownText(what_if.source()),
        "). That is no tolerance for the declared value, and decides nothing here.\n");
  }
  if (rows.empty()) return "";
  return absl::StrCat(
      "\n### Declared ratings, at no tolerance\n\n",
      Header({"verdict", "rating", "declared", "the data give", "sure to"}), rows,
      what_ifs.empty() ? "" : "\n", what_ifs);
}

}  // namespace

std::string MarkdownText(std::string_view text) {
  std::string escaped;
  for (const char c : text) {
    switch (c) {
      case '&':
        escaped += "&amp;";
        break;
      case '<':
        escaped += "&lt;";
        break;
      case '>':
        escaped += "&gt;";
        break;
      case '\n':
      case '\r':
      case '\t':
        escaped += ' ';
        break;
      case '\\':
      case '`':
      case '*':
      case '_':
      case '[':
      case ']':
      case '|':
      case '~':
      case '#':
      case '@':
        escaped += '\\';
        escaped += c;
        break;
      default:
        escaped += c;
    }
  }
  return escaped;
}

std::string MarkdownReport(const Verification& verification) {
  const v1::VerifySummary& summary = verification.summary;
  const bool fails = summary.failed_count() > 0;
  std::string text = absl::StrCat(
      "## ", MarkdownText(summary.line()), ": the gate ", fails ? "fails" : "passes",
      "\n\n", MarkdownText(summary.title()), "\n\n", summary.proven_count(), " proven, ",
      summary.refuted_count(), " refuted, ", summary.not_shown_count(), " not shown",
      summary.observed_count() > 0
          ? absl::StrCat(", ", summary.observed_count(), " observed")
          : "",
      "; fail on ", GateRuleWord(summary.effective_fail_on()), "\n");
  if (fails) absl::StrAppend(&text, "\n### Why it fails\n\n", Failures(verification));
  if (!summary.effective_baseline().empty()) {
    absl::StrAppend(&text, "\n### Changes from baseline ",
                    summary.effective_baseline().substr(0, 16), "\n\n",
                    Changes(verification));
  }
  text += Declared(verification);
  if (!verification.claims.empty()) {
    absl::StrAppend(&text, "\n### Verdicts\n\n", Verdicts(verification));
  }
  const std::string not_shown = NotShown(verification);
  if (!not_shown.empty()) {
    absl::StrAppend(&text, "\n### Why not shown\n\n", not_shown);
  }
  absl::StrAppend(&text, "\n### Cautions\n\n");
  for (const std::string& caution : summary.cautions()) {
    absl::StrAppend(&text, "- ", MarkdownText(caution), "\n");
  }
  absl::StrAppend(
      &text,
      "- Computed figures, not certified ratings. Proven is for the stated model, level "
      "and allowance. A surface does not show that a unit runs: freezing, refrigerant "
      "pressure, electrical and combustion limits stand in its safety approvals.\n");
  return text;
}

}  // namespace ratebound::cli
