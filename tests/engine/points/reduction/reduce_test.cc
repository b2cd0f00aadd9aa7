// What holds for every reduction: faults, gradients, bits, columns.
#include "engine/points/reduction/reduce.h"

#include <bit>
#include <cmath>
#include <cstdint>

#include "engine/points/reduction/column_kernels.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/reduction/reduction_rig.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using document::AirFlowSource;
using document::ModeKind;
using ::testing::HasSubstr;
using testing::Random;
using testing::StatusIs;
using GradientDual = number::Dual<kGradientWidth>;

Rig FlowRig() {
  Rig rig = CoilRig({.method = kIp, .flow = AirFlowSource::kStandardAirFlow});
  rig.Read("standard_air_flow", 1200, "cfm");
  return rig;
}

struct Impossible {
  const char* name;
  const char* quantity;
  double value;
  const char* unit;
  const char* message;
};
const Impossible kImpossible[] = {
    {"NegativeFlow", "standard_air_flow", -1, "cfm", "standard_air_flow"},
    {"NoNumber", "entering_air_db", NAN, "degC", "entering_air_db"},
    {"PressureOfTheMoon", "barometric_pressure", 1, "Pa", "barometric_pressure"},
    {"WetBulbAboveDryBulb", "entering_air_wb", 81, "degF",
     "entering_air_wb of 27.2222222222222"},
    {"WetBulbTooLow", "entering_air_wb", 40, "degF", "lower than dry air"},
};

TEST(Faults, NameTheQuantityAndTheLimit) {
  for (const Impossible& reading : kImpossible) {
    Rig rig = FlowRig();
    rig.Read(reading.quantity, reading.value, reading.unit);
    EXPECT_THAT(rig.Reduce(),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(reading.message)))
        << reading.name;
  }
}

TEST(Faults, AMissingReadingIsNamedWithWhatWouldServe) {
  Rig rig = FlowRig();
  rig.Forget("entering_air_wb").Forget("leaving_air_db").Forget("standard_air_flow");
  const absl::Status status = rig.Reduce();
  for (const char* part :
       {"no humidity of the entering air was read; one of entering_air_wb, "
        "entering_air_dew_point, entering_air_relative_humidity and "
        "entering_air_humidity_ratio serves",
        "leaving_air_db was not read", "standard_air_flow was not read"}) {
    EXPECT_THAT(std::string(status.message()), HasSubstr(part));
  }
}

TEST(Faults, AirHoldsNoMoreWaterThanItCan) {
  Rig rig = FlowRig();
  rig.Forget("leaving_air_wb").Read("leaving_air_humidity_ratio", 0.012, "kg/kg");
  EXPECT_THAT(rig.Reduce(), StatusIs(absl::StatusCode::kInvalidArgument,
                                     HasSubstr("the most that air of")));
}

TEST(Steps, LeadToTheResultInTheMethodsUnits) {
  Rig rig = FlowRig();
  const double total = rig.In("total_capacity", "Btu/h");
  EXPECT_GT(rig.steps().size(), 15);
  EXPECT_NEAR(rig.StepValue("net total cooling capacity"), total, 1e-9 * total);
  int memory = 0;
  for (const document::TraceStep& step : rig.steps()) {
    EXPECT_FALSE(step.label.empty());
    EXPECT_FALSE(step.unit.empty()) << step.label;
    EXPECT_FALSE(step.how.empty()) << step.label;
    EXPECT_TRUE(std::isfinite(step.value)) << step.label;
    memory += step.basis == document::Basis::kMemory ? 1 : 0;
  }
  EXPECT_GT(memory, 4);
}

// A rig with every reading moved at random within a little.
void Shake(Rig& rig, Random& random) {
  for (size_t i = 0; i < rig.readings().values.size(); ++i) {
    auto& reading = rig.readings().values[i];
    if (reading.has_value()) *reading *= 1 + random.Uniform(-0.02, 0.02);
  }
}

struct Case {
  const char* name;
  Rig (*make)();
};
const Case kCases[] = {
    {"cooling IP", [] { return WholeRig(ModeKind::kCooling, kIp); }},
    {"cooling SI", [] { return WholeRig(ModeKind::kCooling, kSi); }},
    {"heating IP", [] { return WholeRig(ModeKind::kHeating, kIp); }},
    {"heating SI", [] { return WholeRig(ModeKind::kHeating, kSi); }},
    {"standard flow", FlowRig},
    {"dew points",
     [] {
       Rig rig = FlowRig();
       rig.Forget("entering_air_wb").Read("entering_air_dew_point", 60, "degF");
       rig.Forget("leaving_air_wb").Read("leaving_air_relative_humidity", 0.9, "1");
       return rig;
     }},
};

