#include "engine/screen/repeats.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/number/distribution.h"

namespace ratebound::screen {
namespace {

using document::TestPoint;

class Alike {
 public:
  explicit Alike(const points::StagePoints& group) : group_(group) {
    for (const std::vector<double>& column : group.columns) {
      const auto [low, high] = std::minmax_element(column.begin(), column.end());
      widths_.push_back(kRepeatFraction * (*high - *low));
    }
  }

  bool operator()(int a, int b) const {
    for (size_t j = 0; j < widths_.size(); ++j) {
      const std::vector<double>& column = group_.columns[j];
      if (!(std::fabs(column[a] - column[b]) <= widths_[j])) return false;
    }
    for (const document::HeldCondition& held : group_.mode->held_conditions) {
      const std::optional<double> first = group_.points[a]->Find(held.quantity);
      const std::optional<double> second = group_.points[b]->Find(held.quantity);
      if (first && second &&
          std::fabs(*first - *second) > kRepeatHeldFraction * held.tolerance_si) {
        return false;
      }
    }
    return true;
  }

 private:
  const points::StagePoints& group_;
  std::vector<double> widths_;
};

struct Scatter {
  double spread_fraction = 0;
  bool disagrees = false;
  std::string allowance;
};

// The random uncertainty of one test does not tell how days differ, so it judges repeats
// of one block only.
Scatter ScatterOf(const std::vector<const document::SiValue*>& values, bool one_block,
                  double share) {
  double least = values[0]->value_si;
  double greatest = least;
  bool known = one_block;
  for (const document::SiValue* value : values) {
    least = std::min(least, value->value_si);
    greatest = std::max(greatest, value->value_si);
    known = known && value->uncertainty && value->uncertainty->random_standard_si > 0;
  }
  Scatter scatter;
  const double size = std::max(std::fabs(least), std::fabs(greatest));
  scatter.spread_fraction = size > 0 ? (greatest - least) / size : 0;
  if (!known) {
    scatter.disagrees = scatter.spread_fraction > kRepeatDisagreement;
    scatter.allowance = absl::StrFormat("%.3g %%", 100 * kRepeatDisagreement);
    return scatter;
  }
  double weights = 0;
  double weighted = 0;
  for (const document::SiValue* value : values) {
    const double u = value->uncertainty->random_standard_si;
    weights += 1 / (u * u);
    weighted += value->value_si / (u * u);
  }
  const double mean = weighted / weights;
  double x = 0;
  for (const document::SiValue* value : values) {
    const double off = (value->value_si - mean) / value->uncertainty->random_standard_si;
    x += off * off;
  }
  const auto freedom = static_cast<double>(values.size() - 1);
  const double tail = number::ChiSquareUpperTail(x, freedom);
  scatter.disagrees = tail < share && scatter.spread_fraction > kRepeatLeastSpread;
  scatter.allowance =
      absl::StrCat("what their random uncertainty explains (probability ",
                   tail < 1e-6 ? "below 1e-6" : absl::StrFormat("%.2g", tail), ")");
  return scatter;
}

// Position of the value furthest from the median; the later of two that are as far, as
// one repeats the other.
size_t Furthest(const std::vector<const document::SiValue*>& values) {
  std::vector<double> sorted;
  for (const document::SiValue* value : values) sorted.push_back(value->value_si);
  std::sort(sorted.begin(), sorted.end());
  const double median = (sorted[(sorted.size() - 1) / 2] + sorted[sorted.size() / 2]) / 2;
  size_t furthest = 0;
  for (size_t k = 1; k < values.size(); ++k) {
    if (std::fabs(values[k]->value_si - median) >=
        std::fabs(values[furthest]->value_si - median) * (1 - 1e-12)) {
      furthest = k;
    }
  }
  return furthest;
}

}  // namespace

std::vector<std::vector<int>> GroupsOfRepeats(const points::StagePoints& group) {
  const Alike alike(group);
  std::vector<std::vector<int>> groups;
  for (int row = 0; row < static_cast<int>(group.points.size()); ++row) {
    const auto found = std::find_if(
        groups.begin(), groups.end(),
        [&](const std::vector<int>& rows) { return alike(rows.front(), row); });
    if (found == groups.end()) {
      groups.push_back({row});
    } else {
      found->push_back(row);
    }
  }
  std::erase_if(groups, [](const std::vector<int>& rows) { return rows.size() < 2; });
  return groups;
}

std::vector<Doubt> CheckRepeats(const points::StagePoints& group) {
  std::vector<Doubt> doubts;
  const std::vector<std::vector<int>> groups = GroupsOfRepeats(group);
  for (const std::vector<int>& rows : groups) {
    for (const std::string& response :
         {group.mode->capacity_quantity, group.mode->power_quantity}) {
      std::vector<const document::SiValue*> values;
      for (const int row : rows) {
        values.push_back(group.points[row]->FindValue(response));
      }
      const bool one_block = std::all_of(rows.begin(), rows.end(), [&](int row) {
        return group.points[row]->block == group.points[rows.front()]->block;
      });
      const Scatter scatter = ScatterOf(
          values, one_block, kRepeatProbability / static_cast<double>(groups.size()));
      if (!scatter.disagrees) continue;
      const size_t worst = Furthest(values);
      std::vector<std::string> others;
      for (size_t k = 0; k < rows.size(); ++k) {
        const TestPoint& point = *group.points[rows[k]];
        if (k != worst) {
          // An id that the lab did not give is its place already.
          const bool is_place = point.id.ends_with(absl::StrCat(":", point.line));
          others.push_back(
              is_place ? point.id
                       : absl::StrCat(point.id, " (", point.file, ":", point.line, ")"));
        }
      }
      doubts.push_back(
          {.kind = "repeats disagree",
           .point = group.points[rows[worst]],
           .message = absl::StrFormat(
               "repeats %s; %s of the %d spans %.1f %%, more than %s, and this one is "
               "furthest off; look what was not the same",
               SpeltIds(others, 4), response, rows.size(), 100 * scatter.spread_fraction,
               scatter.allowance),
           .weight = scatter.spread_fraction});
    }
  }
  return doubts;
}

}  // namespace ratebound::screen
