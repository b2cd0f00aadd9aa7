#include "engine/screen/finding_list.h"

#include <algorithm>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"

namespace ratebound::screen {

using document::Severity;
using document::TestPoint;

void FindingList::Add(Severity severity, std::string subject, std::string message) {
  findings_.push_back({.severity = severity,
                       .subject = std::move(subject),
                       .message = std::move(message)});
}

void FindingList::Add(Severity severity, const TestPoint& point, std::string message) {
  findings_.push_back({.severity = severity,
                       .subject = point.id,
                       .message = std::move(message),
                       .file = point.file,
                       .line = point.line});
}

void FindingList::AddFault(const std::string& subject, const base::Fault& fault) {
  findings_.push_back({.severity = Severity::kFailure,
                       .subject = subject,
                       .message = fault.remedy.empty()
                                      ? fault.message
                                      : absl::StrCat(fault.message, "; ", fault.remedy),
                       .file = fault.file,
                       .line = fault.line});
}

void FindingList::AddDoubts(const std::string& group, std::span<const Doubt> doubts) {
  std::vector<std::string> kinds;
  for (const Doubt& doubt : doubts) {
    if (std::find(kinds.begin(), kinds.end(), doubt.kind) == kinds.end()) {
      kinds.push_back(doubt.kind);
    }
  }
  for (const std::string& kind : kinds) {
    std::vector<const Doubt*> of_kind;
    for (const Doubt& doubt : doubts) {
      if (doubt.kind == kind) of_kind.push_back(&doubt);
    }
    std::vector<const Doubt*> shown = of_kind;
    std::stable_sort(shown.begin(), shown.end(), [](const Doubt* a, const Doubt* b) {
      return a->weight > b->weight;
    });
    shown.resize(std::min(shown.size(), kMostDoubtsOneByOne));
    std::vector<std::string> other_ids;
    size_t others = 0;
    for (const Doubt* doubt : of_kind) {
      if (std::find(shown.begin(), shown.end(), doubt) != shown.end()) {
        Add(Severity::kWarning, *doubt->point, absl::StrCat(kind, ": ", doubt->message));
        continue;
      }
      ++others;
      if (std::find(other_ids.begin(), other_ids.end(), doubt->point->id) ==
          other_ids.end()) {
        other_ids.push_back(doubt->point->id);
      }
    }
    if (others == 0) continue;
    Add(Severity::kWarning, group,
        absl::StrCat(kind, ": ", others, " more of this kind, less far off, at ",
                     SpeltIds(other_ids)));
  }
}

std::string SpeltIds(std::span<const std::string> ids, size_t most) {
  const auto spelt = ids.subspan(0, std::min(ids.size(), most));
  return absl::StrCat(
      absl::StrJoin(spelt.begin(), spelt.end(), ", "),
      ids.size() > most ? absl::StrCat(" and ", ids.size() - most, " more") : "");
}

}  // namespace ratebound::screen
