// What holds of every season, over invented units drawn by a seed from the property's
// name.
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "engine/rating/metric.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/counted_allocations.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::SeasonFigureKind;
using testing::Random;

constexpr int kDraws = 200;

// A unit whose capacity rises and whose power falls with heating temperature, or the
// other way round in cooling, with stages that are parts of the largest.
struct Drawn {
  double capacity = 0;  // W at 0 degC
  double capacity_slope = 0;
  double efficiency = 0;
  double efficiency_slope = 0;
  double power_scale = 1;
  double capacity_scale = 1;
  std::vector<double> parts;  // of the stages
};

Drawn Draw(Random& random, document::ModeKind kind, int stages) {
  const bool heating = kind == document::ModeKind::kHeating;
  Drawn drawn;
  drawn.capacity = random.Uniform(5000, 15000);
  drawn.capacity_slope = (heating ? 1 : -1) * random.Uniform(20, 120);
  drawn.efficiency = heating ? random.Uniform(2.2, 4) : random.Uniform(6, 9);
  drawn.efficiency_slope = (heating ? 1 : -1) * random.Uniform(0.01, 0.06);
  for (int i = 0; i < stages; ++i) {
    drawn.parts.push_back((i + random.Uniform(0.8, 1)) / stages);
  }
  drawn.parts.back() = 1;
  return drawn;
}

FunctionFigureSource Source(const document::Procedure& procedure, const Drawn& drawn,
                            std::vector<document::ProcedureInput> inputs) {
  return FunctionFigureSource(
      Machine(procedure, static_cast<int>(drawn.parts.size()), std::move(inputs)),
      [drawn](int stage, std::span<const double> at_si, std::span<double> out) {
        const double part = drawn.parts[static_cast<size_t>(stage)];
        const double full = drawn.capacity + drawn.capacity_slope * at_si[0];
        // Smaller stages have the larger exchangers.
        const double efficiency =
            (drawn.efficiency + drawn.efficiency_slope * at_si[0]) * (1.3 - 0.3 * part);
        out[0] = drawn.capacity_scale * part * full;
        if (out.size() > 1) out[1] = drawn.power_scale * part * full / efficiency;
        return true;
      });
}

struct Kind {
  std::string name;
  std::function<document::Procedure()> procedure;
  int stages = 1;
};

std::vector<Kind> AllKinds() {
  using enum SeasonFigureKind;
  return {
      {"us cooling, two stages", [] { return UsCoolingTwoStage(); }, 2},
      {"us cooling, variable", [] { return UsCoolingVariable(); }, 3},
      {"us heating", [] { return UsHeatingSingle(); }, 1},
      {"eu heating, one stage", [] { return EuHeating(kAnnual); }, 1},
      {"eu heating, stages", [] { return EuHeating(kAnnual); }, 4},
      {"eu cooling",
       [] { return EuCooling(kAnnual, 600, IdleModes(659, 1377, 2036, 0)); }, 3},
      {"process chiller", [] { return Sepr(); }, 2},
      {"iso fixed", [] { return Iso(false); }, 1},
      {"iso variable", [] { return Iso(true); }, 2},
  };
}

std::vector<document::ProcedureInput> Inputs(Random& random, double scale = 1) {
  return {
      {.input = "cooling_capacity_at_95", .value = scale * 9000, .unit = "W"},
      {.input = "h2_was_tested", .value = 1},
      {.input = "design_load", .value = scale * random.Uniform(5000, 14000), .unit = "W"},
      {.input = "operation_limit_temperature", .value = -20, .unit = "degC"},
      {.input = "bivalent_temperature", .value = -6, .unit = "degC"},
      {.input = "thermostat_off_power", .value = scale * 20, .unit = "W"},
      {.input = "standby_power", .value = scale * 10, .unit = "W"},
      {.input = "crankcase_heater_power", .value = scale * 30, .unit = "W"},
      {.input = "off_power", .value = scale * 10, .unit = "W"}};
}

double Rated(const document::Procedure& procedure, const FigureSource& source) {
  const absl::StatusOr<Metric> metric = Metric::Compile(procedure, source.description());
  EXPECT_TRUE(metric.ok()) << metric.status();
  return metric.ok() ? metric->Value(source) : std::nan("");
}

TEST(SeasonProperties, ExplainGivesTheBitsOfValue) {
  Random random("EXPLAIN_GIVES_THE_BITS_OF_VALUE");
  for (const Kind& kind : AllKinds()) {
    const document::Procedure procedure = kind.procedure();
    for (int i = 0; i < 20; ++i) {
      const Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
      const FunctionFigureSource source = Source(procedure, drawn, Inputs(random));
      const auto metric = Metric::Compile(procedure, source.description());
      ASSERT_TRUE(metric.ok()) << kind.name << metric.status();
      const auto rating = metric->Explain(source);
      ASSERT_TRUE(rating.ok()) << kind.name;
      ASSERT_TRUE(rating->value.has_value()) << kind.name << rating->refusal;
      EXPECT_EQ(*rating->value, metric->Value(source)) << kind.name;
      EXPECT_GT(*rating->value, 0.5) << kind.name;
      EXPECT_LT(*rating->value, 60) << kind.name;
    }
  }
}

