// Certificates of claims that are false, every number of them chosen to deceive and all
// of it sealed: what only the comparison with the release, or a limit of effort, refuses.
#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/number/distribution.h"
#include "engine/recheck/margin.h"
#include "engine/recheck/recheck.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::recheck {
namespace {

using document::Certificate;
using document::CertificatePart;
using document::CertifiedFunction;
using document::CertifiedPolynomial;
using document::Release;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

constexpr double kLevel = 0.025;

// Capacity 8000 + 700 z0 - 300 z1 W, promised to be as much as the limit.
Release InventedRelease(double limit_si) {
  const std::vector<std::string> conditions = {"outdoor_air_db", "leaving_water_temp"};
  const document::Surface surface{.quantity = "total_capacity",
                                  .purpose = document::SurfacePurpose::kProof,
                                  .degree = 1,
                                  .centre_si = {10, 40},
                                  .half_range_si = {20, 10},
                                  .exponents = {0, 0, 1, 0, 0, 1},
                                  .coefficients_si = {8000, 700, -300},
                                  .covariance_si = {900, 10, 400, -20, 5, 300},
                                  .degrees_of_freedom = 17,
                                  .systematic_fraction = 0.01};
  document::Mode mode{.id = "heating",
                      .kind = document::ModeKind::kHeating,
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = conditions};
  mode.stages = {{.id = "low"}};
  Release release;
  release.manifest.units = {{.id = "u", .modes = {mode}}};
  release.maps = {{.unit = "u",
                   .mode = "heating",
                   .stage = "low",
                   .conditions = conditions,
                   .tested_low_si = {-10, 30},
                   .tested_high_si = {30, 50},
                   .surfaces = {surface}}};
  document::Verdict verdict{.claim = "capacity",
                            .outcome = document::Outcome::kProven,
                            .level = kLevel,
                            .look = 1,
                            .data_digest = "d1"};
  verdict.text = {.id = "capacity",
                  .unit = "u",
                  .mode = "heating",
                  .stage = "low",
                  .quantity = "total_capacity",
                  .limit = limit_si,
                  .limit_unit = "W",
                  .limit_si = limit_si,
                  .region = {{"outdoor_air_db", -10, 30, "degC", -10, 30},
                             {"leaving_water_temp", 32, 48, "degC", 32, 48}},
                  .confidence = 0.95};
  release.verdicts = {verdict};
  return release;
}

// Of all that may pass for the polynomial, the greatest or the least at a point.
CertifiedPolynomial Chosen(const SpanPolynomial& p, bool greatest,
                           const std::vector<double>& at) {
  CertifiedPolynomial chosen;
  for (const auto& [row, span] : p) {
    bool negative = false;
    for (size_t i = 0; i < row.size(); ++i) {
      chosen.exponents.push_back(row[i]);
      negative = negative != (row[i] % 2 == 1 && at[i] < 0);
    }
    chosen.coefficients.push_back(greatest != negative ? span.hi : span.lo);
  }
  return chosen;
}

Certificate Sealed(CertificatePart part) {
  Certificate certificate{.claim = "capacity",
                          .release_digest = "d1",
                          .outcome = document::Outcome::kProven,
                          .level = kLevel,
                          .look = 1,
                          .parts = {std::move(part)}};
  certificate.seal = document::SealOf(certificate);
  return certificate;
}

// One leaf over all of the claim's region, with the function that the release asks for in
// the scale given, and a tangent for each of its terms: the best at the centre of the
// surface's scale where none is given.
CertificatePart OneLeaf(const Release& release, const ConditionScale& scale,
                        std::optional<double> tangent = std::nullopt) {
  const document::Verdict& verdict = release.verdicts[0];
  Formula formula;
  formula.numerator = {{&release.maps[0], "total_capacity", NumberIn(2, 1)}};
  formula.over_factor = NumberIn(2, 1);
  formula.limit = NumberIn(2, verdict.text.limit_si);
  MarginMaker maker(release, scale);
  const auto made = maker.Make(formula, true);
  EXPECT_THAT(made.status(), IsOk());
  const ExpectedMargin& margin = *made;
  CertificatePart part{.conditions = release.maps[0].conditions,
                       .centre_si = scale.centre_si,
                       .half_range_si = scale.half_range_si};
  for (size_t i = 0; i < scale.size(); ++i) {
    const document::MeasureRange& range = verdict.text.region[i];
    const Span centre = scale.centre_si[i], half = scale.half_range_si[i];
    part.box_low.push_back(((Span(range.low_si) - centre) / half).lo);
    part.box_high.push_back(((Span(range.high_si) - centre) / half).hi);
    part.unit_centre.push_back(0.5 * part.box_low[i] + 0.5 * part.box_high[i]);
    part.unit_radius.push_back(
        std::max((Span(part.box_high[i]) - Span(part.unit_centre[i])).hi,
                 (Span(part.unit_centre[i]) - Span(part.box_low[i])).hi));
  }
  const double factor = -number::StudentTQuantile(kLevel, 17);
  CertifiedFunction function{.stage = "low",
                             .quantity = "total_capacity",
                             .coverage_factor = factor,
                             .value = Chosen(margin.value, true, part.unit_centre)};
  std::vector<double> tangents;
  const auto add = [&](double weight, const SpanPolynomial& square) {
    const double size = std::sqrt(std::fabs(square.at({0, 0}).hi));
    tangents.push_back(tangent ? *tangent : weight / (2 * size));
    function.terms.push_back({weight, Chosen(square, false, part.unit_centre)});
  };
  add(factor, margin.bands[0].variance);
  for (const auto& [term, band] : margin.of_band) {
    add(factor * term.first.hi, term.second);
  }
  for (const auto& [weight, square] : margin.terms) add(weight.hi, square);
  part.functions = {function};
  part.combinations = {{.weights = {1}}};
  part.splits = {-1};
  part.leaves = {{.combination = 0, .bound = 1, .tangents = std::move(tangents)}};
  part.lower_bound = 0.5;
  return part;
}

TEST(ForgedCertificate, ASmallLimitIsShownByOneLeaf) {
  const Release release = InventedRelease(1000);
  CertificatePart part = OneLeaf(release, {{10, 40}, {20, 10}});
  ASSERT_OK_AND_ASSIGN(const RecheckReport report, RecheckAgainst(Sealed(part), release));
  EXPECT_TRUE(report.all_derived());
  // Nothing left over is enough.
  part.leaves[0].bound = part.lower_bound = 0;
  EXPECT_THAT(RecheckAgainst(Sealed(part), release).status(), IsOk());
}

// With w sqrt(Q) <= s Q + w^2 / (4 s) a Q below 0 would be added to any margin.
TEST(ForgedCertificate, ATermBelowZeroIsNoneOfTheMargin) {
  const Release release = InventedRelease(9000);  // nowhere reached
  CertificatePart part = OneLeaf(release, {{10, 40}, {20, 10}});
  EXPECT_FALSE(Recheck(Sealed(part)).ok());
  part.functions[0].terms.push_back({1e-3, {.exponents = {0, 0}, .coefficients = {-1}}});
  part.leaves[0].tangents.push_back(1e6);
  const Certificate forged = Sealed(part);
  // By itself it says nothing wrong: it is a function that it states.
  ASSERT_THAT(Recheck(forged), IsOk());
  EXPECT_THAT(RecheckAgainst(forged, release),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("a term is of none of its uncertainties")));
  // What takes off more than is asked for harms nobody.
  part = OneLeaf(InventedRelease(1000), {{10, 40}, {20, 10}});
  part.functions[0].terms.push_back({1e-3, {.exponents = {0, 2}, .coefficients = {1}}});
  part.leaves[0].tangents.push_back(1e-4);
  EXPECT_THAT(RecheckAgainst(Sealed(part), InventedRelease(1000)).status(), IsOk());
}

