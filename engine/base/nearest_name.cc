#include "engine/base/nearest_name.h"

#include <algorithm>
#include <numeric>
#include <vector>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::base {
namespace {

// Edit distance with insertion, deletion and substitution (Wagner and Fischer 1974).
int EditDistance(std::string_view a, std::string_view b) {
  std::vector<int> row(b.size() + 1);
  std::iota(row.begin(), row.end(), 0);
  for (size_t i = 1; i <= a.size(); ++i) {
    int diagonal = row[0];
    row[0] = static_cast<int>(i);
    for (size_t j = 1; j <= b.size(); ++j) {
      const bool same = absl::ascii_tolower(a[i - 1]) == absl::ascii_tolower(b[j - 1]);
      const int substituted = diagonal + (same ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({substituted, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

}  // namespace

std::string NearestName(std::string_view name, std::span<const std::string> known) {
  constexpr size_t kLongestCompared = 200;
  if (name.empty() || name.size() > kLongestCompared) return "";
  std::string nearest;
  int nearest_distance = 0;
  for (const std::string& candidate : known) {
    const int distance = EditDistance(name, candidate);
    const int allowed = std::max<int>(1, std::max(name.size(), candidate.size()) / 3);
    if (distance > allowed) continue;
    if (nearest.empty() || distance < nearest_distance) {
      nearest = candidate;
      nearest_distance = distance;
    }
  }
  return nearest;
}

std::string DidYouMean(std::string_view name, std::span<const std::string> known) {
  const std::string nearest = NearestName(name, known);
  return nearest.empty() ? "" : absl::StrCat("; did you mean '", nearest, "'?");
}

}  // namespace ratebound::base
