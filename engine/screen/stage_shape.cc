#include "engine/screen/stage_shape.h"

#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::screen {
namespace {

using document::Severity;
using points::StagePoints;

void Describe(const StagePoints& group, const std::string& name, FindingList& findings) {
  std::vector<std::string> levels;
  for (size_t j = 0; j < group.columns.size(); ++j) {
    levels.push_back(absl::StrCat(group.mode->conditions[j], " ",
                                  points::CountLevels(group.columns[j])));
  }
  findings.Add(
      Severity::kNote, name,
      absl::StrCat(group.points.size(), " points",
                   group.blocks.empty()
                       ? std::string(", no blocks named: taken as independent")
                       : absl::StrCat(" in ", group.block_names.size(), " block(s)"),
                   "; levels: ", absl::StrJoin(levels, ", ")));
}

void CheckSize(const StagePoints& group, const std::string& name, FindingList& findings) {
  const size_t conditions = group.columns.size();
  if (group.points.size() < conditions + 2) {
    findings.Add(
        Severity::kFailure, name,
        absl::StrCat("a plane over ", conditions, " condition(s) needs at least ",
                     conditions + 2, " points; there are ", group.points.size()));
  }
  for (size_t j = 0; j < conditions; ++j) {
    const std::string& condition = group.mode->conditions[j];
    const auto [low, high] =
        std::minmax_element(group.columns[j].begin(), group.columns[j].end());
    if (*low == *high) {
      findings.Add(Severity::kFailure, name,
                   absl::StrCat(condition,
                                " has 1 level; a surface over it needs at least 2: test "
                                "more, or list it under held_conditions"));
      continue;
    }
    const auto quantity = quantity::FindQuantity(condition);
    if (quantity.ok() && (*quantity)->dimension == quantity::Dimension::kTemperature &&
        *high - *low < kLeastTemperatureSpanK) {
      findings.Add(
          Severity::kWarning, name,
          absl::StrFormat("%s spans %.2f K only, which is how set points scatter: test "
                          "more levels, or list it under held_conditions",
                          condition, *high - *low));
    }
  }
}

void CheckSpecimens(const StagePoints& group, const std::string& name,
                    FindingList& findings) {
  if (group.specimens.size() < 2) return;
  if (const absl::Status status = points::CheckPooling(group); !status.ok()) {
    for (const base::Fault& fault : base::FaultsOf(status))
      findings.AddFault(name, fault);
    return;
  }
  findings.Add(Severity::kNote, name,
               absl::StrCat(group.specimens.size(), " specimens are fitted together"));
}

// A full polynomial of degree d over n conditions has (n + d)! / (n! d!) terms.
size_t TermCount(size_t conditions, int degree) {
  size_t terms = 1;
  for (size_t k = 1; k <= static_cast<size_t>(degree); ++k) {
    terms = terms * (conditions + k) / k;
  }
  return terms;
}

void CheckBlocks(const StagePoints& group, const std::string& name,
                 FindingList& findings) {
  if (group.blocks.empty()) return;
  // Undeclared, a proof takes at least one degree above a plane.
  const int degree = group.mode->declared_proof_degree.value_or(2);
  const size_t needed = TermCount(group.columns.size(), degree) + 1;
  if (group.block_names.size() >= needed) return;
  findings.Add(
      Severity::kWarning, name,
      absl::StrCat("points of one block are correlated: the uncertainty of a proof of "
                   "degree ",
                   degree, " over ", group.columns.size(),
                   " condition(s) needs at least ", needed, " blocks; there are ",
                   group.block_names.size()));
}

}  // namespace

void CheckShape(const StagePoints& group, FindingList& findings) {
  const std::string name = points::NameOf(group);
  Describe(group, name, findings);
  CheckSize(group, name, findings);
  CheckSpecimens(group, name, findings);
  CheckBlocks(group, name, findings);
  if (group.incomplete_point_ids.empty()) return;
  findings.Add(
      Severity::kWarning, name,
      absl::StrCat(group.incomplete_point_ids.size(), " point(s) without ",
                   group.mode->capacity_quantity, " or ", group.mode->power_quantity,
                   " are not fitted: ", SpeltIds(group.incomplete_point_ids)));
}

}  // namespace ratebound::screen