TEST(Gradients, AreThoseOfCentralDifferences) {
  Random random("REDUCTION_GRADIENTS");
  for (const Case& c : kCases) {
    for (int round = 0; round < 8; ++round) {
      Rig rig = c.make();
      Shake(rig, random);
      Results<double> results;
      std::vector<double> gradients;
      ASSERT_THAT(ReduceWithGradients(rig.plan(), rig.readings(), results, gradients),
                  testing::IsOk())
          << c.name;
      const size_t inputs = rig.plan().inputs().size();
      for (size_t i = 0; i < inputs; ++i) {
        if (!rig.readings().values[i].has_value()) continue;
        const double at = *rig.readings().values[i];
        const double step = 1e-5 * std::max(std::fabs(at), 0.01);
        Results<double> low, high;
        rig.readings().values[i] = at - step;
        ASSERT_TRUE(Reduce(rig.plan(), rig.readings(), low).ok());
        rig.readings().values[i] = at + step;
        ASSERT_TRUE(Reduce(rig.plan(), rig.readings(), high).ok());
        rig.readings().values[i] = at;
        for (size_t output = 0; output < results.values.size(); ++output) {
          if (!results.values[output].has_value()) continue;
          const double expected =
              (*high.values[output] - *low.values[output]) / (2 * step);
          // The differences lose 1e-16 of the value over the step.
          const double noise = 1e-10 * std::fabs(*results.values[output]) / step;
          EXPECT_NEAR(gradients[output * inputs + i], expected,
                      1e-6 * std::fabs(expected) + noise * 1e-1 + 1e-12)
              << c.name << ": " << rig.plan().outputs()[output] << " by "
              << rig.plan().inputs()[i];
        }
      }
    }
  }
}

TEST(Bits, DualNumbersCarryTheSameValues) {
  Random random("REDUCTION_DUAL_BITS");
  for (const Case& c : kCases) {
    Rig rig = c.make();
    Shake(rig, random);
    Results<double> plain;
    ASSERT_THAT(Reduce(rig.plan(), rig.readings(), plain), testing::IsOk()) << c.name;
    Readings<GradientDual> duals(rig.plan());
    for (size_t i = 0; i < duals.values.size(); ++i) {
      if (!rig.readings().values[i].has_value()) continue;
      duals.values[i] = GradientDual::Variable(*rig.readings().values[i],
                                               static_cast<int>(i) % kGradientWidth);
    }
    Results<GradientDual> dual;
    ASSERT_THAT(Reduce(rig.plan(), duals, dual), testing::IsOk());
    for (size_t output = 0; output < plain.values.size(); ++output) {
      ASSERT_EQ(plain.values[output].has_value(), dual.values[output].has_value());
      if (!plain.values[output].has_value()) continue;
      EXPECT_EQ(std::bit_cast<uint64_t>(*plain.values[output]),
                std::bit_cast<uint64_t>(dual.values[output]->value))
          << c.name << ": " << rig.plan().outputs()[output];
    }
  }
}

TEST(Bits, RecordingChangesNothing) {
  Rig rig = WholeRig(ModeKind::kCooling, kIp);
  Results<double> plain, recorded;
  StepRecorder steps;
  ASSERT_TRUE(Reduce(rig.plan(), rig.readings(), plain).ok());
  ASSERT_TRUE(Reduce(rig.plan(), rig.readings(), recorded, &steps).ok());
  EXPECT_EQ(plain.values, recorded.values);
  EXPECT_GT(steps.steps().size(), 40);
}

// Columns of readings around those of a rig, some of them beyond what can be computed.
struct Table {
  Table(Rig& rig, Random& random, size_t points, double spread)
      : plan(rig.plan()), columns(plan.inputs().size()), inputs(columns.size()) {
    for (size_t i = 0; i < columns.size(); ++i) {
      const auto& reading = rig.readings().values[i];
      if (!reading.has_value()) continue;
      columns[i].resize(points);
      for (double& x : columns[i]) {
        x = *reading * (1 + random.Uniform(-spread, spread));
      }
      inputs[i] = columns[i];
    }
  }

  ColumnOutputs Wanted(const std::vector<std::string>& names, bool uncertainty) {
    ColumnOutputs out;
    out.values.resize(plan.outputs().size());
    out.standard_uncertainties.resize(uncertainty ? plan.outputs().size() : 0);
    const size_t points =
        inputs[static_cast<size_t>(plan.InputIndex("entering_air_db"))].size();
    results.assign(2 * names.size(), std::vector<double>(points, -1));
    for (size_t r = 0; r < names.size(); ++r) {
      const auto output = static_cast<size_t>(plan.OutputIndex(names[r]));
      out.values[output] = results[2 * r];
      if (uncertainty) out.standard_uncertainties[output] = results[2 * r + 1];
    }
    return out;
  }

