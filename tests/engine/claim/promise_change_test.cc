#include "engine/claim/promise_change.h"

#include <functional>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::Relation;
using ::testing::IsEmpty;

Claim Floor() {
  return {.id = "floor",
          .statement = "cools by 40 kW",
          .unit = "u1",
          .mode = "cooling",
          .stage = "full",
          .quantity = "total_capacity",
          .relation = Relation::kAtLeast,
          .limit = 40,
          .limit_unit = "kW",
          .limit_si = 40'000,
          .region = {{.quantity = "entering_water_temp",
                      .low = 50,
                      .high = 86,
                      .unit = "degF",
                      .low_si = 10,
                      .high_si = 30}},
          .confidence = 0.95,
          .allowance = {.relative_fraction = 0.02,
                        .absolute = 0.5,
                        .absolute_si = 500,
                        .reason = "form and production"}};
}

struct Case {
  std::string name;
  std::function<void(Claim&)> alter;
  PromiseFacet facet;
  Ease ease;
  std::string text;
};

class OneChange : public ::testing::TestWithParam<Case> {};

TEST_P(OneChange, IsSeenWithItsEaseAndNothingElse) {
  Claim now = Floor();
  GetParam().alter(now);
  const std::vector<PromiseChange> changes = ComparePromises(Floor(), now);
  ASSERT_EQ(changes.size(), 1u);
  EXPECT_EQ(changes[0].facet, GetParam().facet);
  EXPECT_EQ(changes[0].ease, GetParam().ease);
  EXPECT_EQ(changes[0].text, GetParam().text);
}

