#include "engine/document/convert.h"

#include <google/protobuf/util/message_differencer.h>

#include <cmath>
#include <functional>
#include <limits>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/populate.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::util::MessageDifferencer;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

v1::Release Populated(std::string_view seed) {
  Random random(seed);
  v1::Release message;
  Populate(&message, random);
  return message;
}

// A field that either direction forgets is missing from the message that comes back.
TEST(Convert, NoFieldOfAReleaseIsForgotten) {
  for (const char* seed : {"A", "B", "C", "D", "E"}) {
    const v1::Release message = Populated(seed);
    ASSERT_OK_AND_ASSIGN(const Release release, FromMessage(message));
    MessageDifferencer differencer;
    std::string difference;
    differencer.ReportDifferencesToString(&difference);
    EXPECT_TRUE(differencer.Compare(message, ToMessage(release))) << difference;
  }
}

TEST(Convert, AReleaseComesBackEqual) {
  for (const char* seed : {"A", "B", "C"}) {
    ASSERT_OK_AND_ASSIGN(const Release release, FromMessage(Populated(seed)));
    ASSERT_OK_AND_ASSIGN(const Release again, FromMessage(ToMessage(release)));
    EXPECT_EQ(release, again);
  }
}

TEST(Convert, WhatIsOptionalMayBeAbsent) {
  Release release;
  release.manifest.units.resize(1);
  release.manifest.units[0].modes.resize(1);
  release.manifest.tables.resize(1);
  release.manifest.systematic_uncertainties.push_back(
      {.quantity = "total_capacity", .relative_fraction = 0.05, .source = "s"});
  release.procedures.resize(1);
  release.procedures[0].scope.capacity_low = CitedValue{.value = 1, .unit = "kW"};
  release.ratings.push_back({.unit = "u", .refusal = "out of scope"});
  release.maps.push_back({.unit = "u", .refusals = {"no points"}});
  release.methods.resize(1);
  release.methods[0].tolerances.resize(1);
  release.methods[0].tolerances[0] = {
      .quantity = "water_flow",
      .mean_deviation = ToleranceFigure{.relative_fraction = 0.01}};
  release.log_reports.resize(1);
  release.curves.resize(1);
  release.points.resize(1);
  release.points[0].values.push_back({.quantity = "water_flow"});
  release.manifest.instruments.resize(1);
  release.manifest.instruments[0].accuracies.resize(1);
  release.manifest.units[0].modes[0].reduction.emplace();
  ASSERT_OK_AND_ASSIGN(const Release again, FromMessage(ToMessage(release)));
  EXPECT_EQ(release, again);
}

// What no release holds, but calls send.
template <typename Plain, typename Wire>
void ExpectNothingForgotten(std::string_view seed) {
  Random random(seed);
  Wire message;
  Populate(&message, random);
  ASSERT_OK_AND_ASSIGN(const Plain plain, FromMessage(message));
  MessageDifferencer differencer;
  std::string difference;
  differencer.ReportDifferencesToString(&difference);
  EXPECT_TRUE(differencer.Compare(message, ToMessage(plain))) << difference;
}

TEST(Convert, NoFieldOfAnAnswerIsForgotten) {
  ExpectNothingForgotten<PointChain, v1::PointChain>("CHAIN");
  ExpectNothingForgotten<LogReport, v1::LogReport>("LOG");
  ExpectNothingForgotten<CurveFit, v1::CurveFit>("CURVE");
  ExpectNothingForgotten<MeasurementMethod, v1::MeasurementMethod>("METHOD");
}

TEST(Convert, ValuesAreTurnedIntoSi) {
  v1::MeasureRange range;
  range.set_quantity("entering_water_temp");
  range.set_low(32);
  range.set_high(212);
  range.set_unit("degF");
  ASSERT_OK_AND_ASSIGN(const MeasureRange plain, FromMessage(range));
  EXPECT_EQ(plain.low_si, 0);
  EXPECT_EQ(plain.high_si, 100);
}

struct Damage {
  std::string name;
  std::function<void(v1::Release*)> make;
  std::string want;
};

class DamagedRelease : public ::testing::TestWithParam<Damage> {};

TEST_P(DamagedRelease, IsRefused) {
  v1::Release message = Populated("A");
  ASSERT_THAT(FromMessage(message), IsOk());
  GetParam().make(&message);
  EXPECT_THAT(FromMessage(message),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(GetParam().want)));
}

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

