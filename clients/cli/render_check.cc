#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/display_unit.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string SeverityWord(v1::Severity severity) {
  switch (severity) {
    case v1::SEVERITY_FAILURE:
      return "failure";
    case v1::SEVERITY_WARNING:
      return "warning";
    default:
      return "note";
  }
}

std::string Place(const v1::Finding& finding) {
  if (finding.file().empty()) return finding.subject();
  return absl::StrCat(finding.file(), ":", finding.line());
}

constexpr int kMostLinesOfASeverity = 20;

// What many subjects have in common is one line: the first subject, and how many more.
std::vector<std::string> FindingLines(const std::vector<v1::Finding>& findings,
                                      v1::Severity severity, bool all) {
  struct Group {
    std::string place;
    int count = 0;
  };
  std::vector<std::pair<std::string, Group>> groups;  // by message, as they came
  std::map<std::string, size_t> known;
  for (const v1::Finding& finding : findings) {
    if (finding.severity() != severity) continue;
    const std::string key =
        all || !finding.file().empty() ? absl::StrCat(groups.size()) : finding.message();
    const auto [found, fresh] = known.try_emplace(key, groups.size());
    if (fresh) groups.push_back({finding.message(), {.place = Place(finding)}});
    ++groups[found->second].second.count;
  }
  std::vector<std::string> lines;
  for (const auto& [message, group] : groups) {
    lines.push_back(absl::StrFormat(
        "%-8s %s%s: %s\n", SeverityWord(severity), group.place,
        group.count > 1 ? absl::StrCat(" and ", group.count - 1, " more") : "", message));
  }
  return lines;
}

}  // namespace

std::string FindingsText(const std::vector<v1::Finding>& findings,
                         const v1::CheckSummary& summary, bool all) {
  std::string text;
  // The gravest first; within a kind as they were found.
  for (const v1::Severity severity :
       {v1::SEVERITY_FAILURE, v1::SEVERITY_WARNING, v1::SEVERITY_NOTE}) {
    const std::vector<std::string> lines = FindingLines(findings, severity, all);
    const int shown = all ? static_cast<int>(lines.size())
                          : std::min<int>(lines.size(), kMostLinesOfASeverity);
    for (int i = 0; i < shown; ++i) text += lines[i];
    if (shown < static_cast<int>(lines.size())) {
      absl::StrAppendFormat(&text, "%-8s and %d more (--all shows them)\n",
                            SeverityWord(severity), lines.size() - shown);
    }
  }
  absl::StrAppend(&text, Count(summary.point_count(), "point"), ": ",
                  summary.accepted_count(), " accepted, ", summary.dropped_count(),
                  " dropped by the manifest; ", Count(summary.failure_count(), "failure"),
                  "\n");
  return text;
}

std::string FindingsCsv(const std::vector<v1::Finding>& findings) {
  TextTable table({"severity", "subject", "file", "line", "message"}, {});
  for (const v1::Finding& finding : findings) {
    table.AddRow({SeverityWord(finding.severity()), finding.subject(), finding.file(),
                  absl::StrCat(finding.line()), finding.message()});
  }
  return table.ToCsv();
}

namespace {

std::string SpanWord(v1::LogSpanKind kind) {
  switch (kind) {
    case v1::LOG_SPAN_KIND_WINDOW:
      return "window";
    case v1::LOG_SPAN_KIND_CYCLE:
      return "cycle";
    case v1::LOG_SPAN_KIND_IGNORED:
      return "ignored";
    default:
      return "rejected";
  }
}

// An hour, 3 minutes and 20 seconds as "1:03:20".
std::string Clock(double seconds) {
  // A server may answer anything.
  const auto whole =
      seconds >= 0 && seconds < 1e15 ? static_cast<int64_t>(seconds + 0.5) : int64_t{0};
  return absl::StrFormat("%d:%02d:%02d", whole / 3600, whole / 60 % 60, whole % 60);
}

constexpr int kMostSpansShown = 40;

std::string Figures(const google::protobuf::RepeatedPtrField<v1::CycleFigure>& figures,
                    int indent) {
  TextTable table({"figure", "value", "how"},
                  {Align::kLeft, Align::kRight, Align::kLeft});
  for (const v1::CycleFigure& figure : figures) {
    table.AddRow({figure.name(),
                  absl::StrCat(Number(figure.value()), figure.unit().empty() ? "" : " ",
                               figure.unit()),
                  figure.how()});
  }
  return table.ToString(indent);
}

}  // namespace

