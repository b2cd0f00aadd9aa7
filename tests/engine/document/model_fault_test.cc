// What a manifest asks of the models of a mode, and each fault of it with its place.
#include <string>
#include <vector>

#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

constexpr char kAsking[] = R"(id: "a-line"
title: "t"
data_source: "invented"
units {
  id: "u"
  title: "t"
  equipment_class: "unitary_water_cooled"
  phase_count: 1
  nominal_capacity { quantity: "total_capacity" value: 10 unit: "kW" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: ["entering_air_wb", "entering_water_temp", "water_flow"]
    stages { id: "low" }
    stages { id: "high" }
    model {
      families: [MODEL_FAMILY_TOTAL_DEGREE, MODEL_FAMILY_CARNOT, MODEL_FAMILY_JOINT_STAGES]
      rule: MODEL_RULE_LEAST_ERROR
      sink_condition: "entering_water_temp"
      source_condition: "entering_air_wb"
      approach_k: 15
      stage_shares: [0.6, 1]
    }
  }
}
)";

TEST(ModelDocument, IsRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kAsking));
  const Mode& mode = line.units[0].modes[0];
  ASSERT_TRUE(mode.model.has_value());
  EXPECT_EQ(*mode.model,
            (ModelRequest{.families = {ModelFamily::kTotalDegree, ModelFamily::kCarnot,
                                       ModelFamily::kJointStages},
                          .rule = ModelRule::kLeastError,
                          .sink_condition = "entering_water_temp",
                          .source_condition = "entering_air_wb",
                          .approach_k = 15,
                          .stage_shares = {0.6, 1}}));
}

// Each is answered with one fault, which has `want` in it.
class ModelFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(ModelFault, IsReportedWithItsPlace) {
  const std::string text = With(kAsking, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  const std::string faults = FaultsOf(ParseLineManifest("l", text).status());
  EXPECT_THAT(faults, ::testing::HasSubstr(GetParam().want));
  EXPECT_EQ(faults.find('\n'), std::string::npos) << faults;
}

INSTANTIATE_TEST_SUITE_P(
    Manifest, ModelFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
        {"SinkOfNoCondition", "sink_condition: \"entering_water_temp\"",
         "sink_condition: \"leaving_water_temp\"",
         "l:21:7: units[0].modes[0].model.sink_condition: unknown condition of this "
         "mode"},
        {"SourceNoTemperature", "source_condition: \"entering_air_wb\"",
         "source_condition: \"water_flow\"", "model.source_condition"},
        {"OneSide", "source_condition: \"entering_air_wb\"",
         "source_condition: \"entering_water_temp\"", "is the sink, too"},
        {"ApproachTooGreat", "approach_k: 15", "approach_k: 150",
         "l:23:7: units[0].modes[0].model.approach_k: 150 is out of range"},
        {"SidesWithoutUse", "MODEL_FAMILY_CARNOT, ", "",
         "MODEL_FAMILY_CARNOT is not asked"},
        {"OneStage", "    stages { id: \"high\" }\n", "", "at least two stages"},
        {"SharesFall", "[0.6, 1]", "[0.6, 0.5]", "is not above the one before"},
        {"SharesAboveOne", "[0.6, 1]", "[0.6, 1.5]", "1.5 is out of range"},
        {"SharesOfThree", "[0.6, 1]", "[0.3, 0.6, 1]", "the mode has 2 stages"},
        {"NoFamilies",
         "      families: [MODEL_FAMILY_TOTAL_DEGREE, MODEL_FAMILY_CARNOT, "
         "MODEL_FAMILY_JOINT_STAGES]\n      rule: MODEL_RULE_LEAST_ERROR\n      "
         "sink_condition: \"entering_water_temp\"\n      source_condition: "
         "\"entering_air_wb\"\n      approach_k: 15\n      stage_shares: [0.6, 1]\n",
         "", "model.families"},
    }),
    NameOf);

}  // namespace
}  // namespace ratebound::document
