// A small unit for tests of claims: capacity and power over two conditions, measured on a
// grid with independent noise, fitted by one full polynomial.
#ifndef RATEBOUND_TESTS_ENGINE_CLAIM_FIXTURE_H_
#define RATEBOUND_TESTS_ENGINE_CLAIM_FIXTURE_H_

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/claim/decide.h"
#include "engine/claim/problem.h"
#include "engine/claim/promise_parts.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "tests/testing/random.h"

namespace ratebound::claim {

inline constexpr double kLowWaterC = 10;
inline constexpr double kHighWaterC = 40;
inline constexpr double kLowWetBulbC = 12;
inline constexpr double kHighWetBulbC = 24;

struct TestUnit {
  document::LineManifest manifest;
  document::Mode mode;
  document::StageMap map;
  std::vector<std::vector<double>> columns;  // conditions of the points
  std::vector<double> capacity_w;
  std::vector<double> power_w;

  document::Surface Fit(std::span<const CombinationPart> parts, int degree) const {
    const auto basis = fit::PolynomialBasis::ForPoints(columns, degree);
    const auto design = basis->Design(columns);
    std::vector<double> response(capacity_w.size(), 0.0);
    for (const CombinationPart& part : parts) {
      const auto& values = part.quantity == "power_input" ? power_w : capacity_w;
      for (size_t k = 0; k < response.size(); ++k) response[k] += part.factor * values[k];
    }
    const auto solved = fit::SolveLeastSquares({.design = *design, .response = response});
    document::Surface surface;
    surface.quantity = parts[0].quantity;
    surface.purpose = document::SurfacePurpose::kProof;
    surface.degree = degree;
    for (const fit::ScaledRange& range : basis->ranges()) {
      surface.centre_si.push_back(range.centre);
      surface.half_range_si.push_back(range.half_range);
    }
    for (int t = 0; t < basis->terms(); ++t) {
      const auto exponents = basis->exponents(t);
      surface.exponents.insert(surface.exponents.end(), exponents.begin(),
                               exponents.end());
    }
    surface.coefficients_si = basis->ToMonomials(solved->coefficients);
    surface.covariance_si =
        LowerTriangle(basis->CovarianceToMonomials(solved->covariance), basis->terms());
    surface.leverage_matrix = LowerTriangle(
        basis->CovarianceToMonomials(solved->unscaled_covariance), basis->terms());
    for (double leverage : solved->leverages) {
      surface.greatest_leverage = std::max(surface.greatest_leverage, leverage);
    }
    surface.degrees_of_freedom = solved->degrees_of_freedom;
    surface.residual_sd_si = solved->residual_sd;
    surface.point_count = solved->rows;
    return surface;
  }

  FitCombination fit() const {
    return [this](std::span<const CombinationPart> parts, int degree) {
      return absl::StatusOr<document::Surface>(Fit(parts, degree));
    };
  }

  ClaimInputs Inputs(std::string digest = "day 1",
                     const document::Verdict* earlier = nullptr) const {
    return {.manifest = manifest,
            .mode = mode,
            .map = map,
            .fit = fit(),
            .data_digest = std::move(digest),
            .earlier = earlier};
  }

  document::Verdict Decide(const document::Claim& claim,
                           const document::Verdict* earlier = nullptr,
                           std::string digest = "day 1") const {
    return DecideClaim(claim, Inputs(std::move(digest), earlier)).value();
  }

  // The margin of a claim on one stage with one side.
  Margin MarginOf(const document::Claim& claim) const {
    const std::vector<StageInputs> stages = {
        {.id = claim.stage, .map = &map, .fit = fit()}};
    const auto region =
        document::PiecesOf(map.conditions, claim.region, claim.cuts).value();
    const auto parts = PartsOf(claim, stages, map.conditions, region).value();
    const ProblemSet set = MakeProblems({.claim = claim,
                                         .manifest = manifest,
                                         .mode = mode,
                                         .stages = stages,
                                         .parts = parts,
                                         .level = 0.025})
                               .value();
    return set.problems.at(0).alternatives.at(0)->sides.at(0).margin;
  }

  static std::vector<double> LowerTriangle(const std::vector<double>& full, int terms) {
    std::vector<double> lower;
    for (int i = 0; i < terms; ++i) {
      for (int j = 0; j <= i; ++j) lower.push_back(full[i * terms + j]);
    }
    return lower;
  }
};

// Capacity 50 kW falling 0.3 kW/K with water, rising 1 kW/K with wet bulb; power 10 kW
// rising 0.2 kW/K with water. Both linear: any full polynomial holds them.
inline double TrueCapacityW(double water_c, double wet_bulb_c) {
  return 50e3 - 300 * (water_c - 25) + 1000 * (wet_bulb_c - 18);
}
inline double TruePowerW(double water_c, double) { return 10e3 + 200 * (water_c - 25); }

inline TestUnit MakeTestUnit(double noise_fraction, std::string_view seed, int levels = 6,
                             int degree = 2) {
  TestUnit unit;
  testing::Random random(seed);
  unit.columns.resize(2);
  for (int i = 0; i < levels; ++i) {
    for (int j = 0; j < levels; ++j) {
      const double water_c = kLowWaterC + (kHighWaterC - kLowWaterC) * i / (levels - 1);
      const double wet_bulb_c =
          kLowWetBulbC + (kHighWetBulbC - kLowWetBulbC) * j / (levels - 1);
      unit.columns[0].push_back(water_c);
      unit.columns[1].push_back(wet_bulb_c);
      unit.capacity_w.push_back(TrueCapacityW(water_c, wet_bulb_c) *
                                (1 + noise_fraction * random.Normal()));
      unit.power_w.push_back(TruePowerW(water_c, wet_bulb_c) *
                             (1 + noise_fraction * random.Normal()));
      unit.map.point_conditions_si.push_back(water_c);
      unit.map.point_conditions_si.push_back(wet_bulb_c);
    }
  }
  unit.mode.capacity_quantity = "total_capacity";
  unit.mode.power_quantity = "power_input";
  unit.map.conditions = {"entering_water_temp", "entering_air_wb"};
  unit.map.tested_low_si = {kLowWaterC, kLowWetBulbC};
  unit.map.tested_high_si = {kHighWaterC, kHighWetBulbC};
  const CombinationPart capacity[] = {{"total_capacity", 1}};
  const CombinationPart power[] = {{"power_input", 1}};
  unit.map.surfaces = {unit.Fit(capacity, degree), unit.Fit(power, degree)};
  return unit;
}

inline document::Claim MakeClaim(const std::string& quantity, document::Relation relation,
                                 double limit, const std::string& unit,
                                 double low_water_c = kLowWaterC,
                                 double high_water_c = kHighWaterC) {
  const bool power = unit == "kW";
  return {.id = "c",
          .quantity = quantity,
          .relation = relation,
          .limit = limit,
          .limit_unit = unit,
          .limit_si = power ? 1000 * limit : limit,
          .region = {{"entering_air_wb", 12, 24, "degC", kLowWetBulbC, kHighWetBulbC},
                     {"entering_water_temp", low_water_c, high_water_c, "degC",
                      low_water_c, high_water_c}},
          .confidence = 0.95};
}

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_ENGINE_CLAIM_FIXTURE_H_