TEST(SeasonProperties, ValueAllocatesNothing) {
  Random random("VALUE_ALLOCATES_NOTHING");
  for (const Kind& kind : AllKinds()) {
    const document::Procedure procedure = kind.procedure();
    const Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
    const FunctionFigureSource source = Source(procedure, drawn, Inputs(random));
    const auto metric = Metric::Compile(procedure, source.description());
    ASSERT_TRUE(metric.ok()) << kind.name << metric.status();
    const int before = AllocationsOfThread();
    const double value = metric->Value(source);
    EXPECT_EQ(AllocationsOfThread(), before) << kind.name;
    EXPECT_GT(value, 0) << kind.name;
  }
}

TEST(SeasonProperties, MorePowerEverywhereNeverRaisesAMetric) {
  Random random("MORE_POWER_EVERYWHERE_NEVER_RAISES_A_METRIC");
  for (const Kind& kind : AllKinds()) {
    const document::Procedure procedure = kind.procedure();
    for (int i = 0; i < kDraws; ++i) {
      Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
      const auto inputs = Inputs(random);
      const double before = Rated(procedure, Source(procedure, drawn, inputs));
      drawn.power_scale = random.Uniform(1, 1.6);
      const double after = Rated(procedure, Source(procedure, drawn, inputs));
      EXPECT_LE(after, before * (1 + 1e-12)) << kind.name << " draw " << i;
    }
  }
}

TEST(SeasonProperties, ScalingAllCapacitiesPowersAndLoadsChangesNothing) {
  Random random("SCALING_ALL_CHANGES_NOTHING");
  for (const Kind& kind : AllKinds()) {
    const document::Procedure procedure = kind.procedure();
    for (int i = 0; i < kDraws; ++i) {
      Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
      const double scale = random.Uniform(0.01, 50);
      Random same("INPUTS");
      Random again("INPUTS");
      const double before = Rated(procedure, Source(procedure, drawn, Inputs(same)));
      drawn.capacity_scale = drawn.power_scale = scale;
      const double after =
          Rated(procedure, Source(procedure, drawn, Inputs(again, scale)));
      EXPECT_NEAR(after / before, 1, 1e-10) << kind.name << " draw " << i;
    }
  }
}

TEST(SeasonProperties, NetIsNotBelowActiveAndActiveNotBelowAnnual) {
  Random random("NET_ACTIVE_ANNUAL");
  for (const int stages : {1, 3}) {
    for (int i = 0; i < kDraws; ++i) {
      // The order of the three is one of units better than their backup, in each bin.
      Drawn drawn = Draw(random, document::ModeKind::kHeating, stages);
      drawn.efficiency = random.Uniform(3, 4);
      const auto inputs = Inputs(random);
      const auto rated = [&](SeasonFigureKind kind) {
        const document::Procedure procedure = EuHeating(kind);
        return Rated(procedure, Source(procedure, drawn, inputs));
      };
      const double net = rated(SeasonFigureKind::kNet);
      const double active = rated(SeasonFigureKind::kActive);
      const double annual = rated(SeasonFigureKind::kAnnual);
      EXPECT_GE(net, active * (1 - 1e-12));
      EXPECT_GE(active, annual * (1 - 1e-12));
    }
  }
}

TEST(SeasonProperties, MoreIdlePowerNeverHelps) {
  Random random("MORE_IDLE_POWER_NEVER_HELPS");
  const document::Procedure procedure = EuHeating(SeasonFigureKind::kAnnual);
  for (int i = 0; i < kDraws; ++i) {
    const Drawn drawn = Draw(random, document::ModeKind::kHeating, 2);
    std::vector<document::ProcedureInput> inputs = Inputs(random);
    const double before = Rated(procedure, Source(procedure, drawn, inputs));
    document::ProcedureInput& power =
        inputs[5 + static_cast<size_t>(random.Integer(0, 3))];
    power.value += random.Uniform(0, 500);
    EXPECT_LE(Rated(procedure, Source(procedure, drawn, inputs)), before);
  }
}

// Of the heat that is asked for, what the unit gives.
double ShareCovered(const document::Procedure& procedure, const FigureSource& source) {
  const auto metric = Metric::Compile(procedure, source.description());
  EXPECT_TRUE(metric.ok()) << metric.status();
  const auto rating = metric->Explain(source);
  EXPECT_TRUE(rating.ok());
  double load = 0;
  double given = 0;
  for (const document::BinRow& bin : rating->bins) {
    load += bin.weight * bin.load_w;
    given += bin.weight * bin.capacity_w;
  }
  return given / load;
}

