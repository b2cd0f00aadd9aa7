// How a rating came about, and what it stands against.
#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

std::string BasisWord(v1::Basis basis) {
  switch (basis) {
    case v1::BASIS_PUBLISHED_TEXT:
      return "published text";
    case v1::BASIS_SECONDARY_TEXT:
      return "quoted elsewhere";
    case v1::BASIS_MEMORY:
      return "from memory";
    default:
      return "";
  }
}
std::string MinimumText(const v1::MinimumVerdict& verdict, const std::string& unit) {
  const std::string level =
      verdict.has_level()
          ? absl::StrCat(" ", Number(verdict.level()), unit.empty() ? "" : " ", unit)
          : "";
  std::string text;
  switch (verdict.outcome()) {
    case v1::MINIMUM_OUTCOME_MEETS:
      text = absl::StrCat("meets", level);
      break;
    case v1::MINIMUM_OUTCOME_DOES_NOT_MEET:
      text = absl::StrCat("DOES NOT MEET", level);
      break;
    default:
      text = "minimum level not known";
      break;
  }
  absl::StrAppend(&text, " on ", verdict.day(), " by ", verdict.minimum_levels());
  if (!verdict.clause().empty()) absl::StrAppend(&text, " (", verdict.clause());
  if (!verdict.clause().empty()) {
    const std::string basis = BasisWord(verdict.basis());
    absl::StrAppend(&text, basis.empty() ? "" : ", ", basis, ")");
  }
  if (!verdict.reason().empty()) absl::StrAppend(&text, ": ", verdict.reason());
  return text;
}

std::string TraceText(const google::protobuf::RepeatedPtrField<v1::TraceStep>& steps,
                      int indent) {
  TextTable table({"value", "", "from", "how"},
                  {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft});
  // A clause stands at many steps; it is written once, below.
  std::vector<std::string> sources;
  for (const v1::TraceStep& step : steps) {
    std::string mark;
    if (!step.clause().empty()) {
      const std::string basis = BasisWord(step.basis());
      const std::string source = absl::StrCat(
          step.clause(), basis.empty() ? "" : absl::StrCat(" (", basis, ")"));
      auto found = std::find(sources.begin(), sources.end(), source);
      if (found == sources.end()) found = sources.insert(found, source);
      mark = absl::StrCat("[", found - sources.begin() + 1, "]");
    }
    std::vector<std::string> how;
    if (!step.how().empty()) how.push_back(step.how());
    std::string footing = FootingWord(step.footing());
    if (!step.test_points().empty()) {
      absl::StrAppend(&footing, footing.empty() ? "" : " ",
                      step.footing() == v1::FOOTING_TESTED ? "as " : "near ",
                      absl::StrJoin(step.test_points(), " "));
    }
    if (!footing.empty()) how.push_back(footing);
    table.AddRow(
        {std::string(2 * step.depth(), ' ') + step.label(),
         absl::StrCat(Number(step.value()), step.unit().empty() ? "" : " ", step.unit()),
         mark, absl::StrJoin(how, "; ")});
  }
  std::string text = table.ToString(indent);
  for (size_t i = 0; i < sources.size(); ++i) {
    text += Wrapped(absl::StrCat("[", i + 1, "] ", sources[i]), indent);
  }
  return text;
}

}  // namespace ratebound::cli
