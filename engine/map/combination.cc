#include "engine/map/combination.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fit/least_squares.h"
#include "engine/map/model_weights.h"

namespace ratebound::map {

using document::StageMap;
using document::TestPoint;

absl::StatusOr<CombinationData> CombinationOf(
    const StageMap& map, std::span<const TestPoint> test_points,
    std::span<const WeightedQuantity> combination) {
  std::map<std::string_view, const TestPoint*> by_id;
  for (const TestPoint& point : test_points) by_id.emplace(point.id, &point);
  CombinationData data;
  std::vector<double> factors;
  std::vector<std::vector<double>> responses(combination.size());
  for (const WeightedQuantity& term : combination) {
    factors.push_back(term.factor);
    const std::string factor =
        term.factor == 1 ? "" : absl::StrCat(base::ShortestText(term.factor), " ");
    absl::StrAppend(&data.name, data.name.empty() ? "" : " ", factor, term.quantity);
  }
  std::vector<std::vector<double>>& columns = data.columns;
  columns.resize(map.conditions.size());
  std::vector<int>& blocks = data.blocks;
  std::vector<std::string>& block_names = data.block_names;
  std::vector<double> random_squares;
  bool all_uncertain = true;
  bool any_block = false;
  for (const std::string& id : map.point_ids) {
    const auto found = by_id.find(id);
    if (found == by_id.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("point '", id, "' of the map is not among the points"));
    }
    const TestPoint& point = *found->second;
    const auto find = [&](const std::string& quantity,
                          std::vector<double>& column) -> absl::Status {
      const std::optional<double> value = point.Find(quantity);
      if (!value) {
        return absl::InvalidArgumentError(
            absl::StrCat("point '", id, "' has no ", quantity));
      }
      column.push_back(*value);
      return absl::OkStatus();
    };
    double& squares = random_squares.emplace_back();
    for (size_t k = 0; k < combination.size(); ++k) {
      RETURN_IF_ERROR(find(combination[k].quantity, responses[k]));
      const auto& uncertainty = point.FindValue(combination[k].quantity)->uncertainty;
      all_uncertain = all_uncertain && uncertainty.has_value();
      if (!uncertainty) continue;
      const double part = combination[k].factor * uncertainty->random_standard_si;
      squares += part * part;
    }
    for (size_t j = 0; j < columns.size(); ++j) {
      RETURN_IF_ERROR(find(map.conditions[j], columns[j]));
    }
    const auto block = std::find(block_names.begin(), block_names.end(), point.block);
    blocks.push_back(static_cast<int>(block - block_names.begin()));
    if (block == block_names.end()) block_names.push_back(point.block);
    any_block = any_block || !point.block.empty();
  }
  if (!any_block) blocks.clear();
  if (!all_uncertain) random_squares.clear();
  std::vector<double> random_standard;
  for (double squares : random_squares) random_standard.push_back(std::sqrt(squares));
  ASSIGN_OR_RETURN(data.values, fit::CombineResponses(responses, factors));
  data.standard_si = CountingStandard(columns, data.values, random_standard);
  return data;
}

ResponseProblem CombinationData::Problem(const StageMap& map) const {
  return {.quantity = name,
          .values = values,
          .conditions = map.conditions,
          .columns = columns,
          .point_ids = map.point_ids,
          .blocks = blocks,
          .block_names = block_names,
          .standard_si = standard_si};
}

}  // namespace ratebound::map
