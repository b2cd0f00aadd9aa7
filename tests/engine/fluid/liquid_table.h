// Reads the reference tables of the liquid tests: one header line, cells of text.
#ifndef RATEBOUND_TESTS_ENGINE_FLUID_LIQUID_TABLE_H_
#define RATEBOUND_TESTS_ENGINE_FLUID_LIQUID_TABLE_H_

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace ratebound::fluid {

// One row by the names of the header.
class LiquidRow {
 public:
  void Set(const std::string& column, const std::string& cell) { cells_[column] = cell; }
  const std::string& Text(const std::string& column) const { return cells_.at(column); }
  double Number(const std::string& column) const { return std::stod(Text(column)); }

 private:
  std::map<std::string, std::string> cells_;
};

// `name` below tests/data; cells are parted by `separator`.
inline std::vector<LiquidRow> ReadLiquidTable(const std::string& name,
                                              char separator = ',') {
  std::ifstream file(std::string(RATEBOUND_SOURCE_DIR) + "/tests/data/" + name);
  std::vector<std::string> columns;
  std::vector<LiquidRow> rows;
  std::string line;
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::string cell;
    const bool header = columns.empty();
    if (!header) rows.emplace_back();
    for (size_t j = 0; std::getline(cells, cell, separator); ++j) {
      if (header) {
        columns.push_back(cell);
      } else {
        rows.back().Set(columns.at(j), cell);
      }
    }
  }
  return rows;
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_TESTS_ENGINE_FLUID_LIQUID_TABLE_H_