TEST(SeasonProperties, ColderClimateNeverRaisesTheShareCoveredWithoutBackup) {
  Random random("COLDER_CLIMATE_NEVER_RAISES_THE_SHARE");
  for (int i = 0; i < kDraws; ++i) {
    const Drawn drawn = Draw(random, document::ModeKind::kHeating, 1);
    const auto inputs = Inputs(random);
    double before = 2;
    for (const document::BinTable& bins :
         {EuWarmerBins(), EuAverageBins(), EuColderBins()}) {
      // The same unit, load line and points; only the hours differ.
      const document::Procedure procedure = EuHeating(SeasonFigureKind::kActive, bins);
      const double share = ShareCovered(procedure, Source(procedure, drawn, inputs));
      EXPECT_LE(share, before + 1e-12) << "draw " << i;
      before = share;
    }
  }
}

TEST(SeasonProperties, MetricsAreContinuousInCapacityButForWindows) {
  Random random("METRICS_ARE_CONTINUOUS");
  for (const Kind& kind : AllKinds()) {
    // Stages within a window are used as they are, so that those jump by design.
    const document::Procedure procedure = kind.procedure();
    if (SeasonOf(const_cast<document::Procedure&>(procedure)).declared &&
        kind.stages > 1) {
      continue;
    }
    for (int i = 0; i < kDraws; ++i) {
      Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
      const auto inputs = Inputs(random);
      const double before = Rated(procedure, Source(procedure, drawn, inputs));
      drawn.capacity *= 1 + 1e-9;
      const double after = Rated(procedure, Source(procedure, drawn, inputs));
      EXPECT_NEAR(after / before, 1, 1e-6) << kind.name << " draw " << i;
    }
  }
}

// Limits that any implementation must meet: constant efficiency, no degradation, no
// backup, no idle energy.
TEST(SeasonLimits, ConstantEfficiencyIsTheMetric) {
  Random random("CONSTANT_EFFICIENCY_IS_THE_METRIC");
  for (const Kind& kind : AllKinds()) {
    document::Procedure procedure = kind.procedure();
    BinSeason& season = SeasonOf(procedure);
    season.idle_modes.clear();
    season.degradation->default_coefficient =
        Value(season.degradation->form == document::DegradationForm::kOffPower ? 1 : 0);
    // Large enough to need no backup.
    if (season.load.design_load.has_value()) season.load.design_load = Number(100, "W");
    season.load.factors.clear();
    season.load.divisors.clear();
    for (int i = 0; i < 20; ++i) {
      const double efficiency = random.Uniform(1.5, 8);
      Drawn drawn = Draw(random, procedure.mode_kind, kind.stages);
      drawn.efficiency_slope = 0;
      // Defaults factor power apart from capacity; the others are tested.
      for (document::SeasonTest& test : season.tests) test.fallback.reset();
      const FunctionFigureSource source(
          Machine(procedure, kind.stages, Inputs(random)),
          [drawn, efficiency](int stage, std::span<const double> at_si,
                              std::span<double> out) {
            out[0] = drawn.parts[static_cast<size_t>(stage)] *
                     (drawn.capacity + drawn.capacity_slope * at_si[0]);
            if (out.size() > 1) out[1] = out[0] / efficiency;
            return true;
          });
      EXPECT_NEAR(Rated(procedure, source) / (procedure.unit_constant.value * efficiency),
                  1, 1e-12)
          << kind.name;
    }
  }
}

TEST(SeasonLimits, LoadEqualToCapacityInEveryBinIsThePlainMean) {
  // Capacity on the load line of ISO 16358-1: X = 1 everywhere, so no cycling counts.
  document::Procedure procedure = Iso(false);
  SeasonOf(procedure).tests[1].fallback.reset();
  const double powers[] = {1000, 800};
  const auto capacity = [](double t) { return 3500 * (t - 20) / 15; };
  const FunctionFigureSource unit = ByRows(
      procedure, 1, {{0, 35, capacity(35), powers[0]}, {0, 29, capacity(29), powers[1]}},
      "W", "W");
  double given = 0;
  double used = 0;
  for (const document::Bin& bin : IsoT1Bins().bins) {
    given += bin.weight * capacity(bin.temperature);
    used += bin.weight * (800 + (1000 - 800) * (bin.temperature - 29) / 6);
  }
  EXPECT_GT(given, 0);
  EXPECT_NEAR(Rated(procedure, unit) / (given / used), 1, 1e-12);
}

TEST(SeasonLimits, ABinOfNoLoadIsOff) {
  document::Procedure procedure = Iso(false);
  BinSeason& season = SeasonOf(procedure);
  const FunctionFigureSource unit = ByRows(procedure, 1, {{0, 35, 3500, 1000}}, "W", "W");
  const double before = Rated(procedure, unit);
  season.climates[0].bins->bins.push_back({20, 1000});
  season.climates[0].bins->bins.push_back({10, 1000});
  EXPECT_EQ(Rated(procedure, unit), before);
}

}  // namespace
}  // namespace ratebound::rating
