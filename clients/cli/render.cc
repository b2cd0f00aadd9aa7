#include "clients/cli/render.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

std::string Number(double value) { return absl::StrFormat("%.6g", value); }

std::string Conditions(std::span<const v1::Measure> measures) {
  std::vector<std::string> parts;
  for (const v1::Measure& measure : measures) {
    parts.push_back(absl::StrCat(measure.quantity(), " ", Number(measure.value()), " ",
                                 measure.unit()));
  }
  return absl::StrJoin(parts, ", ");
}

std::string FootingWord(v1::Footing footing) {
  switch (footing) {
    case v1::FOOTING_TESTED:
      return "tested";
    case v1::FOOTING_INTERPOLATED:
      return "interpolated";
    case v1::FOOTING_EXTRAPOLATED:
      return "extrapolated";
    case v1::FOOTING_PREDICTED:
      return "predicted";
    default:
      return "";
  }
}

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

}  // namespace

std::string FindingsText(const std::vector<v1::Finding>& findings,
                         const v1::CheckSummary& summary) {
  std::string text;
  // The gravest first; within a kind as they were found.
  for (const v1::Severity severity :
       {v1::SEVERITY_FAILURE, v1::SEVERITY_WARNING, v1::SEVERITY_NOTE}) {
    for (const v1::Finding& finding : findings) {
      if (finding.severity() != severity) continue;
      absl::StrAppendFormat(&text, "%-8s %s: %s\n", SeverityWord(severity),
                            Place(finding), finding.message());
    }
  }
  absl::StrAppend(&text, summary.point_count(), " points: ", summary.accepted_count(),
                  " accepted, ", summary.dropped_count(), " dropped by the manifest; ",
                  summary.failure_count(), " failures\n");
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

std::string ProceduresText(const v1::ListProceduresResponse& procedures) {
  TextTable table({"procedure", "metric", "edition", "published", "secondary", "memory",
                   "applies to"},
                  {Align::kLeft, Align::kLeft, Align::kLeft, Align::kRight, Align::kRight,
                   Align::kRight, Align::kLeft});
  for (const v1::ProcedureSummary& procedure : procedures.procedures()) {
    table.AddRow({procedure.id(), procedure.metric(), procedure.edition(),
                  absl::StrCat(procedure.published_count()),
                  absl::StrCat(procedure.secondary_count()),
                  absl::StrCat(procedure.memory_count()),
                  absl::StrJoin(procedure.equipment_classes(), ", ")});
  }
  return absl::StrCat(
      table.ToString(),
      "The counts say how many numbers and rules were read in the published "
      "document, in a page\nthat quotes it, or are from memory.\n");
}

std::string ReleaseText(const v1::ReleaseSummary& release) {
  return absl::StrCat(
      "release ", release.digest(), "\n  line    ", release.line(), ": ", release.title(),
      "\n  units   ", absl::StrJoin(release.units(), ", "), "\n  points  ",
      release.point_count(), "\n  ratings ", release.rating_count(), "\n  claims  ",
      release.proven_count(), " proven, ", release.refuted_count(), " refuted, ",
      release.not_shown_count(), " not shown\n  tables  ", release.table_count(),
      "\n  engine  ", release.engine_version(), "\n");
}

std::string ReleasesText(const v1::ListReleasesResponse& releases) {
  TextTable table({"no.", "release", "line", "points", "proven", "refuted", "not shown"},
                  {Align::kRight, Align::kLeft, Align::kLeft, Align::kRight,
                   Align::kRight, Align::kRight, Align::kRight});
  for (const v1::StoredRelease& stored : releases.releases()) {
    const v1::ReleaseSummary& release = stored.release();
    table.AddRow(
        {absl::StrCat(stored.sequence()), release.digest().substr(0, 16), release.line(),
         absl::StrCat(release.point_count()), absl::StrCat(release.proven_count()),
         absl::StrCat(release.refuted_count()), absl::StrCat(release.not_shown_count())});
  }
  return releases.releases().empty()
             ? "the store is empty; see ratebound publish --help\n"
             : table.ToString();
}

std::string ChangesText(const v1::CompareReleasesResponse& changes) {
  if (changes.changes().empty()) return "no difference\n";
  std::string text;
  for (const v1::ReleaseChange& change : changes.changes()) {
    absl::StrAppend(&text, change.regression() ? "WORSE " : "      ", change.kind(), " ",
                    change.subject(), ": ",
                    change.before().empty() ? "(none)" : change.before(), " -> ",
                    change.after().empty() ? "(none)" : change.after(), "\n");
  }
  return text;
}

}  // namespace ratebound::cli