v1::Surface* FirstSurface(v1::Release* r) {
  return r->mutable_maps(0)->mutable_surfaces(0);
}

INSTANTIATE_TEST_SUITE_P(Convert, DamagedRelease,
                         ::
                             testing::
                                 Values(Damage{"NotANumber",
                                               [](v1::Release* r) {
                                                 r->mutable_points(1)
                                                     ->mutable_values(0)
                                                     ->set_value_si(kNan);
                                               },
                                               "points[1].values[0].value_si: is not a "
                                               "finite number"},
                                        Damage{"Infinity",
                                               [](v1::Release* r) {
                                                 FirstSurface(r)->set_coefficients_si(
                                                     1, -kInfinity);
                                               },
                                               "maps[0].surfaces[0].coefficients_si[1]: "
                                               "is not a finite number"},
                                        Damage{"UnknownEnumeration",
                                               [](v1::Release* r) {
                                                 r->mutable_verdicts(0)->set_outcome(
                                                     static_cast<v1::Outcome>(99));
                                               },
                                               "verdicts[0].outcome: is a value that is "
                                               "not known"},
                                        Damage{"UnknownEnumerationInAList",
                                               [](v1::Release* r) {
                                                 r->mutable_tables(0)
                                                     ->mutable_figures(0)
                                                     ->set_footings(
                                                         0, static_cast<v1::Footing>(99));
                                               },
                                               "tables[0].figures[0].footings[0]: is a "
                                               "value that is not known"},
                                        Damage{"UnspecifiedEnumeration",
                                               [](v1::Release* r) {
                                                 r->mutable_verdicts(0)->set_outcome(
                                                     v1::OUTCOME_UNSPECIFIED);
                                               },
                                               "Verdict.outcome: is unspecified"},
                                        Damage{"UnknownField",
                                               [](v1::Release* r) {
                                                 r->GetReflection()
                                                     ->MutableUnknownFields(
                                                         r->mutable_manifest())
                                                     ->AddVarint(999, 1);
                                               },
                                               "manifest: has fields that this version "
                                               "does not know"},
                                        Damage{
                                            "UnitOfAnotherDimension",
                                            [](v1::Release* r) {
                                              v1::Claim* claim =
                                                  r->mutable_verdicts(0)->mutable_text();
                                              claim->clear_promise();
                                              claim->set_limit_unit("kW");
                                            },
                                            "'kW' is a unit of power"},
                                        Damage{"UnknownQuantity",
                                               [](v1::Release* r) {
                                                 r->mutable_verdicts(0)
                                                     ->mutable_worst_point(0)
                                                     ->set_quantity("warmth");
                                               },
                                               "unknown quantity 'warmth'"},
                                        Damage{"ExponentsDoNotFit",
                                               [](v1::Release* r) {
                                                 FirstSurface(r)->add_exponents(1);
                                               },
                                               "Surface.exponents: has 5 values, not 4"},
                                        Damage{
                                            "ExponentNegative",
                                            [](v1::Release* r) {
                                              FirstSurface(r)->set_exponents(0, -1);
                                            },
                                            "Surface.exponents: -1 is outside 0 to 16"},
                                        Damage{
                                            "ExponentHuge",
                                            [](v1::Release* r) {
                                              FirstSurface(r)->set_exponents(0,
                                                                             2000000000);
                                            },
                                            "Surface.exponents: 2000000000 is outside"},
                                        Damage{
                                            "CovarianceDoesNotFit",
                                            [](v1::Release* r) {
                                              FirstSurface(r)->add_covariance_si(1);
                                            },
                                            "Surface.covariance_si: has 4 values, not 3"},
                                        Damage{"LeverageMissing",
                                               [](v1::Release* r) {
                                                 FirstSurface(r)->clear_leverage_matrix();
                                               },
                                               "Surface.leverage_matrix: has 0 values, "
                                               "not 3"},
                                        Damage{"NoTerms",
                                               [](v1::Release* r) {
                                                 FirstSurface(r)->clear_coefficients_si();
                                                 FirstSurface(r)->clear_exponents();
                                                 FirstSurface(r)->clear_leverage_matrix();
                                                 FirstSurface(r)->clear_covariance_si();
                                               },
                                               "Surface.coefficients_si: is missing"},
                                        Damage{
                                            "HalfRangeZero",
                                            [](v1::Release* r) {
                                              FirstSurface(r)->set_half_range_si(0, 0);
                                            },
                                            "Surface.half_range_si: is not above zero"},
                                        Damage{"TestedRangeDoesNotFit",
                                               [](v1::Release* r) {
                                                 r->mutable_maps(0)->add_tested_low_si(1);
                                               },
                                               "StageMap.tested_low_si: has 3 values, "
                                               "not 2"},
                                        Damage{
                                            "PointsDoNotFit",
                                            [](v1::Release* r) {
                                              r->mutable_maps(0)->add_point_ids()->assign(
                                                  1, 'x');
                                            },
                                            "StageMap.point_conditions_si: has 4 values, "
                                            "not 6"},
                                        Damage{"HeldDoNotFit",
                                               [](v1::Release* r) {
                                                 r->mutable_maps(0)
                                                     ->clear_held_tolerances_si();
                                               },
                                               "StageMap.held_tolerances_si: has 0 "
                                               "values, not 2"},
                                        Damage{"TableCellsDoNotFit",
                                               [](v1::Release* r) {
                                                 r->mutable_tables(0)
                                                     ->mutable_request()
                                                     ->mutable_rows()
                                                     ->add_values(1);
                                               },
                                               "does not have one value and one footing "
                                               "for each of 6 cells"},
                                        Damage{"ModeKind",
                                               [](v1::Release* r) {
                                                 r->mutable_procedures(0)->set_mode_kind(
                                                     "both");
                                               },
                                               "Procedure.mode_kind"},
                                        Damage{"ColumnWithoutMeaning",
                                               [](v1::Release* r) {
                                                 r->mutable_manifest()
                                                     ->mutable_columns(0)
                                                     ->clear_meaning();
                                               },
                                               "Column.meaning: is missing"},
                                        Damage{"LogWithoutCut",
                                               [](v1::Release* r) {
                                                 r->mutable_manifest()
                                                     ->mutable_log_files(0)
                                                     ->clear_cut();
                                               },
                                               "LogFile.cut: is missing"},
                                        Damage{"MethodKindUnspecified",
                                               [](v1::Release* r) {
                                                 r->mutable_methods(0)->set_kind(
                                                     v1::METHOD_KIND_UNSPECIFIED);
                                               },
                                               "MeasurementMethod.kind: is unspecified"},
                                        Damage{"ToleranceUnit",
                                               [](v1::Release* r) {
                                                 r->mutable_methods(0)
                                                     ->mutable_tolerances(0)
                                                     ->mutable_mean_deviation()
                                                     ->set_unit("kW");
                                               },
                                               "leaving_water_temp: 'kW' is a unit of "
                                               "power"},
                                        Damage{"NozzleUnit",
                                               [](v1::Release* r) {
                                                 r->mutable_manifest()
                                                     ->mutable_units(0)
                                                     ->mutable_modes(0)
                                                     ->mutable_reduction()
                                                     ->mutable_air_side()
                                                     ->mutable_nozzles(0)
                                                     ->set_unit("kg");
                                               },
                                               "Nozzle.diameter: 'kg' is a unit of mass"},
                                        Damage{
                                            "StandardErrorsDoNotFit",
                                            [](v1::Release* r) {
                                              r->mutable_curves(0)->add_standard_errors(
                                                  1);
                                            },
                                            "CurveFit.standard_errors: has 3 values, "
                                            "not 2"},
                                        Damage{"ConditionUncertaintiesDoNotFit",
                                               [](v1::Release* r) {
                                                 r->mutable_maps(0)
                                                     ->add_condition_systematic_si(1);
                                               },
                                               "StageMap.condition_systematic_si: has 3 "
                                               "values, not 2"},
                                        Damage{"ConditionWithoutValue",
                                               [](v1::Release* r) {
                                                 r->mutable_procedures(0)
                                                     ->mutable_common_conditions(0)
                                                     ->clear_at();
                                               },
                                               "CitedCondition.at: is missing"}),
                         [](const ::testing::TestParamInfo<Damage>& test) {
                           return test.param.name;
                         });

TEST(Convert, AllDamageIsReportedTogether) {
  v1::Release message = Populated("A");
  message.mutable_points(0)->mutable_values(0)->set_value_si(kNan);
  message.mutable_verdicts(0)->set_margin(kInfinity);
  EXPECT_THAT(FromMessage(message).status().message(),
              ::testing::AllOf(HasSubstr("points[0]"), HasSubstr("verdicts[0].margin")));
}

}  // namespace
}  // namespace ratebound::document
