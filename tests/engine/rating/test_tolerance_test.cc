// Tolerances of laboratory tests, from the files that are built in.
#include "engine/rating/test_tolerance.h"

#include <set>
#include <string>

#include "engine/document/test_tolerance_text.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::TestTolerances;

TestTolerances Load(const std::string& id) {
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedTolerances()) {
    if (!file.path.ends_with("/" + id + ".textproto")) continue;
    return document::ParseTestTolerances(file.path, file.bytes).value();
  }
  ADD_FAILURE() << "no file " << id;
  return {};
}

TEST(TestTolerance, FilesAreBuiltInUnderTheirIds) {
  std::set<std::string> ids;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedTolerances()) {
    ASSERT_OK_AND_ASSIGN(const TestTolerances tolerances,
                         document::ParseTestTolerances(file.path, file.bytes));
    EXPECT_TRUE(file.path.ends_with("/" + tolerances.id + ".textproto")) << file.path;
    ids.insert(tolerances.id);
  }
  EXPECT_EQ(ids, (std::set<std::string>{"ahri-550-590", "ahri-551-591"}));
}

TEST(TestTolerance, WidensAsLoadAndTemperatureDifferenceFall) {
  const TestTolerances tolerances = Load("ahri-550-590");
  for (const document::LoadTolerance& tolerance : tolerances.tolerances) {
    double wider = 0;
    for (double load = 1; load > 0.1; load -= 0.05) {
      ASSERT_OK_AND_ASSIGN(const double at_5_k,
                           ToleranceFraction(tolerances, tolerance.id, load, 5));
      ASSERT_OK_AND_ASSIGN(const double at_6_k,
                           ToleranceFraction(tolerances, tolerance.id, load, 6));
      EXPECT_GT(at_5_k, at_6_k) << tolerance.id;
      if (tolerance.regardless_of_load && wider > 0) {
        EXPECT_EQ(at_5_k, wider) << tolerance.id;
      } else {
        EXPECT_GT(at_5_k, wider) << tolerance.id;
      }
      wider = at_5_k;
    }
  }
}

TEST(TestTolerance, LetsMeasuredFiguresBeWorseAndNeverBetterIsAsked) {
  EXPECT_DOUBLE_EQ(LeastCapacity(200, 0.05), 190);
  EXPECT_DOUBLE_EQ(LeastEfficiency(6.3, 0.05), 6);
  EXPECT_DOUBLE_EQ(GreatestSpecificPower(0.6, 0.05), 0.63);
  // An efficiency and its reciprocal are judged alike.
  EXPECT_DOUBLE_EQ(1 / LeastEfficiency(1 / 0.6, 0.07), GreatestSpecificPower(0.6, 0.07));
}

TEST(TestTolerance, PressureDropMayBeAboveByTheGreaterOfRatioAndAddition) {
  const TestTolerances tolerances = Load("ahri-551-591");
  EXPECT_DOUBLE_EQ(GreatestPressureDropPa(tolerances, 10e3).value(), 16e3);
  EXPECT_DOUBLE_EQ(GreatestPressureDropPa(tolerances, 80e3).value(), 92e3);
  // Both are the same at 40 kPa.
  EXPECT_DOUBLE_EQ(GreatestPressureDropPa(tolerances, 40e3).value(), 46e3);
}

TEST(TestTolerance, RefusesWhatHasNoTolerance) {
  const TestTolerances tolerances = Load("ahri-551-591");
  struct Case {
    const char* id;
    double load;
    double difference_k;
    absl::StatusCode code;
  };
  for (const Case& c :
       {Case{"capacity", 1, 5, absl::StatusCode::kNotFound},
        Case{"energy-balance", 0, 5, absl::StatusCode::kInvalidArgument},
        Case{"energy-balance", 1.01, 5, absl::StatusCode::kInvalidArgument},
        Case{"energy-balance", 1, 0, absl::StatusCode::kInvalidArgument},
        Case{"integrated-efficiency", 1, -1, absl::StatusCode::kInvalidArgument}}) {
    EXPECT_EQ(ToleranceFraction(tolerances, c.id, c.load, c.difference_k).status().code(),
              c.code)
        << c.id << " " << c.load << " " << c.difference_k;
  }
}

constexpr char kFile[] = R"(id: "own"
title: "own"
document: "own rules"
edition: "1"
temperature_difference_unit: "delta_K"
tolerances {
  id: "t"
  title: "t"
  constant { value: 0.1 citation { source: "s" basis: BASIS_MEMORY } }
  per_load { value: -0.05 citation { source: "s" basis: BASIS_MEMORY } }
  over_difference { value: 0.1 unit: "delta_K" citation { source: "s" basis: BASIS_MEMORY } }
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

TEST(TestTolerance, FilesThatCannotBeRightAreRefusedWithTheirPlace) {
  ASSERT_TRUE(document::ParseTestTolerances("own.textproto", kFile).ok());
  struct Case {
    const char* text;
    const char* replaced_by;
    const char* fault;
  };
  for (const Case& c : {
           Case{"  per_load {", "  regardless_of_load: true per_load {",
                "own.textproto:10:28: tolerances[0].per_load"},
           Case{"unit: \"delta_K\" cit", "unit: \"delta_degF\" cit",
                "own.textproto:11:32: tolerances[0].over_difference.unit"},
           Case{"unit: \"delta_K\"\n", "unit: \"degC\"\n",
                "own.textproto:5:1: temperature_difference_unit"},
           Case{"  title: \"t\"\n", "", "own.textproto:6:1: tolerances[0].title"},
           Case{"constant { value: 0.1 citation { source: \"s\" basis: BASIS_MEMORY } }",
                "constant { value: 0.1 }", "own.textproto:9:3: tolerances[0].constant"},
       }) {
    std::string text = kFile;
    const size_t at = text.find(c.text);
    ASSERT_NE(at, std::string::npos) << c.text;
    text.replace(at, std::string(c.text).size(), c.replaced_by);
    const auto parsed = document::ParseTestTolerances("own.textproto", text);
    ASSERT_FALSE(parsed.ok()) << c.replaced_by;
    EXPECT_TRUE(parsed.status().message().find(c.fault) != std::string::npos)
        << parsed.status().message();
  }
}

}  // namespace
}  // namespace ratebound::rating
