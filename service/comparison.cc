#include "service/comparison.h"

#include <cmath>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/claim/verdict_strength.h"

namespace ratebound::service {
namespace {

// What of an item is compared. Two items with the same text are the same.
struct Described {
  std::string text;
  // Higher is shown better; a fall is a regression.
  int strength = 0;
};

// Pairs the items of two lists by key and appends those that differ.
template <typename Item>
class ListComparison {
 public:
  using Key = std::function<std::string(const Item&)>;
  using Describe = std::function<Described(const Item&)>;

  ListComparison(std::string kind, Key key, Describe describe)
      : kind_(std::move(kind)), key_(std::move(key)), describe_(std::move(describe)) {}

  // `loss_counts`: an item that is gone is a regression where it was shown at all.
  void Append(const std::vector<Item>& from, const std::vector<Item>& to,
              bool loss_counts, std::vector<v1::ReleaseChange>* changes) const {
    std::map<std::string, const Item*> before;
    for (const Item& item : from) before.emplace(key_(item), &item);
    std::map<std::string, const Item*> after;
    for (const Item& item : to) {
      const std::string key = key_(item);
      after.emplace(key, &item);
      const Described now = describe_(item);
      const auto found = before.find(key);
      if (found == before.end()) {
        Add(key, "", now.text, false, changes);
        continue;
      }
      const Described then = describe_(*found->second);
      if (then.text != now.text) {
        Add(key, then.text, now.text, now.strength < then.strength, changes);
      }
    }
    for (const Item& item : from) {
      const std::string key = key_(item);
      if (after.contains(key)) continue;
      const Described then = describe_(item);
      Add(key, then.text, "", loss_counts && then.strength > 0, changes);
    }
  }

 private:
  void Add(const std::string& subject, const std::string& before,
           const std::string& after, bool regression,
           std::vector<v1::ReleaseChange>* changes) const {
    v1::ReleaseChange change;
    change.set_kind(kind_);
    change.set_subject(subject);
    change.set_before(before);
    change.set_after(after);
    change.set_regression(regression);
    changes->push_back(std::move(change));
  }

