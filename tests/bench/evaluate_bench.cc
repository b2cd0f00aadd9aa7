// Points a second of a fitted quadratic in three conditions, against a loop written by
// hand for just that polynomial, already scaled, over the same arrays. One process,
// interleaved rounds, medians.
//
//   evaluate_bench [--points N] [--repeat N]
//
// Prints one JSON line for columns far beyond the caches (the default) or of --points.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <span>
#include <vector>

#include "engine/fit/polynomial_basis.h"
#include "engine/fit/surface_evaluate.h"
#include "tests/testing/random.h"

namespace {

using ratebound::fit::PolynomialBasis;
using ratebound::fit::PolynomialSurface;

// In the conditions' own units, so that it need not scale them.
[[gnu::noinline]] void HandWritten(const double* c, const double* __restrict x0,
                                   const double* __restrict x1,
                                   const double* __restrict x2, double* __restrict out,
                                   size_t count) {
  for (size_t i = 0; i < count; ++i) {
    const double x = x0[i], y = x1[i], z = x2[i];
    out[i] = c[0] + x * (c[1] + c[4] * x + c[5] * y + c[6] * z) +
             y * (c[2] + c[7] * y + c[8] * z) + z * (c[3] + c[9] * z);
  }
}

double Seconds(auto&& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double Median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
  size_t points = 10'000'000;
  int repeat = 11;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--points") == 0)
      points = std::strtoull(argv[i + 1], nullptr, 10);
    if (std::strcmp(argv[i], "--repeat") == 0)
      repeat = std::max(1, std::atoi(argv[i + 1]));
  }
  points = std::max<size_t>(points, 1);
  const size_t passes = std::max<size_t>(1, 4'000'000 / points);

  ratebound::testing::Random random("EVALUATE_BENCH");
  std::vector<std::vector<double>> columns(3, std::vector<double>(points));
  for (std::vector<double>& column : columns) {
    for (double& x : column) x = random.Uniform(5, 45);
  }
  const auto basis = PolynomialBasis::Create({{.centre = 25, .half_range = 20},
                                              {.centre = 24, .half_range = 19},
                                              {.centre = 26, .half_range = 21}},
                                             2);
  std::vector<double> coefficients;
  for (int t = 0; t < basis->terms(); ++t) coefficients.push_back(random.Uniform(-3, 3));
  const auto surface = PolynomialSurface::Create(*basis, coefficients);
  const std::vector<std::span<const double>> spans(columns.begin(), columns.end());

  std::vector<double> ours(points), peer(points), ours_s, peer_s;
  for (int round = 0; round <= repeat; ++round) {
    const double ours_time = Seconds([&] {
      for (size_t pass = 0; pass < passes; ++pass) {
        if (!surface->Evaluate(spans, ours).ok()) std::abort();
      }
    });
    const double peer_time = Seconds([&] {
      for (size_t pass = 0; pass < passes; ++pass) {
        HandWritten(coefficients.data(), columns[0].data(), columns[1].data(),
                    columns[2].data(), peer.data(), points);
      }
    });
    if (round == 0) continue;  // warms up
    ours_s.push_back(ours_time);
    peer_s.push_back(peer_time);
  }
  const double work = static_cast<double>(points) * static_cast<double>(passes) * 1e-6;
  const double ours_rate = work / Median(ours_s), peer_rate = work / Median(peer_s);
  std::printf(
      R"({"name":"evaluate-3","ours":%.1f,"peer":%.1f,"unit":"Mpoints/s","ratio":%.3f,"wanted":0.7})"
      "\n",
      ours_rate, peer_rate, ours_rate / peer_rate);
  return 0;
}