  const ReductionPlan& plan;
  std::vector<std::vector<double>> columns;
  std::vector<std::span<const double>> inputs;
  std::vector<std::vector<double>> results;
};

std::vector<std::string> NamesFor(const ReductionPlan& plan) {
  std::vector<std::string> names;
  for (const char* name :
       {"air_mass_flow", "standard_air_flow", "air_flow", "nozzle_throat_velocity",
        "total_capacity", "sensible_capacity", "latent_capacity", "sensible_heat_ratio",
        "moisture_removal", "heating_capacity", "entering_air_humidity_ratio"}) {
    if (plan.OutputIndex(name) >= 0) names.emplace_back(name);
  }
  return names;
}

Rig NozzleTableRig() {
  Rig rig = CoilRig(Nozzles("nozzle-flow-reynolds", {5, 3}));
  rig.Read("nozzle_pressure_drop", 400, "Pa").Read("nozzle_air_db", 60, "degF");
  return rig;
}
Rig HeatingTableRig() {
  Rig rig = Heating({.method = kSi, .flow = AirFlowSource::kEnteringAirFlow});
  rig.Read("entering_air_db", 20, "degC")
      .Read("entering_air_relative_humidity", 0.5, "1");
  rig.Read("leaving_air_db", 38, "degC").Read("air_flow", 0.5, "m3/s");
  return rig;
}
const Case kTables[] = {{"nozzles", NozzleTableRig},
                        {"heating", HeatingTableRig},
                        {"standard flow", FlowRig},
                        {"whole", [] { return WholeRig(ModeKind::kCooling, kSi); }}};

TEST(Columns, HaveTheBitsOfTheirPointsAndRefuseTheSame) {
  Random random("COLUMN_BITS");
  int refused_in_all = 0;
  for (const Case& c : kTables) {
    for (const double spread : {0.01, 0.5}) {
      Rig rig = c.make();
      const size_t points = 601;  // no multiple of lanes or blocks
      Table table(rig, random, points, spread);
      const auto names = NamesFor(rig.plan());
      const ColumnOutputs out = table.Wanted(names, false);
      ASSERT_OK_AND_ASSIGN(const int64_t refused,
                           ReduceColumns(rig.plan(), table.inputs, {}, out));
      refused_in_all += static_cast<int>(refused);
      int64_t expected_refused = 0;
      for (size_t point = 0; point < points; ++point) {
        for (size_t i = 0; i < table.inputs.size(); ++i) {
          if (!table.inputs[i].empty()) rig.readings().values[i] = table.inputs[i][point];
        }
        Results<double> one;
        const bool ok = Reduce(rig.plan(), rig.readings(), one).ok();
        expected_refused += ok ? 0 : 1;
        for (size_t r = 0; r < names.size(); ++r) {
          const double value = table.results[2 * r][point];
          const auto expected = one.Find(rig.plan(), names[r]);
          if (!ok || !expected.has_value()) {
            EXPECT_TRUE(std::isnan(value)) << c.name << ": " << names[r];
          } else {
            EXPECT_EQ(std::bit_cast<uint64_t>(value), std::bit_cast<uint64_t>(*expected))
                << c.name << ": " << names[r] << " of point " << point << ": " << value
                << " against " << *expected;
          }
        }
      }
      EXPECT_EQ(refused, expected_refused) << c.name;
    }
  }
  EXPECT_GT(refused_in_all, 100);
}

