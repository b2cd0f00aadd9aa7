// The classical data sets of tests/data/regression-diagnostics as regression problems.
#ifndef RATEBOUND_TESTS_ENGINE_FIT_PUBLISHED_SETS_H_
#define RATEBOUND_TESTS_ENGINE_FIT_PUBLISHED_SETS_H_

#include <string>
#include <vector>

#include "engine/fit/design_matrix.h"
#include "engine/fit/least_squares.h"
#include "tests/engine/fit/reference_table.h"

namespace ratebound::fit {

struct PublishedSet {
  DesignMatrix design;  // a constant and the columns of the file but the last
  std::vector<double> response;
  std::vector<double> weights;
  std::vector<int> blocks;

  LeastSquaresProblem problem() const {
    return {.design = design, .response = response, .weights = weights, .blocks = blocks};
  }
};

// "stackloss_weighted" has the weights 1, 2, 3, 1, 2, 3, ...
inline PublishedSet ReadPublishedSet(const std::string& set) {
  const std::string file = set.substr(0, set.find("_weighted"));
  const std::vector<std::vector<double>> columns =
      ReadColumns("regression-diagnostics/" + file + ".csv");
  PublishedSet data{.design = DesignMatrix(static_cast<int>(columns[0].size()),
                                           static_cast<int>(columns.size())),
                    .response = columns.back()};
  for (int i = 0; i < data.design.rows; ++i) {
    data.design.at(i, 0) = 1;
    for (int j = 1; j < data.design.columns; ++j) {
      data.design.at(i, j) = columns[j - 1][i];
    }
    if (file != set) data.weights.push_back(1 + i % 3);
  }
  return data;
}

}  // namespace ratebound::fit

#endif  // RATEBOUND_TESTS_ENGINE_FIT_PUBLISHED_SETS_H_
