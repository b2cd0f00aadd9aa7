// The matrix of a linear model: one row for each point, one column for each term.
//
// Example:
//   DesignMatrix design(3, 2);
//   design.at(0, 1) = 0.5;
//
// Thread-safety: as a std::vector.
#ifndef RATEBOUND_ENGINE_FIT_DESIGN_MATRIX_H_
#define RATEBOUND_ENGINE_FIT_DESIGN_MATRIX_H_

#include <cstddef>
#include <span>
#include <vector>

namespace ratebound::fit {

// Measured values column by column: columns[variable][point].
using Columns = std::span<const std::vector<double>>;

struct DesignMatrix {
  DesignMatrix() = default;
  DesignMatrix(int row_count, int column_count)
      : rows(row_count),
        columns(column_count),
        values(static_cast<size_t>(row_count) * static_cast<size_t>(column_count)) {}

  double& at(int row, int column) { return values[Index(row, column)]; }
  double at(int row, int column) const { return values[Index(row, column)]; }
  std::span<const double> Column(int column) const {
    return std::span(values).subspan(Index(0, column), static_cast<size_t>(rows));
  }

  int rows = 0;
  int columns = 0;
  std::vector<double> values;  // by columns: values[column * rows + row]
  // What rounding took from each value, so that value + low is the entry to twice the
  // precision. Empty where the values are exact or the last digits do not matter.
  std::vector<double> low;

 private:
  size_t Index(int row, int column) const {
    return static_cast<size_t>(column) * static_cast<size_t>(rows) +
           static_cast<size_t>(row);
  }
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_DESIGN_MATRIX_H_