// Where the conditions are taken from far away, sums round by more than margins come to.
TEST(ForgedCertificate, AFarScaleIsNotTheReleases) {
  const Release release = InventedRelease(9000);
  for (const ConditionScale& scale :
       {ConditionScale{{1e25, 40}, {20, 10}}, ConditionScale{{10, -1e25}, {20, 10}}}) {
    const Certificate forged = Sealed(OneLeaf(release, scale, 1));
    ASSERT_THAT(Recheck(forged), IsOk());
    EXPECT_THAT(
        RecheckAgainst(forged, release),
        StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("scaled otherwise")));
  }
  const Release kept = InventedRelease(1000);
  for (const ConditionScale& scale :
       {ConditionScale{{10, 40}, {20e3, 10}}, ConditionScale{{10, 40}, {20, 0.01}}}) {
    EXPECT_THAT(
        RecheckAgainst(Sealed(OneLeaf(kept, scale)), kept),
        StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("scaled otherwise")));
  }
}

// A surface goes on where nobody tested.
TEST(ForgedCertificate, ARegionThatWasNotTestedIsNotShown) {
  Release release = InventedRelease(1000);
  const Certificate certificate = Sealed(OneLeaf(release, {{10, 40}, {20, 10}}));
  EXPECT_THAT(RecheckAgainst(certificate, release).status(), IsOk());
  release.maps[0].tested_high_si[0] = 25;
  EXPECT_THAT(RecheckAgainst(certificate, release),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("the range of outdoor_air_db was not tested")));
  // What the region's cuts leave out need not be.
  document::Claim& claim = release.verdicts[0].text;
  claim.cuts = {
      {.linear = document::LinearCut{
           .terms = {{.quantity = "outdoor_air_db", .factor = 1, .unit = "degC"}},
           .at_most = 25}}};
  EXPECT_THAT(RecheckAgainst(certificate, release).status(), IsOk());
  claim.cuts[0].linear->at_most = 25.001;
  EXPECT_THAT(RecheckAgainst(certificate, release),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("was not tested")));
}

