// Names that ratings are asked for by: a procedure, or a climate of its season.
#include "engine/release/rated_procedures.h"

#include <string>
#include <variant>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::release {
namespace {

using document::BinSeason;
using document::Procedure;
using document::ProcedureInput;
using ::testing::ElementsAre;

std::vector<Procedure> Known() {
  BinSeason season;
  season.climates = {{.id = "average"}, {.id = "colder"}, {.id = "warmer"}};
  Procedure of_season{.id = "season"};
  of_season.form = season;
  return {{.id = "points"}, of_season};
}

std::vector<std::string> ClimatesOf(const Procedure& procedure) {
  std::vector<std::string> ids;
  for (const document::Climate& climate : std::get<BinSeason>(procedure.form).climates) {
    ids.push_back(climate.id);
  }
  return ids;
}

TEST(FindRated, TakesAProcedureByItsIdAsItStands) {
  const auto procedures = Known();
  const auto found = FindRated("season", procedures);
  ASSERT_TRUE(found);
  EXPECT_EQ(found->id, "season");
  EXPECT_THAT(ClimatesOf(*found), ElementsAre("average", "colder", "warmer"));
  EXPECT_TRUE(FindRated("points", procedures));
}

TEST(FindRated, PutsTheClimateFirstAndKeepsTheOrderOfTheOthers) {
  const auto procedures = Known();
  const auto warmer = FindRated("season/warmer", procedures);
  ASSERT_TRUE(warmer);
  EXPECT_THAT(ClimatesOf(*warmer), ElementsAre("warmer", "average", "colder"));
  const auto average = FindRated("season/average", procedures);
  ASSERT_TRUE(average);
  EXPECT_THAT(ClimatesOf(*average), ElementsAre("average", "colder", "warmer"));
  EXPECT_EQ(ClimatesOf(procedures[1]), ClimatesOf(*average));  // the original is kept
}

TEST(FindRated, FindsNothingByOtherNames) {
  const auto procedures = Known();
  for (const char* name : {"", "/", "seasons", "season/", "season/cold", "points/average",
                           "season/warmer/x", "/warmer", "season/Warmer"}) {
    EXPECT_FALSE(FindRated(name, procedures)) << name;
  }
}

TEST(RatedNames, AreExactlyThoseThatAreFound) {
  const auto procedures = Known();
  const auto names = RatedNames(procedures);
  EXPECT_THAT(names, ElementsAre("points", "season", "season/average", "season/colder",
                                 "season/warmer"));
  for (const std::string& name : names) EXPECT_TRUE(FindRated(name, procedures)) << name;
}

document::Unit UnitWith(std::vector<ProcedureInput> inputs) {
  return {.id = "u", .procedure_inputs = std::move(inputs)};
}

// "procedure input value" in order.
std::vector<std::string> InputsOf(const document::Unit& unit) {
  std::vector<std::string> texts;
  for (const ProcedureInput& input : unit.procedure_inputs) {
    texts.push_back(input.procedure + " " + input.input + " " +
                    std::to_string(static_cast<int>(input.value)));
  }
  return texts;
}

TEST(WithInputsOf, PutsThoseOfTheClimateAheadOfThoseForAll) {
  const auto unit =
      UnitWith({{.procedure = "season", .input = "load", .value = 1},
                {.procedure = "season/warmer", .input = "load", .value = 2},
                {.procedure = "season/colder", .input = "load", .value = 3},
                {.procedure = "season/warmer", .input = "flow", .value = 4}});
  const auto own = InputsOf(WithInputsOf(unit, "season/warmer"));
  ASSERT_GE(own.size(), 3u);
  EXPECT_EQ(own[0], "season load 2");
  EXPECT_EQ(own[1], "season flow 4");
  EXPECT_EQ(own[2], "season load 1");
}

TEST(WithInputsOf, LeavesAUnitAsItIsForAPlainId) {
  const auto unit =
      UnitWith({{.procedure = "season", .input = "load", .value = 1},
                {.procedure = "season/warmer", .input = "load", .value = 2}});
  EXPECT_EQ(InputsOf(WithInputsOf(unit, "season")), InputsOf(unit));
}

}  // namespace
}  // namespace ratebound::release
