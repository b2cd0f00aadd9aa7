// A procedure is refused outside its scope, with a sentence; a broken procedure is an
// error.
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::Basis;
using document::Procedure;
using document::Rating;
using ratebound::testing::StatusIs;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

RatedUnit Good() {
  return Chiller({Constant(25e3, 5e3), Constant(50e3, 10e3), Constant(75e3, 15e3),
                  Constant(100e3, 20e3)});
}

Procedure Scoped() {
  Procedure procedure = FourPoints();
  procedure.scope.capacity_low = Stated(65000, "Btu/h");
  procedure.scope.capacity_high = Stated(760000, "Btu/h");
  procedure.scope.phase_counts = {3};
  return procedure;
}

std::string Refusal(const Procedure& procedure, const RatedUnit& unit,
                    const RateOptions& options = {}) {
  absl::StatusOr<Rating> rating = RateUnit(procedure, unit, options);
  EXPECT_TRUE(rating.ok()) << rating.status();
  if (!rating.ok()) return "";
  EXPECT_EQ(rating->value.has_value(), rating->refusal.empty());
  return rating->refusal;
}

TEST(Scope, AUnitInsideIsRated) { EXPECT_THAT(Refusal(Scoped(), Good()), IsEmpty()); }

TEST(Scope, ARefusalSaysWhatTheProcedureIsForAndWhatTheUnitIs) {
  RatedUnit unit = Good();
  unit.unit.equipment_class = "residential_split";
  unit.unit.phase_count = 1;
  unit.unit.nominal_capacity = {"total_capacity", 10, "kW", 10000};
  EXPECT_EQ(
      Refusal(Scoped(), unit),
      "IPLV (Invented 1) applies to cooling of chiller_water_cooled, three-phase, from "
      "65000 Btu/h to below 760000 Btu/h; unit c1 is residential_split, single-phase, "
      "of nominal 10 kW");
}

TEST(Scope, EachLimitRefusesAloneAndTheLowerEndIsInside) {
  RatedUnit unit = Good();
  auto at_btu_per_hour = [&](double value) {
    unit.unit.nominal_capacity = {"total_capacity", value, "Btu/h",
                                  value * 1055.05585262 / 3600};
    return Refusal(Scoped(), unit);
  };
  EXPECT_THAT(at_btu_per_hour(65000), IsEmpty());
  EXPECT_THAT(at_btu_per_hour(64999), HasSubstr("applies to"));
  EXPECT_THAT(at_btu_per_hour(759999), IsEmpty());
  EXPECT_THAT(at_btu_per_hour(760001), HasSubstr("applies to"));

  unit = Good();
  unit.unit.phase_count = 1;
  EXPECT_THAT(Refusal(Scoped(), unit), HasSubstr("single-phase"));
  unit = Good();
  unit.mode.kind = document::ModeKind::kHeating;
  EXPECT_THAT(Refusal(Scoped(), unit), HasSubstr("in its heating mode cooling"));
}

TEST(Published, FactsThatWereNotReadAreListedAndCanBeRefused) {
  Procedure procedure = FourPoints();
  absl::StatusOr<Rating> rating = RateUnit(procedure, Good(), {.published_only = true});
  ASSERT_THAT(rating, ratebound::testing::IsOk());
  EXPECT_THAT(rating->unconfirmed_numbers, IsEmpty());
  EXPECT_TRUE(rating->value.has_value());

  procedure.load_points[1].weight = Stated(0.4, "", Basis::kMemory);
  procedure.part_load->window_percent = Stated(2, "%", Basis::kSecondaryText);
  rating = RateUnit(procedure, Good());
  ASSERT_THAT(rating, ratebound::testing::IsOk());
  EXPECT_THAT(rating->unconfirmed_numbers,
              ElementsAre("weight of point B = 0.4 (invented: MEMORY)",
                          "window around a load = 2 % (invented: SECONDARY_TEXT)"));
  EXPECT_TRUE(rating->value.has_value());
  ASSERT_FALSE(rating->notes.empty());
  EXPECT_THAT(rating->notes.back(), HasSubstr("rests on 2 facts"));
  EXPECT_THAT(Refusal(procedure, Good(), {.published_only = true}),
              HasSubstr("weight of point B = 0.4"));
}

TEST(BrokenProcedure, IsAnErrorThatNamesEveryFault) {
  Procedure procedure = FourPoints();
  procedure.load_points[0].percent_load.value = 90;
  procedure.load_points[1].weight.value = 0.5;
  procedure.rounding_step.value = 0;
  EXPECT_THAT(RateUnit(procedure, Good()),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       ::testing::AllOf(HasSubstr("no point at 100 percent"),
                                        HasSubstr("the weights add up to 1.0"),
                                        HasSubstr("rounding_step"))));
  procedure = FourPoints();
  procedure.part_load.reset();
  EXPECT_THAT(RateUnit(procedure, Good()),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("part_load")));
}

TEST(Figures, ThatCannotBeCapacityAndPowerAreRefused) {
  EXPECT_THAT(
      Refusal(FourPoints(), Chiller({Constant(100e3, -1)})),
      HasSubstr("power_input of stage s1 of unit c1 at entering_condenser_water_temp "
                "30 degC is -1 W, not above 0"));
  RatedUnit unit = Good();
  unit.evaluate = [](int,
                     std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    return absl::OutOfRangeError("too few points");
  };
  EXPECT_THAT(Refusal(FourPoints(), unit), HasSubstr("too few points"));
  unit.evaluate = [](int,
                     std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    return StageFigures{.quantities = {{"gross_total_capacity", 1e5}}};
  };
  EXPECT_THAT(Refusal(FourPoints(), unit), HasSubstr("rates total_capacity"));
  unit.evaluate = [](int,
                     std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    return absl::CancelledError("stop");
  };
  EXPECT_THAT(RateUnit(FourPoints(), unit),
              StatusIs(absl::StatusCode::kCancelled, HasSubstr("stop")));
}

}  // namespace
}  // namespace ratebound::rating