// N / D against a third quantity Q would be N - Q D, which is no sum of fits.
TEST(ForgedCertificate, ARatioIsNotHeldAgainstAThirdQuantity) {
  Release release = InventedRelease(1000);
  const Certificate certificate = Sealed(OneLeaf(release, {{10, 40}, {20, 10}}));
  document::Claim& claim = release.verdicts[0].text;
  claim.quantity = "coefficient_of_performance";
  claim.against = document::AgainstQuantity{.quantity = "total_capacity"};
  EXPECT_THAT(RecheckAgainst(certificate, release),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("third quantity")));
}

// kW/ton is the inverse of Btu/Wh: nothing of the one is a number of the other.
TEST(ForgedCertificate, ARatingOfNothingIsNoneInAnotherUnit) {
  Release release = InventedRelease(1000);
  document::Claim& claim = release.verdicts[0].text;
  claim.seasonal_floor =
      document::SeasonalFloor{.procedure = "p", .at_least = 0.7, .unit = "kW/ton"};
  release.ratings = {{.unit = "u",
                      .procedure = "p",
                      .metric_unit = "Btu/Wh",
                      .value = 15,
                      .footing = document::Footing::kTested,
                      .uncertainty = document::MetricUncertainty{
                          .standard_error = 0.1, .degrees_of_freedom = 20}}};
  Certificate forged{.claim = "capacity",
                     .release_digest = "d1",
                     .outcome = document::Outcome::kProven,
                     .level = kLevel,
                     .rating = document::CertifiedRating{.procedure = "p",
                                                         .degrees_of_freedom = 20,
                                                         .coverage_factor = 3,
                                                         .limit = 0.7,
                                                         .less_is_better = true,
                                                         .margin = 0.5,
                                                         .unit = "kW/ton"}};
  forged.seal = document::SealOf(forged);
  ASSERT_THAT(Recheck(forged), IsOk());
  EXPECT_THAT(
      RecheckAgainst(forged, release),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("does not compare")));
}

// A release may be sent by anybody, too.
TEST(ForgedRelease, FewBytesDoNotTakeAllMemoryOrTime) {
  Release release = InventedRelease(1000);
  const Certificate certificate = Sealed(OneLeaf(release, {{10, 40}, {20, 10}}));
  Release endless = release;
  endless.maps[0].surfaces[0].exponents[2] = 2'000'000'000;
  EXPECT_THAT(RecheckAgainst(certificate, endless),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not those of")));
  document::Mode& mode = release.manifest.units[0].modes[0];
  mode.stages.clear();
  for (int k = 0; k < 40; ++k) {
    const std::string id = k == 0 ? "low" : "stage " + std::to_string(k);
    mode.stages.push_back({.id = id});
    if (k > 0) release.maps.push_back(release.maps[0]);
    release.maps.back().stage = id;
  }
  release.verdicts[0].text.capacity_steps = document::CapacitySteps{.least_count = 20};
  EXPECT_THAT(
      RecheckAgainst(certificate, release),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("too many choices")));
}

CertificatePart ManyMonomials() {
  return {.conditions = {"x", "y", "z"},
          .centre_si = {0, 0, 0},
          .half_range_si = {1, 1, 1},
          .box_low = {0, 0, 0},
          .box_high = {1, 1, 1},
          .functions = {{.stage = "low",
                         .value = {.exponents = {32, 32, 16}, .coefficients = {1}}}},
          .unit_centre = {0, 0, 0},
          .unit_radius = {1, 1, 1},
          .combinations = {{.weights = {1}}}};
}

TEST(ForgedCertificate, FewBytesDoNotTakeAllMemoryOrTime) {
  CertificatePart part = ManyMonomials();
  part.functions.resize(1000, {.stage = "low"});
  EXPECT_THAT(Recheck(Sealed(part)), StatusIs(absl::StatusCode::kInvalidArgument,
                                              HasSubstr("more polynomials")));
  part = ManyMonomials();
  part.leaves.resize(20'000, {.combination = 0});
  part.splits.resize(20'000, -1);
  EXPECT_THAT(Recheck(Sealed(part)),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("too long")));
}

}  // namespace
}  // namespace ratebound::recheck
