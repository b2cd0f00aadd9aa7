// Reads the reference files of the fit tests: CSV of plain numbers with one header line,
// and tables of "<set> <quantity> <values ...>" (see the README beside each).
#ifndef RATEBOUND_TESTS_ENGINE_FIT_REFERENCE_TABLE_H_
#define RATEBOUND_TESTS_ENGINE_FIT_REFERENCE_TABLE_H_

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace ratebound::fit {

inline std::string DataPath(const std::string& name) {
  return std::string(RATEBOUND_SOURCE_DIR) + "/tests/data/" + name;
}

// columns[j][i], in the order of the file.
inline std::vector<std::vector<double>> ReadColumns(const std::string& name) {
  std::ifstream file(DataPath(name));
  std::vector<std::vector<double>> columns;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (size_t j = 0; std::getline(cells, cell, ','); ++j) {
      if (columns.size() <= j) columns.emplace_back();
      columns[j].push_back(std::stod(cell));
    }
  }
  return columns;
}

class ReferenceTable {
 public:
  explicit ReferenceTable(const std::string& name) {
    std::ifstream file(DataPath(name));
    std::string line;
    while (std::getline(file, line)) {
      std::istringstream words(line);
      std::string set, quantity, word;
      words >> set >> quantity;
      while (words >> word) words_[set][quantity].push_back(word);
    }
  }

  bool Has(const std::string& set, const std::string& quantity) const {
    return words_.contains(set) && words_.at(set).contains(quantity);
  }
  const std::vector<std::string>& Words(const std::string& set,
                                        const std::string& quantity) const {
    return words_.at(set).at(quantity);
  }
  std::vector<double> Numbers(const std::string& set, const std::string& quantity) const {
    std::vector<double> numbers;
    for (const std::string& word : Words(set, quantity))
      numbers.push_back(std::stod(word));
    return numbers;
  }

 private:
  std::map<std::string, std::map<std::string, std::vector<std::string>>> words_;
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_TESTS_ENGINE_FIT_REFERENCE_TABLE_H_
