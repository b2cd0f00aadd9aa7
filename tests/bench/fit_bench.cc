// Time of one full fit of 60 points by a quadratic in three conditions (10 terms):
// coefficients with one step of refinement, fitted values, residuals, leverages,
// leave-one-out, R squared, condition and covariance. Peers (fit_peers.py, fit_peers.R)
// compute coefficients alone on the same matrix, which --data writes.
//
//   fit_bench [--data DIR] [--repeat N]
//
// DIR receives design.csv (60 x 10) and response.csv. Prints one JSON line.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "tests/testing/random.h"

namespace {

using ratebound::fit::DesignMatrix;
using ratebound::fit::LeastSquaresFit;
using ratebound::fit::LeastSquaresWorkspace;
using ratebound::fit::PolynomialBasis;
using ratebound::fit::SolveLeastSquares;

constexpr int kPoints = 60;
constexpr int kFitsEach = 500;

bool Write(const std::string& path, const DesignMatrix& matrix) {
  std::FILE* file = std::fopen(path.c_str(), "w");
  if (file == nullptr) return false;
  for (int i = 0; i < matrix.rows; ++i) {
    for (int j = 0; j < matrix.columns; ++j) {
      std::fprintf(file, "%s%.17g", j == 0 ? "" : ",", matrix.at(i, j));
    }
    std::fputc('\n', file);
  }
  return std::fclose(file) == 0;
}

}  // namespace

int main(int argc, char** argv) {
  std::string folder;
  int repeat = 41;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--data") == 0) folder = argv[i + 1];
    if (std::strcmp(argv[i], "--repeat") == 0)
      repeat = std::max(1, std::atoi(argv[i + 1]));
  }

  ratebound::testing::Random random("FIT_BENCH");
  std::vector<std::vector<double>> columns(3);
  DesignMatrix response(kPoints, 1);
  for (int i = 0; i < kPoints; ++i) {
    double capacity_w = 9000;
    for (int v = 0; v < 3; ++v) {
      const double z = random.Uniform(-1, 1);
      columns[v].push_back(20 + 15 * z);
      capacity_w += (400 - 150 * v) * z + 60 * z * z;
    }
    response.at(i, 0) = capacity_w + 25 * random.Normal();
  }
  const auto basis = PolynomialBasis::ForPoints(columns, 2);
  const auto design = basis->Design(columns);
  if (!folder.empty() && (!Write(folder + "/design.csv", *design) ||
                          !Write(folder + "/response.csv", response))) {
    std::fprintf(stderr, "cannot write into %s\n", folder.c_str());
    return 1;
  }

  LeastSquaresWorkspace workspace;
  LeastSquaresFit fit;
  std::vector<double> times_us;
  double checksum = 0;
  for (int round = 0; round <= repeat; ++round) {
    const auto start = std::chrono::steady_clock::now();
    for (int k = 0; k < kFitsEach; ++k) {
      const absl::Status status = SolveLeastSquares(
          {.design = *design, .response = response.values}, {}, workspace, fit);
      if (!status.ok()) return 1;
      checksum += fit.press;
    }
    const std::chrono::duration<double, std::micro> spent =
        std::chrono::steady_clock::now() - start;
    if (round > 0) times_us.push_back(spent.count() / kFitsEach);  // the first warms up
  }
  std::sort(times_us.begin(), times_us.end());
  if (!(checksum > 0)) return 1;
  std::printf(R"({"name":"fit-60x10","us_per_fit":%.3f})"
              "\n",
              times_us[times_us.size() / 2]);
  return 0;
}
