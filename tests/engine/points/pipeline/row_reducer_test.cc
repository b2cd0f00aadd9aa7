// A frost log without a column of capacity is integrated from what its rows reduce to.
#include "engine/points/pipeline/row_reducer.h"

#include <optional>
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/points/log/log_intake.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/pipeline/pipeline_line.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

document::LineManifest HeatingLine() {
  document::LineManifest line = AirLine();
  document::Mode& mode = ModeOf(line);
  mode.id = "heating";
  mode.kind = document::ModeKind::kHeating;
  mode.capacity_quantity = "heating_capacity";
  mode.conditions = {"outdoor_air_db"};
  document::LogFile log{
      .path = "logs/frost.csv", .unit = "u", .mode = "heating", .stage = "1"};
  log.time = {.header = "t", .format = "s"};
  log.frost_cycles = {.signal = "defrost",
                      .threshold = 0.5,
                      .least_cycles = 3,
                      .least_time_s = 3600,
                      .most_time_s = 12000};
  log.columns = {{.header = "defrost", .unused_reason = "state"}};
  log.stuck_after_s = 0;
  line.log_files = {std::move(log)};
  return line;
}

// Readings of one row, in SI.
struct Row {
  double leaving_c = 0;
  double flow_m3_s = 0;
  bool defrosting = false;
};

// Rows 10 s apart; cycles of 1500 s that end in 120 s of defrost. The coil ices up, so
// the leaving air and the flow fall.
Row RowAt(int s) {
  const int of_cycle_s = s % 1500;
  const bool defrosting = of_cycle_s >= 1380;
  return {.leaving_c = defrosting ? 18 : 38 - of_cycle_s / 200.0,
          .flow_m3_s = 0.5 - of_cycle_s / 20000.0,
          .defrosting = defrosting};
}

std::vector<RowReading> ReadingsOf(const Row& row) {
  return {{"outdoor_air_db", 1},
          {"entering_air_db", 20},
          {"entering_air_wb", 13},
          {"leaving_air_db", row.leaving_c},
          {"leaving_air_wb", 13 + (row.leaving_c - 20) / 3},
          {"standard_air_flow", row.flow_m3_s},
          {"power_input", 2400}};
}

std::string FrostLog(const RowReducer& reduce, bool with_capacity) {
  std::string text =
      "t,defrost,outdoor_air_db[degC],entering_air_db[degC],entering_air_wb[degC],"
      "leaving_air_db[degC],leaving_air_wb[degC],standard_air_flow[m3/s],power_input[W]";
  text += with_capacity ? ",heating_capacity[W]\n" : "\n";
  for (int s = 0; s <= 7600; s += 10) {
    const Row row = RowAt(s);
    absl::StrAppendFormat(&text, "%d,%d", s, row.defrosting ? 1 : 0);
    const std::vector<RowReading> readings = ReadingsOf(row);
    for (const RowReading& reading : readings) {
      absl::StrAppendFormat(&text, ",%.17g", reading.value_si);
    }
    if (with_capacity) {
      absl::StrAppendFormat(&text, ",%.17g", *reduce(readings).capacity_w);
    }
    text += "\n";
  }
  return text;
}

LogResult Cut(const document::LineManifest& line, const std::string& text,
              RowReducer reducer) {
  auto intake =
      LogIntake::Create(line, line.log_files[0], {}, std::move(reducer), std::nullopt);
  EXPECT_THAT(intake, testing::IsOk());
  EXPECT_THAT(intake->Feed(text), testing::IsOk());
  auto result = intake->Finish();
  EXPECT_THAT(result, testing::IsOk());
  return result.ok() ? *std::move(result) : LogResult{};
}

TEST(RowReducer, ALogWithoutCapacityIntegratesWhatItsRowsReduceTo) {
  const document::LineManifest line = HeatingLine();
  ASSERT_OK_AND_ASSIGN(const ModePlans plans, ModePlans::Create(line, ShippedMethods()));
  const RowReducer reducer = MakeRowReducer(plans, line.log_files[0]);
  const LogResult raw = Cut(line, FrostLog(reducer, false), reducer);
  const LogResult column = Cut(line, FrostLog(reducer, true), {});
  ASSERT_THAT(raw.points, SizeIs(1));
  ASSERT_THAT(column.points, SizeIs(1));
  EXPECT_THAT(raw.report.cycles, SizeIs(3));
  // Both read the same figures, the one from the reducer and the other from its digits.
  EXPECT_EQ(raw.points, column.points);
  EXPECT_EQ(raw.report.cycles, column.report.cycles);
  const double capacity_w = *raw.points[0].Find("integrated_heating_capacity");
  EXPECT_GT(capacity_w, 5000);
  EXPECT_LT(capacity_w, 12000);
}

TEST(RowReducer, GivesTheReductionsOwnFigures) {
  const document::LineManifest line = HeatingLine();
  ASSERT_OK_AND_ASSIGN(const ModePlans plans, ModePlans::Create(line, ShippedMethods()));
  const RowReducer reducer = MakeRowReducer(plans, line.log_files[0]);
  Rig rig = Heating({.method = kSi});
  for (const RowReading& reading : ReadingsOf(RowAt(100))) {
    rig.readings().Set(rig.plan(), reading.quantity, reading.value_si);
  }
  const RowFigures figures = reducer(ReadingsOf(RowAt(100)));
  EXPECT_EQ(InUnit(*figures.capacity_w, "heating_capacity", "W"),
            rig.In("heating_capacity", "W"));
  EXPECT_EQ(figures.power_w, 2400);
  // A row does not remember the one before it.
  std::vector<RowReading> without_flow = ReadingsOf(RowAt(200));
  std::erase_if(without_flow,
                [](const RowReading& r) { return r.quantity == "standard_air_flow"; });
  EXPECT_FALSE(reducer(without_flow).capacity_w.has_value());
  EXPECT_EQ(reducer(without_flow).power_w, 2400) << "power was read all the same";
  std::vector<RowReading> too_wet = ReadingsOf(RowAt(200));
  for (RowReading& reading : too_wet) {
    if (reading.quantity == "entering_air_wb") reading.value_si = 25;
  }
  EXPECT_FALSE(reducer(too_wet).capacity_w.has_value());
}

TEST(RowReducer, IsEmptyWhereTheModeHasNoReduction) {
  document::LineManifest line = HeatingLine();
  ModeOf(line).reduction.reset();
  ASSERT_OK_AND_ASSIGN(const ModePlans plans, ModePlans::Create(line, ShippedMethods()));
  EXPECT_FALSE(MakeRowReducer(plans, line.log_files[0]));
}

TEST(ModePlans, TellsWhatEachPointIsReducedBy) {
  const document::LineManifest line = HeatingLine();
  ASSERT_OK_AND_ASSIGN(const ModePlans plans, ModePlans::Create(line, ShippedMethods()));
  document::TestPoint point = PointWith("p", {});
  EXPECT_EQ(plans.For(point), nullptr) << "no such mode";
  point.mode = "heating";
  ASSERT_NE(plans.For(point), nullptr);
  EXPECT_EQ(plans.For(point), plans.Find("u", "heating"));
  point.dropped_reason = "leak";
  EXPECT_EQ(plans.For(point), nullptr);
  point.dropped_reason = "";
  point.file = "logs/frost.csv";
  EXPECT_EQ(plans.For(point), nullptr) << "its capacity is integrated";
}

}  // namespace
}  // namespace ratebound::points
