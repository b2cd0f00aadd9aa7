#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/claim/decide.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/claim/kinds/machine.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using ::testing::HasSubstr;

constexpr char kEvaporating[] = "saturated_suction_temp";
constexpr char kCondensing[] = "saturated_discharge_temp";

// Invented: evaporating 1 to 7 degC over the wet bulb, condensing 22 to 52 over the
// water.
double Evaporating(double, double wb) { return 1 + 0.5 * (wb - 12); }
double Condensing(double w, double) { return 12 + w; }

TestMachine Machine(double noise_k, Truth evaporating = Evaporating) {
  TestMachine machine;
  machine.Add("full", kEvaporating, std::move(evaporating), kCondensing, Condensing,
              noise_k);
  return machine;
}

Claim Inside(std::vector<document::PolygonVertex> vertices) {
  Claim claim = RegionClaim();
  claim.stage = "full";
  claim.operating_envelope = document::OperatingEnvelope{
      .polygon = {kEvaporating, "degC", kCondensing, "degC", std::move(vertices)}};
  return claim;
}

// An envelope whose corner at low evaporating and high condensing temperature is cut out
// (the shape is common practice, no source; the numbers are invented).
const std::vector<document::PolygonVertex> kDented = {{-10, 20}, {15, 20}, {15, 60},
                                                      {4, 60},   {4, 50},  {-10, 50}};

TEST(OperatingEnvelope, ConvexIsProvenAndRefuted) {
  const TestMachine machine = Machine(0.05);
  const Verdict inside = machine.Decide(Inside({{0, 20}, {8, 20}, {8, 54}, {0, 54}}));
  EXPECT_EQ(inside.outcome, Outcome::kProven) << inside.explanation;
  EXPECT_EQ(inside.unit, "degC");
  // 1 K is the truth's distance from three edges; the band takes some.
  EXPECT_GT(inside.margin, 0.8);
  EXPECT_LT(inside.margin, 1);
  const Verdict outside = machine.Decide(Inside({{2, 20}, {8, 20}, {8, 54}, {2, 54}}));
  ASSERT_EQ(outside.outcome, Outcome::kRefuted) << outside.explanation;
  EXPECT_THAT(outside.explanation,
              HasSubstr("inside of the edge from (2, 54) to (2, 20)"));
  EXPECT_NEAR(outside.estimate, -1, 0.1);
  EXPECT_LT(Evaporating(0, WorstPoint(outside).second), 2);
}

TEST(OperatingEnvelope, ExactDataDecideByTheDistanceItself) {
  const TestMachine machine = Machine(0);
  const Verdict at_edge =
      machine.Decide(Inside({{0.999, 20}, {8, 20}, {8, 54}, {0.999, 54}}));
  EXPECT_EQ(at_edge.outcome, Outcome::kProven) << at_edge.explanation;
  EXPECT_NEAR(at_edge.margin, 0.001, 1e-9);
  // A slanted edge: condensing at most 40 + 5 evaporating misses by 7 K at (1, 52), which
  // both mend by moving 7/6 K.
  const Verdict slanted = machine.Decide(Inside({{0, 20}, {8, 20}, {8, 80}, {0, 40}}));
  EXPECT_EQ(slanted.outcome, Outcome::kRefuted) << slanted.explanation;
  EXPECT_NEAR(slanted.estimate, -7.0 / 6, 1e-9);
  Claim allowed = Inside({{0, 20}, {8, 20}, {8, 54}, {0, 54}});
  allowed.allowance.absolute = 1 - 1e-6;
  EXPECT_NEAR(machine.Decide(allowed).margin, 1e-6, 1e-9);
  allowed.allowance.absolute = 1 + 1e-6;
  EXPECT_EQ(machine.Decide(allowed).outcome, Outcome::kNotShown);
}

