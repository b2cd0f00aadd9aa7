// Time of one full fit: coefficients with one step of refinement, fitted values,
// residuals, leverages, leave-one-out, PRESS, R squared, condition and covariance, and
// what each point does to the fit (studentised residuals, Cook's distances, DFFITS,
// COVRATIO, predicted R squared, F). Peers (fit_peers.py, fit_peers.R) compute
// coefficients alone on the same matrix, which --data writes.
//
//   fit_bench NAME [--data DIR] [--repeat N]
//
//   fit-60x10     a quadratic in three conditions, 60 points
//   fit-1000x20   a cubic in three conditions, 1,000 points
//
// DIR receives design.csv and response.csv. Prints one JSON line; us_bare is the time
// without refinement and without what points do.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "engine/fit/influence.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "tests/testing/random.h"

namespace {

using ratebound::fit::DesignMatrix;
using ratebound::fit::LeastSquaresFit;
using ratebound::fit::LeastSquaresProblem;
using ratebound::fit::LeastSquaresWorkspace;
using ratebound::fit::PolynomialBasis;
using ratebound::fit::SolveLeastSquares;

struct Case {
  const char* name;
  int points;
  int degree;  // in three conditions
};
constexpr Case kCases[] = {{"fit-60x10", 60, 2}, {"fit-1000x20", 1000, 3}};
constexpr int kPointsEach = 30'000;  // of all fits between two looks at the clock

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

// Median over the rounds; below 0 where a fit failed.
double MedianMicroseconds(const LeastSquaresProblem& problem, bool bare, int repeat) {
  LeastSquaresWorkspace workspace;
  LeastSquaresFit fit;
  const int fits_each = kPointsEach / problem.design.rows;
  std::vector<double> times_us;
  double checksum = 0;
  for (int round = 0; round <= repeat; ++round) {
    const auto start = std::chrono::steady_clock::now();
    for (int k = 0; k < fits_each; ++k) {
      const absl::Status status =
          SolveLeastSquares(problem, {.refinement_steps = bare ? 0 : 1}, workspace, fit);
      if (!status.ok()) return -1;
      checksum += fit.press;
      if (bare) continue;
      const auto influence = MeasureInfluence(problem, fit);
      if (!influence.ok()) return -1;
      checksum += influence->cooks_distance[0];
    }
    const std::chrono::duration<double, std::micro> spent =
        std::chrono::steady_clock::now() - start;
    if (round > 0) times_us.push_back(spent.count() / fits_each);  // the first warms up
  }
  if (!(checksum > 0)) return -1;
  std::sort(times_us.begin(), times_us.end());
  return times_us[times_us.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
  const Case* chosen = nullptr;
  for (const Case& each : kCases) {
    if (argc > 1 && std::strcmp(argv[1], each.name) == 0) chosen = &each;
  }
  if (chosen == nullptr) {
    std::fprintf(stderr, "usage: fit_bench fit-60x10|fit-1000x20 [--data DIR]\n");
    return 2;
  }
  std::string folder;
  int repeat = 41;
  for (int i = 2; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--data") == 0) folder = argv[i + 1];
    if (std::strcmp(argv[i], "--repeat") == 0)
      repeat = std::max(1, std::atoi(argv[i + 1]));
  }

  ratebound::testing::Random random("FIT_BENCH");
  std::vector<std::vector<double>> columns(3);
  DesignMatrix response(chosen->points, 1);
  for (int i = 0; i < chosen->points; ++i) {
    double capacity_w = 9000;
    for (int v = 0; v < 3; ++v) {
      const double z = random.Uniform(-1, 1);
      columns[v].push_back(20 + 15 * z);
      capacity_w += (400 - 150 * v) * z + 60 * z * z;
    }
    response.at(i, 0) = capacity_w + 25 * random.Normal();
  }
  const auto basis = PolynomialBasis::ForPoints(columns, chosen->degree);
  const auto design = basis->Design(columns);
  if (!folder.empty() && (!Write(folder + "/design.csv", *design) ||
                          !Write(folder + "/response.csv", response))) {
    std::fprintf(stderr, "cannot write into %s\n", folder.c_str());
    return 1;
  }

  const LeastSquaresProblem problem = {.design = *design, .response = response.values};
  const double full_us = MedianMicroseconds(problem, false, repeat);
  const double bare_us = MedianMicroseconds(problem, true, repeat);
  if (full_us < 0 || bare_us < 0) return 1;
  std::printf(R"({"name":"%s","us_per_fit":%.3f,"us_bare":%.3f})"
              "\n",
              chosen->name, full_us, bare_us);
  return 0;
}
