// What the parsers read of instruments, reductions, logs, curves and methods.
#include <string>

#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;
using ::testing::DoubleEq;
using ::testing::ElementsAre;
using ::testing::Optional;

TEST(LabValue, ReductionIsRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kLabManifest));
  const Mode& mode = line.units[0].modes[0];
  EXPECT_EQ(mode.steadiness_method, "steady");
  ASSERT_TRUE(mode.reduction.has_value());
  const Reduction& reduction = *mode.reduction;
  ASSERT_TRUE(reduction.air_side.has_value());
  EXPECT_EQ(reduction.air_side->flow, AirFlowSource::kNozzles);
  EXPECT_EQ(reduction.air_side->entering_phase, WaterPhase::kWater);
  EXPECT_EQ(reduction.air_side->leaving_phase, WaterPhase::kIce);
  EXPECT_EQ(reduction.air_side->moisture, MoistureSource::kCondensate);
  EXPECT_EQ(reduction.air_side->duct_loss_w_per_k, 2.5);
  // An inch is 25.4 mm.
  EXPECT_THAT(reduction.air_side->nozzles[0].diameter_m, DoubleEq(0.127));
  EXPECT_EQ(reduction.air_side->nozzles[0].count, 2);
  EXPECT_THAT(reduction.air_side->nozzles[1].diameter_m, DoubleEq(0.08));
  EXPECT_EQ(reduction.liquid_sides[0].role, LiquidRole::kCapacity);
  EXPECT_THAT(reduction.liquid_sides[0].concentration_fraction, Optional(0.25));
  EXPECT_EQ(reduction.liquid_sides[0].pressure_pa, 250000);
  EXPECT_EQ(reduction.corrections[1].kind, FanPumpCase::kPumpAbsent);
  EXPECT_TRUE(reduction.corrections[1].on_capacity_side);
  EXPECT_EQ(reduction.capacity_basis, CapacityBasis::kMean);
  EXPECT_THAT(reduction.balance_limit_fraction, Optional(0.06));
  EXPECT_EQ(reduction.inputs[0].value, 1061);
  EXPECT_EQ(reduction.refrigerant_saturation->entries[1].pressure_pa, 1600000);
}

TEST(LabValue, InstrumentsAreRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kLabManifest));
  EXPECT_EQ(line.columns[0].instrument, "rtd");
  EXPECT_EQ(line.columns[0].statistic, ReadingStatistic::kMean);
  EXPECT_EQ(line.columns[1].statistic, ReadingStatistic::kStandardDeviation);
  EXPECT_EQ(line.columns[2].label, ColumnLabel::kTestedOn);
  EXPECT_EQ(line.point_files[0].tested_on, "2026-03-31");
  EXPECT_EQ(line.point_files[0].reading_count, 30);
  EXPECT_EQ(line.point_files[1].curve, "coil");
  const Instrument& rtd = line.instruments[0];
  EXPECT_EQ(rtd.due_on, "2026-06-01");
  EXPECT_THAT(rtd.reads, ElementsAre("entering_water_temp", "leaving_water_temp"));
  EXPECT_THAT(rtd.resolution, Optional(0.01));
  EXPECT_EQ(rtd.accuracies[0].distribution, AccuracyDistribution::kNormal);
  EXPECT_THAT(rtd.accuracies[0].coverage_factor, Optional(2));
  EXPECT_FALSE(rtd.accuracies[0].relative_fraction.has_value());
  EXPECT_FALSE(rtd.accuracies[0].random);
  EXPECT_TRUE(rtd.accuracies[1].random);
  EXPECT_FALSE(rtd.accuracies[1].degrees_of_freedom.has_value());
  EXPECT_THAT(line.instruments[1].accuracies[0].relative_fraction, Optional(0.002));
  EXPECT_EQ(line.reading_correlations[0].coefficient, 0.5);
}

TEST(LabValue, LogsAreRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kLabManifest));
  const LogFile& steady = line.log_files[0];
  EXPECT_THAT(steady.off_stages, ElementsAre("0", "off"));
  EXPECT_EQ(steady.time.format, "%H:%M:%S");
  EXPECT_THAT(steady.time.longest_step_s, Optional(30));
  EXPECT_EQ(steady.stuck_after_s, 900);
  EXPECT_EQ(steady.ignored_spans[1].first_line, 41);
  EXPECT_FALSE(steady.frost_cycles.has_value());
  ASSERT_TRUE(steady.steady_windows.has_value());
  const SteadyWindows& windows = *steady.steady_windows;
  EXPECT_EQ(windows.length_s, 1800);
  EXPECT_THAT(windows.set_points[0].value_si, DoubleEq((80 - 32) / 1.8));
  // Tolerances are differences: 9 degF are 5 K, whichever unit says it.
  const TestTolerance& air = windows.tolerances[0];
  EXPECT_THAT(air.greatest_spread->absolute_si, DoubleEq(1));
  EXPECT_THAT(air.greatest_deviation->absolute_si, DoubleEq(0.5));
  EXPECT_THAT(air.greatest_standard_deviation->absolute_si, DoubleEq(0.5));
  EXPECT_THAT(air.mean_deviation->absolute_si, DoubleEq(0.5 / 1.8));
  EXPECT_EQ(air.citation.basis, Basis::kMemory);
  EXPECT_THAT(windows.tolerances[1].greatest_spread->relative_fraction, Optional(0.02));
  EXPECT_FALSE(windows.tolerances[1].mean_deviation.has_value());
  EXPECT_EQ(line.log_files[1].frost_cycles->least_cycles, 2);
  EXPECT_EQ(line.log_files[2].on_off_cycles->steady_point, "day1.csv:2");
}