// Cut off where the region's cut keeps it from going, the dent is kept out of; the same
// polygon in degF gives the same verdict in degF.
TEST(OperatingEnvelope, ADentIsKeptOutOfWhereTheRegionAllows) {
  const TestMachine machine = Machine(0.05);
  const Verdict whole = machine.Decide(Inside(kDented));
  ASSERT_EQ(whole.outcome, Outcome::kRefuted) << whole.explanation;
  const auto [w, wb] = WorstPoint(whole);
  EXPECT_LT(Evaporating(w, wb), 4);
  EXPECT_GT(Condensing(w, wb), 50);
  // Above 37 degC water only where the wet bulb is above 19.
  Claim cut = Inside(kDented);
  cut.cuts = {{.polygon = document::PolygonCut{
                   "entering_water_temp",
                   "degC",
                   "entering_air_wb",
                   "degC",
                   {{10, 12}, {37, 12}, {37, 19}, {40, 19}, {40, 24}, {10, 24}}}}};
  const Verdict proven = machine.Decide(cut);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  Claim in_f = cut;
  document::PolygonCut& polygon = in_f.operating_envelope->polygon;
  polygon.unit = polygon.other_unit = "degF";
  for (auto& vertex : polygon.vertices) {
    vertex = {vertex.value * 1.8 + 32, vertex.other_value * 1.8 + 32};
  }
  const Verdict same = machine.Decide(in_f);
  EXPECT_EQ(same.outcome, Outcome::kProven);
  EXPECT_EQ(same.unit, "degF");
  EXPECT_NEAR(same.margin, 1.8 * proven.margin, 1e-6);
  EXPECT_NEAR(same.estimate, 1.8 * proven.estimate, 1e-6);
}

// The track crosses the middle of the polygon, where convex pieces would meet.
TEST(OperatingEnvelope, NoEdgeIsSeenInsideOfABentPolygon) {
  const TestMachine machine = Machine(0.3);
  const Verdict verdict =
      machine.Decide(Inside({{-12, 10}, {4, 15}, {20, 10}, {20, 70}, {-12, 70}}));
  EXPECT_EQ(verdict.outcome, Outcome::kProven) << verdict.explanation;
}

TEST(OperatingEnvelope, EveryStageStaysInside) {
  TestMachine machine = Machine(0.05);
  machine.Add(
      "part", kEvaporating, [](double w, double wb) { return Evaporating(w, wb) + 3; },
      kCondensing, Condensing, 0.05);
  Claim claim = Inside({{0, 20}, {8, 20}, {8, 54}, {0, 54}});
  claim.stage.clear();
  claim.serving = document::Serving{.rule = document::ServingRule::kEvery};
  const Verdict verdict = machine.Decide(claim);
  ASSERT_EQ(verdict.outcome, Outcome::kRefuted) << verdict.explanation;
  EXPECT_EQ(verdict.worst_stage, "part");
  claim.serving->rule = document::ServingRule::kSome;
  EXPECT_THAT(machine.TryDecide(claim),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("serving.rule: does not go with")));
}

TEST(OperatingEnvelope, ABandThatStraddlesShowsNothing) {
  const Verdict verdict =
      Machine(0.3).Decide(Inside({{1, 20}, {8, 20}, {8, 54}, {1, 54}}));
  EXPECT_EQ(verdict.reason, NotShownReason::kUncertain) << verdict.explanation;
}

TEST(OperatingEnvelope, AMissingSurfaceIsNoModel) {
  TestMachine machine = Machine(0.05);
  machine.stages[0]->unit.map.surfaces.pop_back();
  const Verdict verdict = machine.Decide(Inside(kDented));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel);
  EXPECT_THAT(verdict.explanation, HasSubstr(kCondensing));
}

