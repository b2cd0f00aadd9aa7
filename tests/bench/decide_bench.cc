// A whole decision on a claim over three conditions, from the fitted map to the verdict:
// margin with systematic uncertainty, tested region, proof; against evaluating the same
// lower bound at a million points and taking the least.
//
// Decisions are taken twenty in a row, as a line has claims; the first of a row, which
// finds nothing of itself in the caches, is told apart.
//
// The loop is what a careful engineer would write: one quadratic surface, its variance as
// an expanded polynomial of degree four, both by Horner's rule over arrays of conditions.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <vector>

#include "engine/claim/decide.h"
#include "engine/claim/level.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/map/surface_polynomials.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

constexpr int kPoints = 1'000'000;
constexpr int kRounds = 15;
constexpr int kDecisions = 20;  // in a row, as a line has claims

std::vector<double> LowerTriangle(const std::vector<double>& full, int terms) {
  std::vector<double> lower;
  for (int i = 0; i < terms; ++i) {
    for (int j = 0; j <= i; ++j) lower.push_back(full[i * terms + j]);
  }
  return lower;
}

document::StageMap MakeMap() {
  testing::Random random("DECIDE_BENCH");
  std::vector<std::vector<double>> columns(3);
  std::vector<double> power_w;
  document::StageMap map;
  for (int k = 0; k < 64; ++k) {
    const double water = -1 + 2.0 * (k % 4) / 3;
    const double wet_bulb = -1 + 2.0 * (k / 4 % 4) / 3;
    const int level = k / 16;
    const double flow = -1 + 2.0 * level / 3;
    const double z[] = {25 + 15 * water, 18 + 5 * wet_bulb, 2e-3 + 5e-4 * flow};
    for (int i = 0; i < 3; ++i) {
      columns[i].push_back(z[i]);
      map.point_conditions_si.push_back(z[i]);
    }
    // Greatest well inside the region, as the hardest claims have it.
    power_w.push_back(12e3 - 900 * (water - 0.2) * (water - 0.2) -
                      500 * (wet_bulb + 0.1) * (wet_bulb + 0.1) -
                      300 * (flow - 0.3) * (flow - 0.3) + 200 * water * wet_bulb +
                      40 * random.Normal());
  }
  const auto basis = fit::PolynomialBasis::ForPoints(columns, 2);
  const auto design = basis->Design(columns);
  const auto fitted = fit::SolveLeastSquares({.design = *design, .response = power_w});
  document::Surface surface{.quantity = "power_input",
                            .purpose = document::SurfacePurpose::kProof,
                            .degree = 2};
  for (const fit::ScaledRange& range : basis->ranges()) {
    surface.centre_si.push_back(range.centre);
    surface.half_range_si.push_back(range.half_range);
    map.tested_low_si.push_back(range.centre - range.half_range);
    map.tested_high_si.push_back(range.centre + range.half_range);
  }
  for (int t = 0; t < basis->terms(); ++t) {
    const auto exponents = basis->exponents(t);
    surface.exponents.insert(surface.exponents.end(), exponents.begin(), exponents.end());
  }
  surface.coefficients_si = basis->ToMonomials(fitted->coefficients);
  surface.covariance_si =
      LowerTriangle(basis->CovarianceToMonomials(fitted->covariance), basis->terms());
  surface.leverage_matrix = LowerTriangle(
      basis->CovarianceToMonomials(fitted->unscaled_covariance), basis->terms());
  surface.greatest_leverage =
      *std::max_element(fitted->leverages.begin(), fitted->leverages.end());
  surface.degrees_of_freedom = fitted->degrees_of_freedom;
  surface.point_count = fitted->rows;
  map.conditions = {"entering_water_temp", "entering_air_wb", "water_flow"};
  map.surfaces = {surface};
  map.capacity_quantity = "total_capacity";
  map.power_quantity = "power_input";
  return map;
}

document::Claim MakeClaim(const document::StageMap& map, double limit_w) {
  document::Claim claim{.id = "ceiling",
                        .quantity = "power_input",
                        .relation = document::Relation::kAtMost,
                        .limit = limit_w / 1000,
                        .limit_unit = "kW",
                        .limit_si = limit_w,
                        .confidence = 0.95};
  const char* const units[] = {"degC", "degC", "m3/s"};
  for (int i = 0; i < 3; ++i) {
    const double low = map.tested_low_si[i];
    const double high = map.tested_high_si[i];
    claim.region.push_back({map.conditions[i], low, high, units[i], low, high});
  }
  return claim;
}