TEST(LabValue, CurvesAreRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kLabManifest));
  const CurveRequest& coil = line.units[0].curves[0];
  EXPECT_EQ(coil.kind, CurveKind::kLiquidPressureDrop);
  EXPECT_EQ(coil.temperature, "entering_water_temp");
  EXPECT_THAT(coil.concentration_fraction, Optional(0.3));
  EXPECT_EQ(line.units[0].curves[1].kind, CurveKind::kFan);
}

TEST(LabValue, WhatIsNotWrittenHasItsDefault) {
  std::string text = With(kLabManifest, "        pressure_pa: 250000\n", "");
  text = With(text, "  stuck_after_s: 900\n", "");
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", text));
  EXPECT_EQ(line.log_files[0].stuck_after_s, 1800);
  const Reduction& reduction = *line.units[0].modes[0].reduction;
  EXPECT_EQ(reduction.liquid_sides[0].pressure_pa, 300000);
  EXPECT_EQ(reduction.air_side->nozzles[1].count, 1);
  EXPECT_FALSE(reduction.liquid_sides[1].concentration_fraction.has_value());
}

TEST(LabValue, MethodKeepsItsOwnUnits) {
  ASSERT_OK_AND_ASSIGN(const MeasurementMethod method, ParseMethod("m", kMethod));
  EXPECT_EQ(method.kind, MethodKind::kSteadiness);
  EXPECT_EQ(method.numbers[0].value.value, 30);
  EXPECT_EQ(method.numbers[0].value.unit, "min");
  EXPECT_EQ(method.rules[0].choice.text, "inch_pound");
  EXPECT_EQ(method.rules[0].choice.citation.basis, Basis::kPublishedText);
  EXPECT_THAT(method.tolerances[0].greatest_spread->absolute_si, DoubleEq(2 / 1.8));
  EXPECT_EQ(method.tolerances[0].greatest_spread->absolute, 2);
  EXPECT_EQ(method.required_inputs[0].name, "equilibrium_time");
  EXPECT_THAT(method.notes, ElementsAre("not a certified test"));
}

struct SoundChange {
  std::string name;
  std::string from;
  std::string to;
};

class LabManifestStaysSound : public ::testing::TestWithParam<SoundChange> {};
TEST_P(LabManifestStaysSound, WhereItSaysTheSameOtherwise) {
  const std::string text = With(kLabManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_THAT(ParseLineManifest("l", text), IsOk());
}

INSTANTIATE_TEST_SUITE_P(
    LabValue, LabManifestStaysSound,
    ::testing::Values(
        SoundChange{"DateAndTimePattern", "format: \"%H:%M:%S\"",
                    "format: \"%d.%m.%Y %H:%M\""},
        SoundChange{"PatternWithoutSeparators", "format: \"%H:%M:%S\"",
                    "format: \"%Y%m%dT%H%M%S\""},
        SoundChange{"MinutesAsNumbers", "format: \"%H:%M:%S\"", "format: \"min\""},
        SoundChange{"StuckNever", "stuck_after_s: 900", "stuck_after_s: 0"},
        SoundChange{"ToleranceOfTheMethodAlone",
                    "    tolerances {\n      quantity: \"water_flow\"\n      "
                    "greatest_spread { relative_fraction: 0.02 }\n      citation { "
                    "source: \"our practice\" basis: BASIS_MEMORY }\n    }\n",
                    ""},
        SoundChange{"LeapDay", "calibrated_on: \"2025-06-01\"",
                    "calibrated_on: \"2024-02-29\""},
        SoundChange{"CalibratedOnItsLastDay", "calibrated_on: \"2025-06-01\"",
                    "calibrated_on: \"2026-06-01\""},
        SoundChange{"AccuracyZero", "absolute: 3\n", "absolute: 0\n"},
        SoundChange{"CorrelationFull", "coefficient: 0.5", "coefficient: -1"},
        SoundChange{"GlycolMeasured", "        concentration_fraction: 0.25\n", ""},
        SoundChange{"OneSideNeedsNoBasis", "role: LIQUID_ROLE_CAPACITY",
                    "role: LIQUID_ROLE_HEAT_ABSORBED"},
        SoundChange{"SpreadInAUnitOfTheQuantity", "unit: \"delta_degF\"\n  statistic",
                    "unit: \"degF\"\n  statistic"}),
    [](const ::testing::TestParamInfo<SoundChange>& test) { return test.param.name; });

}  // namespace
}  // namespace ratebound::document