std::string LogsText(const std::vector<v1::LogReport>& logs, bool all) {
  std::string text;
  for (const v1::LogReport& log : logs) {
    std::map<v1::LogSpanKind, int> counts;
    for (const v1::LogSpan& span : log.spans()) ++counts[span.kind()];
    absl::StrAppend(&text, log.path(), ": ", log.row_count(), " rows over ",
                    Clock(log.duration_s()), "; ",
                    Count(counts[v1::LOG_SPAN_KIND_WINDOW], "window"), ", ",
                    Count(counts[v1::LOG_SPAN_KIND_CYCLE], "cycle"), ", ",
                    Count(counts[v1::LOG_SPAN_KIND_REJECTED], "rejected span"), ", ",
                    counts[v1::LOG_SPAN_KIND_IGNORED], " ignored\n");
    TextTable table({"from", "to", "lines", "", "point", "why"},
                    {Align::kRight, Align::kRight, Align::kRight, Align::kLeft,
                     Align::kLeft, Align::kLeft});
    int shown = 0;
    for (const v1::LogSpan& span : log.spans()) {
      if (!all && shown == kMostSpansShown) break;
      ++shown;
      table.AddRow({Clock(span.start_s()), Clock(span.end_s()),
                    absl::StrCat(span.first_line(), "-", span.last_line()),
                    SpanWord(span.kind()), span.point(), span.reason()});
    }
    absl::StrAppend(&text, table.ToString(2));
    if (shown < log.spans_size()) {
      absl::StrAppendFormat(&text, "  and %d more (--all shows them)\n",
                            log.spans_size() - shown);
    }
    if (all) {
      for (const v1::CycleSummary& cycle : log.cycles()) {
        absl::StrAppend(&text, "  cycle of lines ", cycle.first_line(), "-",
                        cycle.last_line(), "\n", Figures(cycle.figures(), 4));
      }
    }
    if (log.figures_size() > 0) {
      absl::StrAppend(&text, "  over all cycles\n", Figures(log.figures(), 4));
    }
    text += "\n";
  }
  return text;
}

namespace {

std::string WithUnit(const std::string& quantity, double value_si, bool inch_pound) {
  const Displayed shown = Display(quantity, value_si, inch_pound);
  return absl::StrCat(Number(shown.value), shown.unit.empty() ? "" : " ", shown.unit);
}

// A difference of the quantity, with two digits as uncertainties are stated.
std::string Difference(const std::string& quantity, double difference_si,
                       bool inch_pound) {
  const Displayed shown = Display(quantity, 0, inch_pound);
  return absl::StrFormat("%.2g", difference_si * shown.scale);
}

std::string Readings(const v1::TestPoint& point, bool inch_pound) {
  TextTable table(
      {"quantity", "value", "+- 95 %", "", "lab's figure"},
      {Align::kLeft, Align::kRight, Align::kRight, Align::kLeft, Align::kRight});
  for (const v1::SiValue& value : point.values()) {
    table.AddRow(
        {value.quantity(), WithUnit(value.quantity(), value.value_si(), inch_pound),
         value.has_uncertainty()
             ? Difference(value.quantity(), value.uncertainty().expanded_si(), inch_pound)
             : "not known",
         value.computed() ? "computed" : "read",
         value.has_lab_value_si()
             ? WithUnit(value.quantity(), value.lab_value_si(), inch_pound)
             : ""});
  }
  return table.ToString(2);
}

constexpr double kLeastShareShown = 0.005;

std::string Budgets(const v1::PointChain& chain, bool inch_pound, bool all) {
  std::string text;
  for (const v1::UncertaintyBudget& budget : chain.budgets()) {
    const std::string& quantity = budget.quantity();
    const v1::ValueUncertainty& u = budget.uncertainty();
    absl::StrAppend(
        &text, "  ", quantity, " ", WithUnit(quantity, budget.value_si(), inch_pound),
        " +- ", Difference(quantity, u.expanded_si(), inch_pound), " (standard: random ",
        Difference(quantity, u.random_standard_si(), inch_pound), ", systematic ",
        Difference(quantity, u.systematic_standard_si(), inch_pound), "; ",
        u.degrees_of_freedom() > 0
            ? absl::StrFormat("%.3g effective degrees of freedom", u.degrees_of_freedom())
            : std::string("degrees of freedom unlimited"),
        ")\n");
    TextTable table(
        {"share", "contribution", "part", "reading", "source"},
        {Align::kRight, Align::kRight, Align::kLeft, Align::kLeft, Align::kLeft});
    for (const v1::UncertaintyContribution& line : budget.contributions()) {
      // A share is negative where an error cancels others.
      if (!all && std::fabs(line.share()) < kLeastShareShown) continue;
      table.AddRow({absl::StrFormat("%.1f %%", 100 * line.share()),
                    Difference(quantity, line.contribution_si(), inch_pound),
                    line.systematic() ? "systematic" : "random", line.input(),
                    line.name()});
    }
    text += table.ToString(4);
  }
  return text;
}

}  // namespace

