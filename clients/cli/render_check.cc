#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

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
namespace {

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

namespace {

// Windows and cycles one by one; what was left out, one line for each reason.
std::string SpansText(const v1::LogReport& log, bool all) {
  TextTable table({"from", "to", "lines", "", "point", "why"},
                  {Align::kRight, Align::kRight, Align::kRight, Align::kLeft,
                   Align::kLeft, Align::kLeft});
  struct Reason {
    std::string text;
    int count = 0;
    double seconds = 0;
  };
  std::vector<Reason> reasons;
  int shown = 0;
  int kept = 0;
  for (const v1::LogSpan& span : log.spans()) {
    const bool used =
        span.kind() == v1::LOG_SPAN_KIND_WINDOW || span.kind() == v1::LOG_SPAN_KIND_CYCLE;
    kept += used;
    if (!all && !used) {
      // Figures in a reason differ from span to span; its first words do not.
      const std::string words =
          span.reason().substr(0, span.reason().find_first_of("0123456789"));
      auto found = std::find_if(reasons.begin(), reasons.end(),
                                [&](const Reason& each) { return each.text == words; });
      if (found == reasons.end()) found = reasons.insert(reasons.end(), {words});
      ++found->count;
      found->seconds += span.end_s() - span.start_s();
      continue;
    }
    if (!all && shown == kMostSpansShown) continue;
    ++shown;
    table.AddRow({Clock(span.start_s()), Clock(span.end_s()),
                  absl::StrCat(span.first_line(), "-", span.last_line()),
                  SpanWord(span.kind()), span.point(), span.reason()});
  }
  std::string text = shown > 0 ? table.ToString(2) : "";
  if (!all && kept > shown) {
    absl::StrAppendFormat(&text, "  and %d more (--all shows them)\n", kept - shown);
  }
  for (const Reason& reason : reasons) {
    absl::StrAppend(&text, "  left out: ", Count(reason.count, "span"), ", ",
                    Clock(reason.seconds), " together: ", reason.text, "...\n");
  }
  return text;
}

}  // namespace

std::string LogsText(const std::vector<v1::LogReport>& logs, bool all) {
  std::string text;
  for (const v1::LogReport& log : logs) {
    std::map<v1::LogSpanKind, int> counts;
    for (const v1::LogSpan& span : log.spans()) ++counts[span.kind()];
    absl::StrAppend(&text, log.path(), ": ", log.row_count(), " rows over ",
                    Clock(log.duration_s()), "; ",
                    Count(counts[v1::LOG_SPAN_KIND_WINDOW], "window"));
    if (counts[v1::LOG_SPAN_KIND_CYCLE] > 0) {
      absl::StrAppend(&text, ", ", Count(counts[v1::LOG_SPAN_KIND_CYCLE], "cycle"));
    }
    absl::StrAppend(&text, ", ",
                    Count(counts[v1::LOG_SPAN_KIND_REJECTED], "rejected span"));
    if (counts[v1::LOG_SPAN_KIND_IGNORED] > 0) {
      absl::StrAppend(&text, ", ", counts[v1::LOG_SPAN_KIND_IGNORED], " ignored");
    }
    absl::StrAppend(&text, "\n", SpansText(log, all));
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

}  // namespace ratebound::cli