TEST(Columns, UncertaintyIsThatOfTheGradients) {
  Random random("COLUMN_UNCERTAINTY");
  for (const Case& c : kTables) {
    Rig rig = c.make();
    Table table(rig, random, 37, 0.01);
    std::vector<double> uncertainties;
    for (size_t i = 0; i < table.inputs.size(); ++i) {
      const auto& reading = rig.readings().values[i];
      uncertainties.push_back(std::fabs(reading.value_or(0)) * random.Uniform(0, 0.01));
    }
    const auto names = NamesFor(rig.plan());
    const ColumnOutputs out = table.Wanted(names, true);
    ASSERT_THAT(ReduceColumns(rig.plan(), table.inputs, uncertainties, out),
                testing::IsOk());
    const size_t inputs = table.inputs.size();
    for (size_t point = 0; point < 37; ++point) {
      for (size_t i = 0; i < inputs; ++i) {
        if (!table.inputs[i].empty()) rig.readings().values[i] = table.inputs[i][point];
      }
      Results<double> one;
      std::vector<double> gradients;
      const bool ok =
          ReduceWithGradients(rig.plan(), rig.readings(), one, gradients).ok();
      for (size_t r = 0; r < names.size(); ++r) {
        const auto output = static_cast<size_t>(rig.plan().OutputIndex(names[r]));
        double variance = 0;
        for (size_t i = 0; ok && i < inputs; ++i) {
          const double part = gradients[output * inputs + i] * uncertainties[i];
          variance += part * part;
        }
        if (!ok) continue;
        EXPECT_EQ(table.results[2 * r][point], *one.values[output]);
        EXPECT_NEAR(table.results[2 * r + 1][point], std::sqrt(variance),
                    1e-11 * std::sqrt(variance))
            << c.name << ": " << names[r];
      }
    }
  }
}

TEST(Columns, BothBuildsOfTheKernelsHaveTheSameBits) {
  if (__builtin_cpu_supports("avx2") == 0) GTEST_SKIP() << "no AVX2 here";
  Random random("COLUMN_KERNEL_BITS");
  ColumnJob job;
  job.inch_pound = true;
  job.constants = {.dry_air_specific_heat = 0.24,
                   .water_vapour_specific_heat = 0.444,
                   .latent_heat = 1061,
                   .standard_air_density = 0.075,
                   .power_heat = 3.41,
                   .standard_air_is_mixture = true,
                   .flow = FlowReading::kNozzles,
                   .nozzle_flow_constant = 1097,
                   .water_columns_per_pa = 1 / 248.84,
                   .coefficient_constant = 0.9986,
                   .coefficient_root_term = 7.006,
                   .coefficient_inverse_term = 134.6,
                   .viscosity_at_zero = 11.0e-6,
                   .viscosity_slope = 0.018e-6,
                   .nozzle_sizes = 1};
  job.constants.nozzles[0] = {.diameter = 5.0 / 12, .area = 0.136};
  const double low[kAirColumns] = {20, 12, 8, 5, 9e4, 20, 5, 10, 0, 0};
  const double high[kAirColumns] = {40, 19, 18, 8, 1.05e5, 900, 30, 40, 0.01, 500};
  std::vector<std::vector<double>> columns(kAirColumns, std::vector<double>(255));
  for (int c = 0; c < kAirColumns; ++c) {
    for (double& x : columns[c]) x = random.Uniform(low[c], high[c]);
    job.columns[c] = columns[c].data();
    job.low[c] = low[c];
    job.high[c] = high[c];
    job.standard_uncertainty[c] = 0.01 * high[c];
  }
  std::vector<double> values[2][kAirResults], uncertainties[2][kAirResults];
  const ColumnKernel kernels[] = {kBaselineColumnKernel, kAvx2ColumnKernel};
  for (int k = 0; k < 2; ++k) {
    for (int r = 0; r < kAirResults; ++r) {
      values[k][r].assign(255, 0);
      uncertainties[k][r].assign(255, 0);
      job.values[r] = values[k][r].data();
      job.uncertainties[r] = uncertainties[k][r].data();
    }
    unsigned char left[kColumnBlock];
    kernels[k](job, 0, 255, true, left);
  }
  for (int r = 0; r < kAirResults; ++r) {
    for (size_t i = 0; i < 255; ++i) {
      EXPECT_EQ(std::bit_cast<uint64_t>(values[0][r][i]),
                std::bit_cast<uint64_t>(values[1][r][i]));
      EXPECT_EQ(std::bit_cast<uint64_t>(uncertainties[0][r][i]),
                std::bit_cast<uint64_t>(uncertainties[1][r][i]));
    }
  }
}

TEST(Columns, ThatDoNotFitAreRefused) {
  Random random("COLUMN_SHAPES");
  Rig rig = FlowRig();
  Table table(rig, random, 10, 0.01);
  ColumnOutputs out = table.Wanted({"total_capacity"}, false);
  auto inputs = table.inputs;
  inputs[0] = inputs[0].subspan(1);
  EXPECT_THAT(ReduceColumns(rig.plan(), inputs, {}, out),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("column")));
  inputs = table.inputs;
  inputs[static_cast<size_t>(rig.plan().InputIndex("entering_air_wb"))] = {};
  EXPECT_THAT(
      ReduceColumns(rig.plan(), inputs, {}, out),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no humidity of the")));
}

}  // namespace
}  // namespace ratebound::points
