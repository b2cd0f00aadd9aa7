#include "engine/table/tabulate.h"

#include <algorithm>
#include <map>
#include <span>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/number/distribution.h"
#include "engine/quantity/unit.h"

namespace ratebound::table {
namespace {

using document::TableRequest;

// The cells of a table as columns of conditions in the map's order.
struct Grid {
  int cells = 0;
  std::vector<std::vector<double>>
      conditions_si;  // one column for each condition of the map
  std::vector<document::SiValue> held_si;
};

int ColumnCount(const TableRequest& request) {
  return request.columns.quantity.empty()
             ? 1
             : static_cast<int>(request.columns.values_si.size());
}

const document::Measure* FindFixed(const TableRequest& request,
                                   const std::string& quantity) {
  for (const document::Measure& measure : request.fixed_conditions) {
    if (measure.quantity == quantity) return &measure;
  }
  return nullptr;
}

absl::StatusOr<Grid> MakeGrid(const TableRequest& request,
                              const document::StageMap& map) {
  base::FaultList faults;
  const auto fault = [&](std::string message, std::string remedy) {
    faults.Add({.field = absl::StrCat("table ", request.id),
                .message = std::move(message),
                .remedy = std::move(remedy)});
  };
  const int columns = ColumnCount(request);
  Grid grid;
  grid.cells = static_cast<int>(request.rows.values_si.size()) * columns;
  for (const std::string& condition : map.conditions) {
    std::vector<double> values(grid.cells);
    const document::Measure* const fixed = FindFixed(request, condition);
    if (condition == request.rows.quantity) {
      for (int cell = 0; cell < grid.cells; ++cell) {
        values[cell] = request.rows.values_si[cell / columns];
      }
    } else if (condition == request.columns.quantity) {
      for (int cell = 0; cell < grid.cells; ++cell) {
        values[cell] = request.columns.values_si[cell % columns];
      }
    } else if (fixed != nullptr) {
      std::fill(values.begin(), values.end(), fixed->value_si);
    } else {
      fault(absl::StrCat("nothing says at which ", condition),
            "make it an axis or a fixed condition");
    }
    grid.conditions_si.push_back(std::move(values));
  }
  const auto known = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (const std::string& axis : {request.rows.quantity, request.columns.quantity}) {
    if (!axis.empty() && !known(map.conditions, axis)) {
      fault(absl::StrCat("the map does not depend on ", axis),
            absl::StrCat("its conditions are ", absl::StrJoin(map.conditions, ", ")));
    }
  }
  for (const document::Measure& measure : request.fixed_conditions) {
    if (known(map.held_conditions, measure.quantity)) {
      grid.held_si.push_back({measure.quantity, measure.value_si});
    } else if (!known(map.conditions, measure.quantity)) {
      fault(absl::StrCat("the map does not depend on ", measure.quantity),
            "leave it out");
    }
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return grid;
}

std::vector<double> Row(const Grid& grid, int cell) {
  std::vector<double> row;
  for (const std::vector<double>& column : grid.conditions_si)
    row.push_back(column[cell]);
  return row;
}

absl::StatusOr<document::TableColumnSet> Compute(const document::TableFigure& figure,
                                                 const Grid& grid, double confidence,
                                                 const map::StageModel& model) {
  ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(figure.unit));
  document::TableColumnSet set{.figure = figure};
  std::map<double, double> quantiles;  // by degrees of freedom
  for (int cell = 0; cell < grid.cells; ++cell) {
    ASSIGN_OR_RETURN(const map::Estimate estimate,
                     model.Evaluate(figure.quantity, Row(grid, cell)));
    set.values.push_back(quantity::FromSi(estimate.value_si, unit));
    if (!estimate.standard_error_si || unit.reciprocal) continue;
    auto [found, fresh] = quantiles.try_emplace(estimate.degrees_of_freedom, 0.0);
    if (fresh) {
      found->second =
          -number::StudentTQuantile((1 - confidence) / 2, estimate.degrees_of_freedom);
    }
    set.half_widths.push_back(
        quantity::DifferenceFromSi(found->second * *estimate.standard_error_si, unit));
  }
  if (static_cast<int>(set.half_widths.size()) != grid.cells) set.half_widths.clear();
  return set;
}

}  // namespace

absl::StatusOr<document::Table> Tabulate(const TableRequest& request,
                                         const map::StageModel& model) {
  ASSIGN_OR_RETURN(const Grid grid, MakeGrid(request, model.map()));
  std::vector<document::Footing> footings;
  int outside = 0;
  std::string first_reason;
  for (int cell = 0; cell < grid.cells; ++cell) {
    ASSIGN_OR_RETURN(const map::FootingAnswer answer,
                     model.Footing(Row(grid, cell), grid.held_si));
    footings.push_back(answer.footing);
    if (answer.footing != document::Footing::kExtrapolated) continue;
    if (outside++ == 0) first_reason = answer.reason;
  }
  document::Table table{.request = request};
  for (const document::TableFigure& figure : request.figures) {
    ASSIGN_OR_RETURN(document::TableColumnSet set,
                     Compute(figure, grid, request.confidence, model));
    set.footings = footings;
    table.figures.push_back(std::move(set));
  }
  if (outside > 0) {
    table.notes.push_back(
        absl::StrCat(outside, " of ", grid.cells,
                     " cells are outside the tested region; the first: ", first_reason));
  }
  return table;
}

}  // namespace ratebound::table
