// A certificate against the release that it is of: every function derived once more.
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "engine/bound/prove_region.h"
#include "engine/claim/certificate.h"
#include "engine/number/distribution.h"
#include "engine/recheck/recheck.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::recheck {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using document::Certificate;
using document::Release;
using document::Surface;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

constexpr double kLevel = 0.025;
constexpr double kFraction = 0.01;    // systematic, of capacity
constexpr double kConditionSi = 0.1;  // systematic, of the outdoor temperature

Polynomial Plus(const Polynomial& a, double c) {
  return *Sum(a, Polynomial::Constant(a.variables(), c));
}

// Capacity 8000 + 700 z0 - 300 z1 W of a stage over two temperatures.
Release InventedRelease() {
  Surface surface{.quantity = "total_capacity",
                  .purpose = document::SurfacePurpose::kProof,
                  .degree = 1,
                  .centre_si = {10, 40},
                  .half_range_si = {20, 10},
                  .exponents = {0, 0, 1, 0, 0, 1},
                  .coefficients_si = {8000, 700, -300},
                  .covariance_si = {900, 10, 400, -20, 5, 300},
                  .degrees_of_freedom = 17,
                  .systematic_fraction = kFraction};
  document::Mode mode{.id = "heating",
                      .kind = document::ModeKind::kHeating,
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"outdoor_air_db", "leaving_water_temp"}};
  mode.stages = {{.id = "low"}};
  Release release;
  release.manifest.units = {{.id = "u", .modes = {mode}}};
  release.maps = {{.unit = "u",
                   .mode = "heating",
                   .stage = "low",
                   .conditions = {"outdoor_air_db", "leaving_water_temp"},
                   .tested_low_si = {-10, 30},
                   .tested_high_si = {30, 50},
                   .surfaces = {surface},
                   .condition_systematic_si = {kConditionSi, 0}}};
  document::Verdict verdict{.claim = "capacity",
                            .outcome = document::Outcome::kProven,
                            .level = kLevel,
                            .look = 1,
                            .model = "linear",
                            .data_digest = "d1"};
  verdict.text = {.id = "capacity",
                  .unit = "u",
                  .mode = "heating",
                  .stage = "low",
                  .quantity = "total_capacity",
                  .relation = document::Relation::kAtLeast,
                  .limit = 6500,
                  .limit_unit = "W",
                  .limit_si = 6500,
                  .region = {{"outdoor_air_db", -10, 30, "degC", -10, 30},
                             {"leaving_water_temp", 32, 48, "degC", 32, 48}},
                  .confidence = 0.95,
                  .allowance = {.relative_fraction = 0.01}};
  release.verdicts = {verdict};
  return release;
}

// Written out from the definition: sign (f - L) - allowance - systematic - factor s.
BandedFunction Margin(const Surface& surface, double limit_si, double turn,
                      double factor) {
  const Polynomial value =
      *Polynomial::Create(2, surface.exponents, surface.coefficients_si);
  std::vector<Polynomial> basis;
  for (int t = 0; t < 3; ++t) {
    basis.push_back(*Polynomial::Create(
        2, std::vector<int>{surface.exponents[2 * t], surface.exponents[2 * t + 1]},
        std::vector<double>{1}));
  }
  const std::vector<double>& c = surface.covariance_si;
  const Polynomial variance = *QuadraticForm(
      basis, std::vector<double>{c[0], c[1], c[3], c[1], c[2], c[4], c[3], c[4], c[5]});
  const Polynomial slope = value.Derivative(0);
  return {.f = Plus(Plus(value.Scale(turn), -turn * limit_si), -0.01 * limit_si),
          .terms = {{kFraction, *SumOfSquares(std::span(&value, 1))},
                    {kConditionSi / 20, *SumOfSquares(std::span(&slope, 1))},
                    {factor, variance},
                    {factor * kFraction, variance}}};
}

struct Options {
  double factor = -1;  // Student's at the level
  std::string quantity = "total_capacity";
  double box_high = 1;
};

Certificate Prove(const Release& release, const Options& options = {}) {
  const double factor =
      options.factor >= 0 ? options.factor : -number::StudentTQuantile(kLevel, 17);
  const std::vector<BandedFunction> functions = {
      Margin(release.maps[0].surfaces[0], 6500, 1, factor)};
  const bound::Region region{
      .box = {{-1 - 1e-15, -0.8 - 1e-15}, {options.box_high + 1e-15, 0.8 + 1e-15}}};
  const auto proof = *ProveOver(functions, region, {.tree = true});
  const claim::FunctionLabel labels[] = {{"low", options.quantity, factor}};
  return *claim::Seal(
      {.claim = "capacity",
       .release_digest = "d1",
       .outcome = document::Outcome::kProven,
       .level = kLevel,
       .look = 1,
       .allowance_si = 65,
       .model = "linear",
       .parts = {*claim::MakePart({.conditions = release.maps[0].conditions,
                                   .centre_si = {10, 40},
                                   .half_range_si = {20, 10},
                                   .labels = labels,
                                   .functions = functions,
                                   .region = region},
                                  proof)}});
}

