#include "clients/cli/render.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/text_table.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::cli {

std::string Number(double value) { return absl::StrFormat("%.6g", value); }

int DecimalsBeside(double half_width) {
  // "3.3e-02": the exponent after rounding to two digits, so that 0.0996 is 0.10.
  const std::string two_digits = absl::StrFormat("%.1e", half_width);
  int exponent = 0;
  if (!absl::SimpleAtoi(two_digits.substr(two_digits.find('e') + 1), &exponent)) return 6;
  return std::clamp(1 - exponent, 0, 6);
}

std::string Rough(double value) {
  if (value == 0) return "0";
  const double size = std::fabs(value);
  if (size < 1e-5) return absl::StrFormat("%.1g", value);
  const int decimals = DecimalsBeside(size);
  if (decimals > 0) return absl::StrFormat("%.*f", decimals, value);
  double two_digits = 0;
  if (!absl::SimpleAtod(absl::StrFormat("%.1e", value), &two_digits)) return "";
  return absl::StrFormat("%.0f", two_digits);
}

std::string Exact(double value) { return base::ShortestText(value); }

std::string Conditions(std::span<const v1::Measure> measures) {
  std::vector<std::string> parts;
  for (const v1::Measure& measure : measures) {
    parts.push_back(absl::StrCat(measure.quantity(), " ", Number(measure.value()),
                                 quantity::AfterNumber(measure.unit())));
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
  TextTable methods(
      {"method of measuring", "kind", "edition", "published", "secondary", "memory"},
      {Align::kLeft, Align::kLeft, Align::kLeft, Align::kRight, Align::kRight,
       Align::kRight});
  for (const v1::MethodSummary& method : procedures.methods()) {
    methods.AddRow({method.id(), method.kind(), method.edition(),
                    absl::StrCat(method.published_count()),
                    absl::StrCat(method.secondary_count()),
                    absl::StrCat(method.memory_count())});
  }
  TextTable minimums({"minimum levels", "levels", "not known", "edition", "published",
                      "secondary", "memory"},
                     {Align::kLeft, Align::kRight, Align::kRight, Align::kLeft,
                      Align::kRight, Align::kRight, Align::kRight});
  for (const v1::MinimumSummary& levels : procedures.minimums()) {
    minimums.AddRow({levels.id(), absl::StrCat(levels.level_count()),
                     absl::StrCat(levels.not_known_count()), levels.edition(),
                     absl::StrCat(levels.published_count()),
                     absl::StrCat(levels.secondary_count()),
                     absl::StrCat(levels.memory_count())});
  }
  return absl::StrCat(
      table.ToString(), "\n", methods.ToString(), "\n", minimums.ToString(), "\n",
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
  return table.ToString();
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

std::string ProceduresCsv(const v1::ListProceduresResponse& procedures) {
  TextTable table({"procedure", "metric", "edition", "published_count", "secondary_count",
                   "memory_count", "equipment_classes"},
                  {});
  for (const v1::ProcedureSummary& procedure : procedures.procedures()) {
    table.AddRow({procedure.id(), procedure.metric(), procedure.edition(),
                  absl::StrCat(procedure.published_count()),
                  absl::StrCat(procedure.secondary_count()),
                  absl::StrCat(procedure.memory_count()),
                  absl::StrJoin(procedure.equipment_classes(), " ")});
  }
  return table.ToCsv();
}

std::string ReleasesCsv(const v1::ListReleasesResponse& releases) {
  TextTable table({"sequence", "release", "line", "title", "units", "point_count",
                   "rating_count", "proven_count", "refuted_count", "not_shown_count",
                   "table_count", "engine_version"},
                  {});
  for (const v1::StoredRelease& stored : releases.releases()) {
    const v1::ReleaseSummary& release = stored.release();
    table.AddRow(
        {stored.sequence() > 0 ? absl::StrCat(stored.sequence()) : "", release.digest(),
         release.line(), release.title(), absl::StrJoin(release.units(), " "),
         absl::StrCat(release.point_count()), absl::StrCat(release.rating_count()),
         absl::StrCat(release.proven_count()), absl::StrCat(release.refuted_count()),
         absl::StrCat(release.not_shown_count()), absl::StrCat(release.table_count()),
         release.engine_version()});
  }
  return table.ToCsv();
}

std::string ChangesCsv(const v1::CompareReleasesResponse& changes) {
  TextTable table({"kind", "subject", "before", "after", "regression"}, {});
  for (const v1::ReleaseChange& change : changes.changes()) {
    table.AddRow({change.kind(), change.subject(), change.before(), change.after(),
                  change.regression() ? "yes" : "no"});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