  const std::string kind_;
  const Key key_;
  const Describe describe_;
};

Described DescribeFile(const document::SourceFile& file) {
  return {.text = absl::StrCat(file.byte_count, " bytes, sha256 ",
                               file.sha256.substr(0, 16))};
}

Described DescribeUnit(const document::Unit& unit) {
  std::vector<std::string> modes;
  for (const document::Mode& mode : unit.modes) {
    std::vector<std::string> stages;
    for (const document::Stage& stage : mode.stages) stages.push_back(stage.id);
    modes.push_back(absl::StrCat(mode.id, " (", absl::StrJoin(stages, ", "), ")"));
  }
  return {.text = absl::StrCat(unit.title, ", ", unit.equipment_class, ", ",
                               base::ShortestText(unit.nominal_capacity.value), " ",
                               unit.nominal_capacity.unit, ": ",
                               modes.empty() ? "no modes" : absl::StrJoin(modes, "; "))};
}

// Whether a higher metric is better depends on the metric, so only a rating that is lost,
// rests on less, or on numbers less well known, counts as shown less well.
Described DescribeRating(const document::Rating& rating) {
  if (!rating.value.has_value()) return {.text = "refused: " + rating.refusal};
  const std::string confirm =
      rating.unconfirmed_numbers.empty()
          ? ""
          : absl::StrCat(", ", rating.unconfirmed_numbers.size(), " numbers to confirm");
  const int footing_strength = 5 - static_cast<int>(rating.footing);
  return {
      .text = absl::StrCat(rating.rounded, " ", rating.metric_unit, " (",
                           base::ShortestText(*rating.value), ", ",
                           document::FootingName(rating.footing), confirm, ")"),
      .strength = 2 * footing_strength + (rating.unconfirmed_numbers.empty() ? 1 : 0)};
}

std::string DescribeRegion(const document::Claim& claim) {
  std::vector<std::string> ranges;
  for (const document::MeasureRange& range : claim.region) {
    ranges.push_back(absl::StrCat(range.quantity, " ", base::ShortestText(range.low),
                                  " to ", base::ShortestText(range.high), " ",
                                  range.unit));
  }
  return absl::StrJoin(ranges, ", ");
}

Described DescribeVerdict(const document::Verdict& verdict) {
  const document::Claim& claim = verdict.text;
  std::string allowance;
  if (claim.allowance.relative_fraction != 0) {
    absl::StrAppend(&allowance, ", allowance ",
                    base::ShortestText(claim.allowance.relative_fraction * 100), " %");
  }
  if (claim.allowance.absolute != 0) {
    absl::StrAppend(&allowance, ", allowance ",
                    base::ShortestText(claim.allowance.absolute), " ", claim.limit_unit);
  }
  return {
      .text = absl::StrCat(
          document::VerdictName(verdict.outcome, verdict.reason), ": ", claim.quantity,
          claim.relation == document::Relation::kAtLeast ? " at least " : " at most ",
          base::ShortestText(claim.limit), " ", claim.limit_unit, " for ",
          DescribeRegion(claim), ", confidence ", base::ShortestText(claim.confidence),
          allowance),
      .strength = claim::VerdictStrength(verdict.outcome)};
}

// Tables are large, so the text sums the cells up: two sums over the bytes of every
// value.
std::string CellsOf(const document::Table& table) {
  uint64_t hash = 1469598103934665603ULL;  // FNV-1a
  size_t count = 0;
  const auto add = [&hash](std::string_view bytes) {
    for (char c : bytes) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  };
  for (const document::TableColumnSet& set : table.figures) {
    add(set.figure.quantity);
    add(set.figure.unit);
    for (double value : set.values) add(base::ShortestText(value) + ",");
    for (document::Footing footing : set.footings)
      add(document::FootingName(footing) + ",");
    count += set.values.size();
  }
  return absl::StrFormat("%d cells, check sum %016x", count, hash);
}

Described DescribeTable(const document::Table& table) {
  return {.text = absl::StrCat(table.request.title, ": ", table.request.unit, ", ",
                               table.request.mode, ", ", table.request.stage, ", ",
                               CellsOf(table))};
}

}  // namespace

std::vector<ComparedVerdict> CompareVerdicts(std::span<const document::Verdict> now,
                                             std::span<const document::Verdict> before) {
  std::map<std::string_view, const document::Verdict*> earlier;
  for (const document::Verdict& verdict : before)
    earlier.emplace(verdict.claim, &verdict);
  std::map<std::string_view, const document::Verdict*> still_claimed;
  std::vector<ComparedVerdict> compared;
  for (const document::Verdict& verdict : now) {
    still_claimed.emplace(verdict.claim, &verdict);
    const auto found = earlier.find(verdict.claim);
    if (found == earlier.end()) {
      compared.push_back({.now = &verdict, .change = v1::VERDICT_CHANGE_NEW});
      continue;
    }
    const int gain = claim::VerdictStrength(verdict.outcome) -
                     claim::VerdictStrength(found->second->outcome);
    compared.push_back({.now = &verdict,
                        .before = found->second,
                        .change = gain > 0   ? v1::VERDICT_CHANGE_STRONGER
                                  : gain < 0 ? v1::VERDICT_CHANGE_WEAKER
                                             : v1::VERDICT_CHANGE_SAME});
  }
  for (const document::Verdict& verdict : before) {
    if (still_claimed.contains(verdict.claim)) continue;
    compared.push_back({.before = &verdict, .change = v1::VERDICT_CHANGE_GONE});
  }
  return compared;
}

std::vector<v1::ReleaseChange> CompareReleases(const document::Release& from,
                                               const document::Release& to) {
  std::vector<v1::ReleaseChange> changes;
  ListComparison<document::SourceFile>(
      "file", [](const document::SourceFile& file) { return file.path; }, DescribeFile)
      .Append(from.source_files, to.source_files, false, &changes);
  ListComparison<document::Unit>(
      "unit", [](const document::Unit& unit) { return unit.id; }, DescribeUnit)
      .Append(from.manifest.units, to.manifest.units, false, &changes);
  ListComparison<document::Rating>(
      "rating",
      [](const document::Rating& rating) {
        return absl::StrCat(rating.unit, "/", rating.procedure);
      },
      DescribeRating)
      .Append(from.ratings, to.ratings, true, &changes);
  ListComparison<document::Verdict>(
      "claim", [](const document::Verdict& verdict) { return verdict.claim; },
      DescribeVerdict)
      .Append(from.verdicts, to.verdicts, true, &changes);
  ListComparison<document::Table>(
      "table", [](const document::Table& table) { return table.request.id; },
      DescribeTable)
      .Append(from.tables, to.tables, false, &changes);
  return changes;
}

}  // namespace ratebound::service