TEST(RecheckAgainst, DerivesEveryFunctionOnceMore) {
  const Release release = InventedRelease();
  ASSERT_OK_AND_ASSIGN(const RecheckReport report,
                       RecheckAgainst(Prove(release), release));
  ASSERT_EQ(report.ties.size(), 1u);
  EXPECT_TRUE(report.all_derived()) << report.ties[0].why;
}

TEST(RecheckAgainst, DerivesWhatIsMissingOfARefutation) {
  Release release = InventedRelease();
  document::Verdict& verdict = release.verdicts[0];
  verdict.outcome = document::Outcome::kRefuted;
  verdict.text.limit = verdict.text.limit_si = 8500;
  verdict.coverage_factor = 3;
  const std::vector<BandedFunction> functions = {
      Margin(release.maps[0].surfaces[0], 8500, -1, 3)};
  const bound::Region region{.box = {{-1, -0.8}, {1, 0.8}}};
  const claim::FunctionLabel labels[] = {{"low", "total_capacity", 3}};
  const double point[] = {-1, 0.8};
  ASSERT_OK_AND_ASSIGN(document::CertificatePart part,
                       claim::MakeRefutation({.conditions = release.maps[0].conditions,
                                              .centre_si = {10, 40},
                                              .half_range_si = {20, 10},
                                              .labels = labels,
                                              .functions = functions,
                                              .region = region},
                                             point));
  ASSERT_OK_AND_ASSIGN(const Certificate certificate,
                       claim::Seal({.claim = "capacity",
                                    .release_digest = "d1",
                                    .outcome = document::Outcome::kRefuted,
                                    .level = kLevel,
                                    .look = 1,
                                    .allowance_si = 85,
                                    .model = "linear",
                                    .parts = {std::move(part)}}));
  ASSERT_OK_AND_ASSIGN(const RecheckReport report, RecheckAgainst(certificate, release));
  EXPECT_TRUE(report.all_derived());
  verdict.coverage_factor = 3.5;
  EXPECT_THAT(RecheckAgainst(certificate, release),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("smaller factor")));
}

TEST(RecheckAgainst, RefusesAReleaseThatSaysSomethingElse) {
  const Certificate certificate = Prove(InventedRelease());
  struct Case {
    std::string description;
    std::function<void(Release&)> change;
    std::string message;
  };
  const Case cases[] = {
      {"a coefficient", [](auto& r) { r.maps[0].surfaces[0].coefficients_si[1] = 701; },
       "not that of surface and limit"},
      {"a variance", [](auto& r) { r.maps[0].surfaces[0].covariance_si[0] = 901; },
       "band or systematic"},
      {"a systematic part",
       [](auto& r) { r.maps[0].surfaces[0].systematic_fraction = 0.02; },
       "band or systematic"},
      {"a sensor", [](auto& r) { r.maps[0].condition_systematic_si[0] = 0.2; },
       "band or systematic"},
      {"degrees of freedom",
       [](auto& r) { r.maps[0].surfaces[0].degrees_of_freedom = 5; }, "factor"},
      {"a scale", [](auto& r) { r.maps[0].surfaces[0].half_range_si[0] = 21; },
       "not that of surface and limit"},
      {"the limit", [](auto& r) { r.verdicts[0].text.limit_si = 6600; }, "allowance"},
      {"the relation",
       [](auto& r) { r.verdicts[0].text.relation = document::Relation::kAtMost; },
       "not that of surface and limit"},
      {"a wider region", [](auto& r) { r.verdicts[0].text.region[0].low_si = -15; },
       "the range of outdoor_air_db"},
      {"a narrower region", [](auto& r) { r.verdicts[0].text.region[1].high_si = 45; },
       "the range of leaving_water_temp"},
      {"more confidence", [](auto& r) { r.verdicts[0].text.confidence = 0.99; },
       "the claim's confidence"},
      {"other data", [](auto& r) { r.verdicts[0].data_digest = "d2"; }, "other data"},
      {"another verdict",
       [](auto& r) { r.verdicts[0].outcome = document::Outcome::kNotShown; },
       "another verdict"},
      {"no verdict", [](auto& r) { r.verdicts.clear(); }, "no verdict"},
      {"another look", [](auto& r) { r.verdicts[0].look = 2; }, "look"},
      {"another model", [](auto& r) { r.verdicts[0].model = "cubic"; }, "model"},
      {"another stage", [](auto& r) { r.maps[0].stage = "high"; }, "no such stage"},
      {"another quantity", [](auto& r) { r.verdicts[0].text.quantity = "power_input"; },
       "no surface that power_input follows from"},
  };
  for (const Case& c : cases) {
    Release release = InventedRelease();
    c.change(release);
    EXPECT_THAT(RecheckAgainst(certificate, release),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.message)))
        << c.description;
  }
}