std::string ChainText(const v1::PointChain& chain, bool inch_pound, bool all) {
  const v1::TestPoint& point = chain.point();
  std::string text = absl::StrCat("point ", point.id(), "  (", point.file(), ":",
                                  point.line(), ")  ", point.unit());
  for (const std::string& label : {point.mode(), point.stage(), point.curve()}) {
    if (!label.empty()) absl::StrAppend(&text, "/", label);
  }
  for (const auto& [name, label] : {std::pair{"block", point.block()},
                                    {"specimen", point.specimen()},
                                    {"regime", point.regime()},
                                    {"tested on", point.tested_on()}}) {
    if (!label.empty()) absl::StrAppend(&text, ", ", name, " ", label);
  }
  text += "\n";
  if (!point.dropped_reason().empty()) {
    absl::StrAppend(&text, "dropped by the manifest: ", point.dropped_reason(), "\n");
  }
  absl::StrAppend(&text, Readings(point, inch_pound));
  if (chain.steps_size() > 0) {
    absl::StrAppend(&text, "\nHow it was computed, in the methods' own units\n",
                    TraceText(chain.steps(), 2));
  }
  if (chain.budgets_size() > 0) {
    absl::StrAppend(&text, "\nWhere the uncertainty comes from\n",
                    Budgets(chain, inch_pound, all));
  }
  if (chain.monte_carlo_size() > 0) {
    absl::StrAppend(&text, "\nBy drawing the readings ",
                    chain.monte_carlo(0).draw_count(), " times\n");
    for (const v1::MonteCarloFigure& figure : chain.monte_carlo()) {
      const std::string& quantity = figure.quantity();
      absl::StrAppend(
          &text, "  ", quantity, " ", WithUnit(quantity, figure.mean_si(), inch_pound),
          ", standard deviation ",
          Difference(quantity, figure.standard_deviation_si(), inch_pound),
          ", shortest 95 % interval ", WithUnit(quantity, figure.low_si(), inch_pound),
          " to ", WithUnit(quantity, figure.high_si(), inch_pound), "\n",
          Wrapped(figure.adequacy(), 4));
    }
  }
  if (chain.findings_size() > 0) {
    text += "\nWhat the check found on it\n";
    for (const v1::Finding& finding : chain.findings()) {
      absl::StrAppendFormat(&text, "  %-8s %s\n", SeverityWord(finding.severity()),
                            finding.message());
    }
  }
  return text;
}

std::string ChainCsv(const v1::PointChain& chain) {
  TextTable table({"depth", "label", "value", "unit", "how", "clause"}, {});
  for (const v1::TraceStep& step : chain.steps()) {
    table.AddRow({absl::StrCat(step.depth()), step.label(), Exact(step.value()),
                  step.unit(), step.how(), step.clause()});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