TEST(OperatingEnvelope, WrongDocumentsAreNamed) {
  const TestMachine machine = Machine(0.05);
  const auto message = [&](const Claim& claim) {
    return std::string(machine.TryDecide(claim).status().message());
  };
  Claim crossing = Inside({{0, 20}, {8, 54}, {8, 20}, {0, 54}});
  EXPECT_THAT(message(crossing), HasSubstr("claim c: "));
  EXPECT_THAT(message(crossing), HasSubstr("cross"));
  Claim relative = Inside(kDented);
  relative.allowance.relative_fraction = 0.01;
  EXPECT_THAT(message(relative), HasSubstr("allowance.relative_fraction"));
  Claim unlike = Inside(kDented);
  unlike.operating_envelope->polygon.quantity = "total_capacity";
  unlike.operating_envelope->polygon.unit = "kW";
  unlike.allowance.absolute = 1;
  EXPECT_THAT(message(unlike), HasSubstr("measure unlike things"));
  Claim ratio = Inside(kDented);
  ratio.operating_envelope->polygon.quantity = "coefficient_of_performance";
  ratio.operating_envelope->polygon.unit = "W/W";
  EXPECT_THAT(message(ratio), HasSubstr("polygon.quantity: coefficient_of_performance is "
                                        "a ratio"));
  Claim conditions = Inside(kDented);
  conditions.operating_envelope->polygon.quantity = "entering_water_temp";
  conditions.operating_envelope->polygon.other_quantity = "entering_air_wb";
  EXPECT_THAT(message(conditions), HasSubstr("both quantities are conditions"));
}

TEST(OperatingEnvelope, AgreesWithDenseSamplesOfTheTruth) {
  testing::Random random("ENVELOPE_DENSE");
  int proven = 0, refuted = 0;
  for (int run = 0; run < 60; ++run) {
    const double bend = random.Uniform(-0.02, 0.02), tilt = random.Uniform(-0.15, 0.15);
    const Truth evaporating = [=](double w, double wb) {
      return Evaporating(w, wb) + bend * (wb - 18) * (w - 25) + tilt * (w - 25);
    };
    TestMachine machine = Machine(0, evaporating);
    machine.shares = false;
    // kDented with its corners moved.
    std::vector<document::PolygonVertex> polygon = kDented;
    for (auto& vertex : polygon) {
      vertex.value += random.Uniform(-2, 4);
      vertex.other_value += random.Uniform(-3, 7);
    }
    const auto inside = [&](double x, double y) {
      bool in = false;
      for (size_t i = 0; i < polygon.size(); ++i) {
        const auto &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
        if ((a.other_value > y) == (b.other_value > y)) continue;
        in ^= a.value + (b.value - a.value) * (y - a.other_value) /
                            (b.other_value - a.other_value) >
              x;
      }
      return in;
    };
    bool all = true;
    double clear = 1;  // of every edge
    for (const auto& [w, wb] : DenseSamples()) {
      const double x = evaporating(w, wb), y = Condensing(w, wb);
      all = all && inside(x, y);
      for (size_t i = 0; i < polygon.size(); ++i) {
        const auto &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
        const double ux = b.value - a.value, uy = b.other_value - a.other_value;
        const double along = std::clamp(
            ((x - a.value) * ux + (y - a.other_value) * uy) / (ux * ux + uy * uy), 0.0,
            1.0);
        clear = std::min(
            clear, std::hypot(x - a.value - along * ux, y - a.other_value - along * uy));
      }
    }
    const Verdict verdict = machine.Decide(Inside(polygon));
    if (verdict.outcome == Outcome::kProven) {
      ++proven;
      EXPECT_TRUE(all) << run;
    } else if (verdict.outcome == Outcome::kRefuted) {
      ++refuted;
      const auto [w, wb] = WorstPoint(verdict);
      EXPECT_FALSE(inside(evaporating(w, wb), Condensing(w, wb))) << run;
    }
    // Exact data leave nothing open but a draw.
    if (all && clear > 0.05) {
      EXPECT_EQ(verdict.outcome, Outcome::kProven) << run << verdict.explanation;
    }
  }
  EXPECT_GT(proven, 3);
  EXPECT_GT(refuted, 20);
}

}  // namespace
}  // namespace ratebound::claim
