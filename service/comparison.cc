#include "service/comparison.h"

#include <algorithm>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/claim/declared_rating.h"
#include "engine/claim/gate.h"

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

std::string DescribeVerdict(const document::Verdict& verdict) {
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
  return absl::StrCat(
      document::VerdictName(verdict.outcome, verdict.reason), ": ", claim.quantity,
      claim.relation == document::Relation::kAtLeast ? " at least " : " at most ",
      base::ShortestText(claim.limit), " ", claim.limit_unit, " for ",
      DescribeRegion(claim), ", confidence ", base::ShortestText(claim.confidence),
      allowance);
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

v1::ReleaseChange& AddChange(const std::string& kind, const std::string& subject,
                             std::vector<v1::ReleaseChange>* changes) {
  v1::ReleaseChange& change = changes->emplace_back();
  change.set_kind(kind);
  change.set_subject(subject);
  return change;
}

template <typename Gated>
bool IsRegression(const Gated& gated) {
  return gated.change == claim::GateChange::kWeaker ||
         (gated.change == claim::GateChange::kGone && !gated.failures.empty());
}

void AppendClaims(const document::Release& from, const document::Release& to,
                  std::vector<v1::ReleaseChange>* changes) {
  for (const claim::GatedClaim& gated : claim::GateClaims(
           to.verdicts, std::span<const document::Verdict>(from.verdicts))) {
    const std::string before =
        gated.before != nullptr ? DescribeVerdict(*gated.before) : "";
    const std::string after = gated.now != nullptr ? DescribeVerdict(*gated.now) : "";
    // What the text does not say, such as a cut of the region, is said as a difference.
    const bool promised_otherwise = std::any_of(
        gated.differences.begin(), gated.differences.end(), [](const auto& difference) {
          return difference.kind == claim::DifferenceKind::kPromise;
        });
    if (before == after && !promised_otherwise) continue;
    v1::ReleaseChange& change = AddChange(
        "claim", gated.now != nullptr ? gated.now->claim : gated.before->claim, changes);
    change.set_before(before);
    change.set_after(after);
    if (before == after) {
      for (const claim::Difference& difference : gated.differences) {
        change.set_after(absl::StrCat(change.after(), "; ", difference.text));
      }
    }
    change.set_regression(IsRegression(gated));
  }
}

void AppendDeclaredRatings(const document::Release& from, const document::Release& to,
                           std::vector<v1::ReleaseChange>* changes) {
  const auto judge = [](const document::Release& release) {
    return claim::JudgeDeclared(release.manifest, release.ratings, release.procedures);
  };
  const auto describe = [](const claim::DeclaredVerdict* verdict) -> std::string {
    if (verdict == nullptr) return "";
    return absl::StrCat(claim::DeclaredOutcomeName(verdict->outcome), ": ",
                        verdict->explanation);
  };
  const std::vector<claim::DeclaredVerdict> before = judge(from);
  const std::vector<claim::DeclaredVerdict> now = judge(to);
  for (const claim::GatedRating& gated :
       claim::GateRatings(now, std::span<const claim::DeclaredVerdict>(before))) {
    if (describe(gated.before) == describe(gated.now)) continue;
    v1::ReleaseChange& change =
        AddChange("declared rating",
                  gated.now != nullptr ? gated.now->Id() : gated.before->Id(), changes);
    change.set_before(describe(gated.before));
    change.set_after(describe(gated.now));
    change.set_regression(IsRegression(gated));
  }
}

}  // namespace

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
  AppendClaims(from, to, &changes);
  AppendDeclaredRatings(from, to, &changes);
  ListComparison<document::Table>(
      "table", [](const document::Table& table) { return table.request.id; },
      DescribeTable)
      .Append(from.tables, to.tables, false, &changes);
  return changes;
}

}  // namespace ratebound::service
