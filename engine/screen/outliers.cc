#include "engine/screen/outliers.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include "engine/fit/model_choice.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/points/stage_points.h"

namespace ratebound::screen {
namespace {

constexpr int kGreatestDegree = 3;

int GreatestDegree(std::span<const std::vector<double>> columns) {
  int greatest = kGreatestDegree;
  for (const std::vector<double>& column : columns) {
    greatest = std::min(greatest, points::CountLevels(column) - 1);
  }
  return greatest;
}

std::optional<int> ChosenDegree(std::span<const std::vector<double>> columns,
                                std::span<const double> response, int greatest) {
  const auto choice = fit::ChooseDegree(
      {.columns = columns, .response = response, .greatest_degree = greatest});
  if (!choice.ok()) return std::nullopt;
  return choice->degree;
}

std::optional<ScreenedResponse> ScreenAt(int degree,
                                         std::span<const std::vector<double>> columns,
                                         std::span<const double> response) {
  const auto basis = fit::PolynomialBasis::ForPoints(columns, degree);
  if (!basis.ok()) return std::nullopt;
  const auto design = basis->Design(columns);
  if (!design.ok()) return std::nullopt;
  std::optional<CleanRows> rows = FindCleanRows(*design, response);
  if (!rows) return std::nullopt;
  return ScreenedResponse{degree, basis->terms(), *std::move(rows)};
}

double Median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

// Start of the level that each value belongs to, as CountLevels tells levels apart.
std::vector<double> LevelStarts(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const double width = points::kLevelWidth * (sorted.back() - sorted.front());
  std::vector<double> starts = {sorted.front()};
  for (const double value : sorted) {
    if (value - starts.back() > width) starts.push_back(value);
  }
  return starts;
}

bool SomeOffToOneSide(const std::vector<int>& rows, const CleanRows& screened) {
  int above = 0;
  int below = 0;
  for (const int row : rows) {
    if (screened.clean[row]) continue;
    ++(screened.misses[row] > 0 ? above : below);
  }
  const int most = std::max(above, below);
  return most >= kLeastDayPoints && 2 * most >= static_cast<int>(rows.size());
}

}  // namespace

std::optional<ScreenedResponse> ScreenResponse(
    std::span<const std::vector<double>> columns, std::span<const double> response) {
  const int greatest = GreatestDegree(columns);
  if (greatest < 1) return std::nullopt;
  const std::optional<int> chosen = ChosenDegree(columns, response, greatest);
  if (!chosen) return std::nullopt;
  const std::optional<ScreenedResponse> first = ScreenAt(*chosen, columns, response);
  if (!first) return std::nullopt;
  std::vector<std::vector<double>> believed(columns.size());
  std::vector<double> believed_response;
  for (size_t row = 0; row < response.size(); ++row) {
    if (!first->rows.clean[row]) continue;
    for (size_t j = 0; j < columns.size(); ++j) believed[j].push_back(columns[j][row]);
    believed_response.push_back(response[row]);
  }
  if (believed_response.size() == response.size()) return first;
  const std::optional<int> again = ChosenDegree(
      believed, believed_response, std::min(greatest, GreatestDegree(believed)));
  if (!again || *again == first->degree) return first;
  std::optional<ScreenedResponse> second = ScreenAt(*again, columns, response);
  return second ? second : first;
}

std::vector<Outlier> OutliersOf(const ScreenedResponse& screened) {
  std::vector<Outlier> outliers;
  const CleanRows& rows = screened.rows;
  for (size_t row = 0; row < rows.clean.size(); ++row) {
    if (rows.clean[row]) continue;
    outliers.push_back({static_cast<int>(row), rows.misses[row], rows.studentised[row],
                        rows.leverages[row]});
  }
  return outliers;
}

std::vector<Outlier> FindOutliers(std::span<const std::vector<double>> columns,
                                  std::span<const double> response) {
  const std::optional<ScreenedResponse> screened = ScreenResponse(columns, response);
  return screened ? OutliersOf(*screened) : std::vector<Outlier>();
}

std::vector<int> HangingRows(std::span<const std::vector<double>> columns,
                             const ScreenedResponse& screened) {
  const std::vector<double>& leverages = screened.rows.leverages;
  const double high =
      kHighLeverageMultiple * screened.terms / static_cast<double>(leverages.size());
  std::vector<bool> hangs(leverages.size(), false);
  for (size_t row = 0; row < leverages.size(); ++row) {
    hangs[row] = leverages[row] > std::min(high, kDecisiveLeverage);
  }
  for (const std::vector<double>& column : columns) {
    const std::vector<double> starts = LevelStarts(column);
    if (static_cast<int>(starts.size()) > screened.degree + 1) continue;
    for (size_t level = 0; level < starts.size(); ++level) {
      std::vector<size_t> members;
      for (size_t row = 0; row < column.size(); ++row) {
        const bool below = column[row] < starts[level];
        const bool above = level + 1 < starts.size() && column[row] >= starts[level + 1];
        if (!below && !above) members.push_back(row);
      }
      if (members.size() == 1) hangs[members[0]] = true;
    }
  }
  std::vector<int> rows;
  for (size_t row = 0; row < hangs.size(); ++row) {
    if (hangs[row]) rows.push_back(static_cast<int>(row));
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [&](int a, int b) { return leverages[a] > leverages[b]; });
  return rows;
}

std::vector<OddBlock> OddBlocks(std::span<const int> blocks,
                                const ScreenedResponse& screened) {
  std::map<int, OddBlock> by_block;
  for (size_t row = 0; row < blocks.size(); ++row) {
    by_block[blocks[row]].rows.push_back(static_cast<int>(row));
  }
  std::vector<OddBlock> days;
  std::vector<double> medians;
  for (auto& [block, day] : by_block) {
    if (static_cast<int>(day.rows.size()) < kLeastDayPoints) continue;
    std::vector<double> misses;
    for (const int row : day.rows) misses.push_back(screened.rows.misses[row]);
    day.block = block;
    day.median_miss_si = Median(std::move(misses));
    medians.push_back(day.median_miss_si);
    days.push_back(std::move(day));
  }
  std::optional<CleanRows> among_days;
  if (static_cast<int>(days.size()) >= kLeastDays) {
    fit::DesignMatrix ones(static_cast<int>(days.size()), 1);
    std::fill(ones.values.begin(), ones.values.end(), 1.0);
    among_days = FindCleanRows(ones, medians);
  }
  std::vector<OddBlock> odd;
  for (size_t k = 0; k < days.size(); ++k) {
    if ((among_days && !among_days->clean[k]) ||
        SomeOffToOneSide(days[k].rows, screened.rows)) {
      odd.push_back(std::move(days[k]));
    }
  }
  return odd;
}

}  // namespace ratebound::screen