// Coefficients by powers of the three variables, for Horner's rule; degree below kSize.
template <int kSize>
struct Cube {
  std::array<double, kSize * kSize * kSize> at{};
  explicit Cube(const bound::Polynomial& p) {
    for (int t = 0; t < p.terms(); ++t) {
      const auto key = p.keys()[t];
      at[(bound::Exponent(key, 0) * kSize + bound::Exponent(key, 1)) * kSize +
         bound::Exponent(key, 2)] = p.coefficients()[t];
    }
  }
  inline double Value(double x, double y, double z) const {
    double sum_x = 0;
    for (int i = kSize - 1; i >= 0; --i) {
      double sum_y = 0;
      for (int j = kSize - 1 - i; j >= 0; --j) {
        double sum_z = 0;
        for (int k = kSize - 1 - i - j; k >= 0; --k) {
          sum_z = sum_z * z + at[(i * kSize + j) * kSize + k];
        }
        sum_y = sum_y * y + sum_z;
      }
      sum_x = sum_x * x + sum_y;
    }
    return sum_x;
  }
};

double Sample(const document::Surface& surface, double factor,
              const std::vector<double> (&points)[3]) {
  const Cube<3> value(*map::ValuePolynomial(surface));
  const Cube<5> variance(*map::FormPolynomial(surface, surface.covariance_si));
  double greatest = 0;
  for (int i = 0; i < kPoints; ++i) {
    const double x = points[0][i];
    const double y = points[1][i];
    const double z = points[2][i];
    greatest = std::max(
        greatest, value.Value(x, y, z) + factor * std::sqrt(variance.Value(x, y, z)));
  }
  return greatest;
}

double Microseconds(const auto& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::micro>(std::chrono::steady_clock::now() -
                                                   start)
      .count();
}

int Main() {
  const document::StageMap map = MakeMap();
  const document::Surface& surface = map.surfaces[0];
  const document::LineManifest manifest;
  document::Mode mode{.capacity_quantity = "total_capacity",
                      .power_quantity = "power_input"};
  testing::Random random("DECIDE_BENCH_SAMPLE");
  std::vector<double> points[3];
  for (auto& column : points) {
    for (int i = 0; i < kPoints; ++i) column.push_back(random.Uniform(-1, 1));
  }
  const double factor = ProvingFactor(LookLevel(0.95, 1), surface.degrees_of_freedom);
  // A margin of about 0.01 % above the greatest bound that sampling finds.
  const double limit_w = Sample(surface, factor, points) * 1.0001;
  const document::Claim claim = MakeClaim(map, limit_w);
  const ClaimInputs inputs{.manifest = manifest, .mode = mode, .map = map};
  std::vector<double> first;
  std::vector<double> ours;
  std::vector<double> peer;
  bool proven = true;
  double greatest = 0;
  for (int round = 0; round < kRounds; ++round) {
    const auto decide = [&] {
      const auto verdict = DecideClaim(claim, inputs);
      proven = proven && verdict.ok() && verdict->outcome == document::Outcome::kProven;
    };
    first.push_back(Microseconds(decide));
    ours.push_back(Microseconds([&] {
                     for (int k = 0; k < kDecisions; ++k) decide();
                   }) /
                   kDecisions);
    peer.push_back(Microseconds([&] { greatest = Sample(surface, factor, points); }));
  }
  if (!proven || !(greatest < limit_w)) {
    std::fputs("the claim was not proven, or sampling contradicts it\n", stderr);
    return 1;
  }
  std::sort(first.begin(), first.end());
  std::sort(ours.begin(), ours.end());
  std::sort(peer.begin(), peer.end());
  const double ratio = peer[kRounds / 2] / ours[kRounds / 2];
  std::printf(
      "{\"name\": \"decide-3\", \"ours\": %.4g, \"peer\": %.4g, \"unit\": \"us\", "
      "\"ratio\": %.4g, \"wanted\": 100, \"note\": \"the first after a sampling, with "
      "nothing of it in the caches: %.4g us\"}\n",
      ours[kRounds / 2], peer[kRounds / 2], ratio, first[kRounds / 2]);
  return 0;
}

}  // namespace
}  // namespace ratebound::claim

int main() { return ratebound::claim::Main(); }