INSTANTIATE_TEST_SUITE_P(
    PromiseChange, OneChange,
    ::testing::Values(
        Case{"LimitEased", [](Claim& c) { c.limit = 39.5, c.limit_si = 39'500; },
             PromiseFacet::kLimit, Ease::kEasier, "limit eased from 40 kW to 39.5 kW"},
        Case{"LimitTightened", [](Claim& c) { c.limit = 41, c.limit_si = 41'000; },
             PromiseFacet::kLimit, Ease::kHarder, "limit tightened from 40 kW to 41 kW"},
        Case{"RegionShrunkBelow",
             [](Claim& c) { c.region[0].low = 59, c.region[0].low_si = 15; },
             PromiseFacet::kRegion, Ease::kEasier,
             "region shrunk: entering_water_temp 59 to 86 degF, was 50 to 86 degF"},
        Case{"RegionShrunkAbove",
             [](Claim& c) { c.region[0].high = 77, c.region[0].high_si = 25; },
             PromiseFacet::kRegion, Ease::kEasier,
             "region shrunk: entering_water_temp 50 to 77 degF, was 50 to 86 degF"},
        Case{"RegionGrown",
             [](Claim& c) { c.region[0].high = 95, c.region[0].high_si = 35; },
             PromiseFacet::kRegion, Ease::kHarder,
             "region grown: entering_water_temp 50 to 95 degF, was 50 to 86 degF"},
        // What is given up counts, whatever comes in its place.
        Case{"RegionMoved",
             [](Claim& c) {
               c.region[0].low = 59, c.region[0].low_si = 15;
               c.region[0].high = 95, c.region[0].high_si = 35;
             },
             PromiseFacet::kRegion, Ease::kEasier,
             "region moved: entering_water_temp 59 to 95 degF, was 50 to 86 degF"},
        Case{"ConditionAdded",
             [](Claim& c) {
               c.region.push_back({"air_flow", 1, 2, "m3/s", 1, 2});
             },
             PromiseFacet::kRegion, Ease::kUnclear,
             "region newly bounded in air_flow: 1 to 2 m3/s"},
        Case{"ConditionGone", [](Claim& c) { c.region.clear(); }, PromiseFacet::kRegion,
             Ease::kUnclear,
             "region no longer bounded in entering_water_temp, was 50 to 86 degF"},
        Case{"ConfidenceLowered", [](Claim& c) { c.confidence = 0.9; },
             PromiseFacet::kConfidence, Ease::kEasier,
             "confidence lowered from 0.95 to 0.9"},
        Case{"ConfidenceRaised", [](Claim& c) { c.confidence = 0.99; },
             PromiseFacet::kConfidence, Ease::kHarder,
             "confidence raised from 0.95 to 0.99"},
        Case{"AllowanceCut", [](Claim& c) { c.allowance.relative_fraction = 0; },
             PromiseFacet::kAllowance, Ease::kEasier,
             "allowance cut from 2 % and 0.5 kW to 0.5 kW"},
        Case{"AllowanceGone", [](Claim& c) { c.allowance = {}; },
             PromiseFacet::kAllowance, Ease::kEasier,
             "allowance cut from 2 % and 0.5 kW to none"},
        Case{"AllowanceRaised",
             [](Claim& c) { c.allowance.absolute = 1, c.allowance.absolute_si = 1000; },
             PromiseFacet::kAllowance, Ease::kHarder,
             "allowance raised from 2 % and 0.5 kW to 2 % and 1 kW"},
        Case{"AllowanceExchanged",
             [](Claim& c) {
               c.allowance.relative_fraction = 0;
               c.allowance.absolute = 2, c.allowance.absolute_si = 2000;
             },
             PromiseFacet::kAllowance, Ease::kUnclear,
             "allowance changed from 2 % and 0.5 kW to 2 kW"},
        Case{"AnotherStage", [](Claim& c) { c.stage = "half"; }, PromiseFacet::kSubject,
             Ease::kUnclear, "another stage: 'half' in place of 'full'"},
        Case{"AnotherQuantity", [](Claim& c) { c.quantity = "sensible_capacity"; },
             PromiseFacet::kSubject, Ease::kUnclear,
             "another quantity: 'sensible_capacity' in place of 'total_capacity'"},
        Case{"AnotherSide", [](Claim& c) { c.relation = Relation::kAtMost; },
             PromiseFacet::kSubject, Ease::kUnclear, "another side of the limit"}),
    [](const auto& test) { return test.param.name; });

TEST(PromiseChange, ACeilingIsEasedUpwards) {
  Claim before = Floor();
  before.relation = Relation::kAtMost;
  Claim now = before;
  now.limit = 41;
  now.limit_si = 41'000;
  EXPECT_EQ(ComparePromises(before, now)[0].ease, Ease::kEasier);
  EXPECT_EQ(ComparePromises(now, before)[0].ease, Ease::kHarder);
}

TEST(PromiseChange, TheSamePromiseInOtherWordsAndUnitsIsTheSame) {
  Claim now = Floor();
  now.statement = "gives forty kilowatts";
  now.allowance.reason = "as agreed";
  now.limit = 40'000;
  now.limit_unit = "W";
  now.allowance.absolute = 500;
  now.region = {{.quantity = "entering_water_temp",
                 .low = 10,
                 .high = 30,
                 .unit = "degC",
                 .low_si = 10,
                 .high_si = 30.000000000000004}};
  EXPECT_THAT(ComparePromises(Floor(), now), IsEmpty());
}

struct KindCase {
  std::string name;
  std::function<void(Claim&)> make;
  std::function<void(Claim&)> alter;
  Ease ease;
  std::string text;
};

class KindOfPromise : public ::testing::TestWithParam<KindCase> {};

TEST_P(KindOfPromise, IsComparedByItsOwnFigures) {
  Claim before = Floor();
  GetParam().make(before);
  EXPECT_THAT(ComparePromises(before, before), IsEmpty());
  Claim now = before;
  GetParam().alter(now);
  const std::vector<PromiseChange> changes = ComparePromises(before, now);
  ASSERT_EQ(changes.size(), 1u);
  EXPECT_EQ(changes[0].ease, GetParam().ease);
  EXPECT_EQ(changes[0].text, GetParam().text);
  // And back: what was eased is tightened.
  const std::vector<PromiseChange> back = ComparePromises(now, before);
  ASSERT_EQ(back.size(), 1u);
  EXPECT_EQ(back[0].ease, GetParam().ease == Ease::kEasier   ? Ease::kHarder
                          : GetParam().ease == Ease::kHarder ? Ease::kEasier
                                                             : Ease::kUnclear);
}

document::RegionCut OrderCut() {
  return {.order = document::OrderCut{.quantity = "entering_air_wb",
                                      .not_above = "entering_air_db"}};
}

INSTANTIATE_TEST_SUITE_P(
    PromiseChange, KindOfPromise,
    ::testing::Values(
        KindCase{"UpperLimit",
                 [](Claim& c) {
                   c.relation = Relation::kWithin;
                   c.upper_limit = 44, c.upper_limit_si = 44'000;
                 },
                 [](Claim& c) { c.upper_limit = 45, c.upper_limit_si = 45'000; },
                 Ease::kEasier, "upper limit eased from 44 kW to 45 kW"},
        KindCase{"Offset",
                 [](Claim& c) { c.against = {.quantity = "load", .offset = 2}; },
                 [](Claim& c) { c.against->offset = 3, c.against->offset_si = 3000; },
                 Ease::kHarder, "offset tightened from 2 kW to 3 kW"},
        KindCase{"AgainstAnotherQuantity",
                 [](Claim& c) { c.against = {.quantity = "load"}; },
                 [](Claim& c) { c.against->quantity = "other"; }, Ease::kUnclear,
                 "the promise is written otherwise (serving stages, or what stands in "
                 "place of a limit)"},
        KindCase{"Turndown",
                 [](Claim& c) {
                   c.relation = Relation::kAtMost;
                   c.turndown = {.capacity_fraction = 0.25};
                 },
                 [](Claim& c) { c.turndown->capacity_fraction = 0.3; }, Ease::kEasier,
                 "part of the highest stage's capacity eased from 0.25 to 0.3"},
        KindCase{"Steps", [](Claim& c) { c.capacity_steps = {.least_count = 8}; },
                 [](Claim& c) { c.capacity_steps->least_count = 7; }, Ease::kEasier,
                 "number of steps eased from 8 to 7"},
        KindCase{"Gap", [](Claim& c) { c.capacity_steps = {.least_count = 8}; },
                 [](Claim& c) { c.capacity_steps->greatest_gap_fraction = 0.2; },
                 Ease::kHarder, "greatest gap newly stated: 0.2"},
        KindCase{"Equivalence",
                 [](Claim& c) { c.equivalence = {.within_fraction = 0.05}; },
                 [](Claim& c) { c.equivalence->within_fraction = 0.1; }, Ease::kEasier,
                 "greatest difference eased from 0.05 to 0.1"},
        KindCase{"Season",
                 [](Claim& c) { c.seasonal_floor = {.at_least = 15, .unit = "Btu/Wh"}; },
                 [](Claim& c) { c.seasonal_floor->at_least = 14.5; }, Ease::kEasier,
                 "rating eased from 15 Btu/Wh to 14.5 Btu/Wh"},
        KindCase{
            "Band",
            [](Claim& c) { c.steadiness = {.unit = "K", .band = 0.5, .band_si = 0.5}; },
            [](Claim& c) { c.steadiness->band = 1, c.steadiness->band_si = 1; },
            Ease::kEasier, "band eased from 0.5 K to 1 K"},
        KindCase{"Cut", [](Claim&) {}, [](Claim& c) { c.cuts = {OrderCut()}; },
                 Ease::kEasier, "region shrunk: cut once more"},
        KindCase{"ServedOtherwise", [](Claim& c) { c.serving.emplace(); },
                 [](Claim& c) { c.serving->rule = document::ServingRule::kEvery; },
                 Ease::kUnclear,
                 "the promise is written otherwise (serving stages, or what stands in "
                 "place of a limit)"}),
    [](const auto& test) { return test.param.name; });

TEST(PromiseChange, AllThatChangedIsListed) {
  Claim now = Floor();
  now.limit = 39;
  now.limit_si = 39'000;
  now.confidence = 0.99;
  now.region[0].low = 59;
  now.region[0].low_si = 15;
  std::vector<PromiseFacet> facets;
  for (const PromiseChange& change : ComparePromises(Floor(), now)) {
    facets.push_back(change.facet);
  }
  EXPECT_THAT(facets, ::testing::ElementsAre(PromiseFacet::kLimit, PromiseFacet::kRegion,
                                             PromiseFacet::kConfidence));
}

}  // namespace
}  // namespace ratebound::claim
