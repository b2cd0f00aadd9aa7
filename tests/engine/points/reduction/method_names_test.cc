#include "engine/points/reduction/method_names.h"

#include <algorithm>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/reduction/reduction_rig.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::MeasurementMethod;
using ::testing::HasSubstr;

MeasurementMethod Shipped(std::string_view id) {
  for (MeasurementMethod& method : ShippedMethods()) {
    if (method.id == id) return method;
  }
  ADD_FAILURE() << id;
  return {};
}

TEST(MethodNames, EveryShippedMethodIsWhatItsKindAsksFor) {
  const auto methods = ShippedMethods();
  EXPECT_GE(methods.size(), 15);
  for (const MeasurementMethod& method : methods) {
    EXPECT_THAT(CheckMethodNames(method), testing::IsOk()) << method.id;
  }
}

struct Fault {
  const char* name;
  const char* method;
  void (*spoil)(MeasurementMethod&);
  const char* message;
};

constexpr char kAir[] = "air-enthalpy-37-2009";

const Fault kFaults[] = {
    {"UnknownNumber", kAir,
     [](MeasurementMethod& m) { m.numbers[2].name = "latent_heet"; },
     "unknown number 'latent_heet'; did you mean 'latent_heat'?"},
    {"MissingNumber", kAir,
     [](MeasurementMethod& m) { m.numbers.erase(m.numbers.begin()); },
     "number 'dry_air_specific_heat' is missing"},
    {"NumberTwice", kAir, [](MeasurementMethod& m) { m.numbers.push_back(m.numbers[0]); },
     "stands twice"},
    {"WrongUnit", kAir, [](MeasurementMethod& m) { m.numbers[2].value.unit = "J/kg"; },
     "number 'latent_heat' stands in 'J/kg'; write it in Btu/lb"},
    {"UnknownRule", kAir, [](MeasurementMethod& m) { m.rules[0].name = "unit_sistem"; },
     "unknown rule 'unit_sistem'; did you mean 'unit_system'?"},
    {"MissingRule", kAir, [](MeasurementMethod& m) { m.rules.pop_back(); },
     "rule 'standard_air' is missing; write one of mixture, dry_air"},
    {"UnknownChoice", kAir,
     [](MeasurementMethod& m) { m.rules[0].choice.text = "imperial"; },
     "rule 'unit_system' has no choice 'imperial'; write one of inch_pound, si"},
    {"MissingByRule", "nozzle-flow-reynolds",
     [](MeasurementMethod& m) { m.rules[2].choice.text = "fixed"; },
     "number 'fixed_coefficient' is missing; rule 'nozzle_coefficient' is 'fixed', which "
     "asks for it"},
    {"UnitOfAPlainNumber", "liquid-heat-500",
     [](MeasurementMethod& m) { m.numbers[0].value.unit = "Btu/h"; },
     "leave the unit out"},
    {"MissingInput", "correction-en-14511-3",
     [](MeasurementMethod& m) { m.required_inputs.clear(); },
     "number 'pump_power_limit' is missing"},
};

TEST(MethodNames, FaultsSayWhatToWrite) {
  for (const Fault& fault : kFaults) {
    MeasurementMethod method = Shipped(fault.method);
    fault.spoil(method);
    EXPECT_THAT(
        CheckMethodNames(method),
        testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(fault.message)))
        << fault.name;
  }
}

TEST(MethodNames, WhatWasNotReadInThePublishedTextIsNamed) {
  Rig rig = CoilRig({.method = kIp, .flow = document::AirFlowSource::kStandardAirFlow});
  EXPECT_THAT(rig.plan().unconfirmed(),
              ::testing::Contains("air-enthalpy-37-2009: latent_heat = 1061 Btu/lb "
                                  "(MEMORY)"));
}

absl::Status CreateWith(document::Reduction reduction) {
  return ReductionPlan::Create(ModeOf(document::ModeKind::kCooling, std::move(reduction)),
                               ShippedMethods())
      .status();
}

TEST(Plan, FaultsOfAManifestAreReportedTogether) {
  document::Reduction reduction;
  reduction.air_side = document::AirSide{.method = "air-enthalpy-37-2008"};
  reduction.liquid_sides = {{.method = "nozzle-flow-fixed",
                             .liquid = "watter",
                             .entering = "entering_water_tmp",
                             .leaving = "water_flow",
                             .flow = "water_flow"}};
  reduction.corrections = {{.method = "correction-en-14511-3",
                            .kind = document::FanPumpCase::kPumpAbsent,
                            .flow = "water_flow",
                            .pressure = "water_pressure_drop"}};
  reduction.inputs = {{"correction-en-14511-3", "pump_power_limits", 300, "W"}};
  const absl::Status status = CreateWith(reduction);
  for (const char* part :
       {"unknown method 'air-enthalpy-37-2008'", "did you mean 'air-enthalpy-37-2009'?",
        "is of the kind NOZZLE_AIR_FLOW, not LIQUID_HEAT", "watter",
        "did you mean 'entering_water_temp'?",
        "'water_flow' is a volume flow, not a "
        "temperature",
        "asks for no input 'pump_power_limits'",
        "input 'pump_power_limit' is not given"}) {
    EXPECT_THAT(std::string(status.message()), HasSubstr(part));
  }
}

TEST(Plan, TwoSidesAskWhichOneCounts) {
  document::Reduction reduction;
  reduction.air_side =
      document::AirSide{.method = kSi, .flow = document::AirFlowSource::kAirMassFlow};
  reduction.liquid_sides = {{.method = "liquid-heat",
                             .role = document::LiquidRole::kCapacity,
                             .liquid = "water",
                             .entering = "entering_water_temp",
                             .leaving = "leaving_water_temp",
                             .flow = "water_flow"}};
  EXPECT_THAT(std::string(CreateWith(reduction).message()), HasSubstr("capacity_basis"));
  reduction.capacity_basis = document::CapacityBasis::kMean;
  EXPECT_THAT(CreateWith(reduction), testing::IsOk());
}

TEST(Plan, NozzlesAndAirAreOfOneUnitSystem) {
  document::AirSide air = Nozzles("nozzle-flow-reynolds-si", {5});
  EXPECT_THAT(std::string(CreateWith({.air_side = air}).message()),
              HasSubstr("one unit system"));
}

TEST(Plan, InputsAndOutputsStandOnce) {
  Rig rig = WholeRig(document::ModeKind::kCooling, kIp);
  for (auto names : {rig.plan().inputs(), rig.plan().outputs()}) {
    std::sort(names.begin(), names.end());
    EXPECT_EQ(std::adjacent_find(names.begin(), names.end()), names.end());
  }
  EXPECT_EQ(rig.plan().InputIndex("nothing"), -1);
}

}  // namespace
}  // namespace ratebound::points
