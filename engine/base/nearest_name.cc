#include "engine/base/nearest_name.h"

#include <algorithm>
#include <numeric>
#include <vector>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::base {
namespace {

// Edit distance with insertion, deletion, substitution and the swap of two neighbours
// (optimal string alignment; Damerau, Communications of the ACM 7 (1964) 171).
int EditDistance(std::string_view a, std::string_view b) {
  const auto same = [&](size_t i, size_t j) {
    return absl::ascii_tolower(a[i]) == absl::ascii_tolower(b[j]);
  };
  std::vector<int> before;
  std::vector<int> above(b.size() + 1);
  std::vector<int> row(b.size() + 1);
  std::iota(above.begin(), above.end(), 0);
  for (size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<int>(i);
    for (size_t j = 1; j <= b.size(); ++j) {
      const int substituted = above[j - 1] + (same(i - 1, j - 1) ? 0 : 1);
      row[j] = std::min({substituted, above[j] + 1, row[j - 1] + 1});
      if (i > 1 && j > 1 && same(i - 1, j - 2) && same(i - 2, j - 1)) {
        row[j] = std::min(row[j], before[j - 2] + 1);
      }
    }
    before = above;
    std::swap(above, row);
  }
  return above[b.size()];
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