TEST(RecheckAgainst, RefusesASmallerFactorOrBox) {
  const Release release = InventedRelease();
  EXPECT_THAT(RecheckAgainst(Prove(release, {.factor = 1.9}), release),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("factor")));
  EXPECT_THAT(RecheckAgainst(Prove(release, {.box_high = 0.9}), release),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("the range of")));
}

TEST(RecheckAgainst, RefusesAFunctionThatIsSaidToBeOfSomethingElse) {
  const Release release = InventedRelease();
  EXPECT_THAT(
      RecheckAgainst(Prove(release, {.quantity = "power_input"}), release),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("another quantity")));
}

// The lower stage gives half of the upper or more: shown though the upper falls below 0,
// where half of it says nothing of a part.
TEST(RecheckAgainst, SaysWhereWhatAQuantityIsDividedByIsNotShownToBePositive) {
  for (const double at_middle : {2000.0, 600.0}) {
    Release release = InventedRelease();
    document::StageMap upper = release.maps[0];
    upper.stage = "high";
    upper.surfaces[0].coefficients_si = {at_middle, 700, 0};
    release.maps.push_back(upper);
    release.manifest.units[0].modes[0].stages.push_back({.id = "high"});
    document::Claim& claim = release.verdicts[0].text;
    claim.quantity.clear();
    claim.turndown = document::Turndown{.capacity_fraction = 0.5};
    claim.allowance = {};
    // Both bands share the level.
    const double factor = -number::StudentTQuantile(kLevel / 2, 17);
    BandedFunction low = Margin(release.maps[0].surfaces[0], 0, 1, factor);
    BandedFunction high = Margin(release.maps[1].surfaces[0], 0, 1, factor);
    BandedFunction both{.f = *Sum(low.f, high.f.Scale(-0.5))};
    for (BandedFunction::Term& term : low.terms) both.terms.push_back(term);
    // The conditions' part is that of the margin; a band's square has the factor's.
    for (size_t k = 0; k < high.terms.size(); ++k) {
      BandedFunction::Term& term = high.terms[k];
      if (k == 0 || k == 3) term.weight *= 0.5;
      if (k == 2) term.square = term.square.Scale(0.25);
      if (k != 1) both.terms.push_back(term);
    }
    const Polynomial slope = both.f.Derivative(0);
    both.terms[1].square = *SumOfSquares(std::span(&slope, 1));
    const bound::Region region{
        .box = {{-1 - 1e-15, -0.8 - 1e-15}, {1 + 1e-15, 0.8 + 1e-15}}};
    const std::vector<BandedFunction> functions = {both};
    const auto proof = *ProveOver(functions, region, {.tree = true});
    const claim::FunctionLabel labels[] = {{"low", "turndown", factor}};
    ASSERT_OK_AND_ASSIGN(document::CertificatePart part,
                         claim::MakePart({.conditions = release.maps[0].conditions,
                                          .centre_si = {10, 40},
                                          .half_range_si = {20, 10},
                                          .labels = labels,
                                          .functions = functions,
                                          .region = region},
                                         proof));
    ASSERT_OK_AND_ASSIGN(const Certificate certificate,
                         claim::Seal({.claim = "capacity",
                                      .release_digest = "d1",
                                      .outcome = document::Outcome::kProven,
                                      .level = kLevel,
                                      .look = 1,
                                      .model = "linear",
                                      .parts = {std::move(part)}}));
    ASSERT_OK_AND_ASSIGN(const RecheckReport report,
                         RecheckAgainst(certificate, release));
    ASSERT_EQ(report.ties.size(), 1u);
    EXPECT_EQ(report.all_derived(), at_middle == 2000) << report.ties[0].why;
    if (at_middle == 2000) continue;
    EXPECT_THAT(report.ties[0].why, HasSubstr("not shown to be above 0"));
  }
}

}  // namespace
}  // namespace ratebound::recheck
