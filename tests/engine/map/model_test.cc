// Families of models: what they span comes back, what they give is consistent, and the
// rest of the engine takes them for surfaces.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_line.h"
#include "engine/map/fit_response.h"
#include "engine/map/model_surface.h"
#include "engine/map/model_weights.h"
#include "engine/map/stage_model.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/map_fixture.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::ModelFamily;
using document::ModelRequest;
using document::Surface;
using document::SurfacePurpose;
using ratebound::testing::Random;
using ratebound::testing::StatusIs;
using ::testing::HasSubstr;

struct Plan {
  std::vector<std::string> conditions = {"entering_air_wb", "entering_water_temp"};
  std::vector<std::vector<double>> columns = {{}, {}};
  std::vector<double> values;
  std::vector<double> standard_si;
  std::vector<std::string> ids;

  ResponseProblem Problem() const {
    return {.quantity = "power_input",
            .values = values,
            .conditions = conditions,
            .columns = columns,
            .point_ids = ids,
            .standard_si = standard_si};
  }
};

template <typename Truth>
Plan Sample(const Truth& truth, int count = 40) {
  Random random("MODEL_TEST_SAMPLE");
  Plan plan;
  for (int i = 0; i < count; ++i) {
    plan.columns[0].push_back(random.Uniform(14, 23));
    plan.columns[1].push_back(random.Uniform(28, 45));
    plan.values.push_back(truth(plan.columns[0][i], plan.columns[1][i]));
    plan.ids.push_back(absl::StrCat("p", i));
  }
  return plan;
}

// Each form's own truth: nothing else of degree 1 to 3 comes near it.
struct FormCase {
  std::string name;
  ModelFamily family;
  double (*truth)(double, double);
};

double LogTruth(double a, double b) { return std::exp(7 + 0.05 * a - 0.002 * b * a); }
double ReciprocalTruth(double a, double b) {
  const double u = 1000 / (a + 273.15), v = 1000 / (b + 273.15);
  return 5000 + 800 * u - 900 * v + 400 * u * v;
}
double CarnotTruth(double a, double b) {
  return (9000 + 250 * a - 60 * b + 3 * a * a) * (b - a + 8) / (a + 273.15);
}

class FormTest : public ::testing::TestWithParam<FormCase> {};

TEST_P(FormTest, ReproducesItsOwnTruth) {
  const Plan plan = Sample(GetParam().truth);
  const ModelRequest request{.families = {ModelFamily::kTotalDegree, GetParam().family},
                             .sink_condition = "entering_water_temp",
                             .source_condition = "entering_air_wb",
                             .approach_k = 8};
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitBestResponse(plan.Problem(), {.request = &request, .is_power = true}));
  const Surface& surface = fitted.surface;
  ASSERT_TRUE(surface.form.has_value()) << surface.model;
  EXPECT_EQ(fitted.highest_degree, surface.degree);
  ASSERT_OK_AND_ASSIGN(const ModelSurface model,
                       ModelSurface::Create(surface, plan.conditions));
  std::vector<std::span<const double>> columns(plan.columns.begin(), plan.columns.end());
  std::vector<double> values(plan.values.size());
  ASSERT_TRUE(model.Evaluate(columns, values).ok());
  for (size_t i = 0; i < values.size(); ++i) {
    const std::vector<double> point = {plan.columns[0][i], plan.columns[1][i]};
    EXPECT_EQ(model.At(point), values[i]);  // to the bit
    EXPECT_NEAR(values[i], plan.values[i], 1e-9 * std::fabs(plan.values[i]));
  }
  EXPECT_LT(surface.residual_sd_si, 1e-9 * surface.mean_si);
  EXPECT_LT(surface.leave_out_rms_si, 1e-8 * surface.mean_si);
}

// The standard error is the polynomial's times the slope: seen by moving coefficients.
TEST_P(FormTest, StandardErrorIsOfFirstOrder) {
  Plan plan = Sample(GetParam().truth);
  Random random("STANDARD_ERROR_IS_OF_FIRST_ORDER");
  for (double& value : plan.values) value *= 1 + 0.01 * random.Normal();
  const ModelRequest request{.families = {GetParam().family},
                             .sink_condition = "entering_water_temp",
                             .source_condition = "entering_air_wb",
                             .approach_k = 8};
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitBestResponse(plan.Problem(), {.request = &request, .is_power = true}));
  ASSERT_OK_AND_ASSIGN(const ModelSurface model,
                       ModelSurface::Create(fitted.surface, plan.conditions));
  const std::vector<double> point = {18, 35};
  const size_t terms = fitted.surface.coefficients_si.size();
  std::vector<double> slopes;
  for (size_t t = 0; t < terms; ++t) {
    Surface moved = fitted.surface;
    const double step = 1e-6 * std::max(1.0, std::fabs(moved.coefficients_si[0]));
    moved.coefficients_si[t] += step;
    ASSERT_OK_AND_ASSIGN(const ModelSurface other,
                         ModelSurface::Create(moved, plan.conditions));
    slopes.push_back((other.At(point) - model.At(point)) / step);
  }
  double variance = 0;
  for (size_t i = 0; i < terms; ++i) {
    for (size_t j = 0; j < terms; ++j) {
      const size_t k = i >= j ? i * (i + 1) / 2 + j : j * (j + 1) / 2 + i;
      variance += slopes[i] * slopes[j] * fitted.surface.covariance_si[k];
    }
  }
  EXPECT_NEAR(model.StandardErrorAt(point), std::sqrt(variance),
              1e-4 * std::sqrt(variance));
}

INSTANTIATE_TEST_SUITE_P(
    Forms, FormTest,
    ::testing::Values(FormCase{"Logarithm", ModelFamily::kLogResponse, LogTruth},
                      FormCase{"Reciprocal", ModelFamily::kReciprocalTemperature,
                               ReciprocalTruth},
                      FormCase{"Carnot", ModelFamily::kCarnot, CarnotTruth}),
    [](const auto& test) { return test.param.name; });

TEST(FamiliesTest, FormsThatDoNotApplyAreRefusedInWords) {
  Plan plan = Sample(CarnotTruth);
  plan.values[3] = -1;
  ModelRequest request{.families = {ModelFamily::kLogResponse}};
  EXPECT_THAT(FitBestResponse(plan.Problem(), {.request = &request}),
              StatusIs(absl::StatusCode::kFailedPrecondition,
                       HasSubstr("the logarithm needs values above 0")));
  request = {.families = {ModelFamily::kCarnot},
             .sink_condition = "entering_air_wb",
             .source_condition = "entering_water_temp"};
  EXPECT_THAT(FitBestResponse(plan.Problem(), {.request = &request, .is_power = true}),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("a lift of -")));
  // Of another quantity than the mode's power there is no such form.
  EXPECT_THAT(FitBestResponse(plan.Problem(), {.request = &request}),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("none of the")));
}

TEST(FamiliesTest, OneStandardErrorTakesTheSimplerAndSaysSo) {
  Plan plan = Sample([](double a, double b) { return 5000 + 90 * a - 30 * b; });
  Random random("ONE_STANDARD_ERROR_TAKES_THE_SIMPLER");
  for (double& value : plan.values) value += 60 * random.Normal();
  ModelRequest request{.families = {ModelFamily::kTotalDegree}};
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                       FitBestResponse(plan.Problem(), {.request = &request}));
  EXPECT_EQ(fitted.surface.degree, 1);
  EXPECT_EQ(fitted.surface.model, "degree 1");
  ASSERT_EQ(fitted.surface.candidates.size(), 3u);
  for (const document::DegreeCandidate& candidate : fitted.surface.candidates) {
    EXPECT_EQ(candidate.chosen, candidate.degree == 1);
    EXPECT_GT(candidate.leave_out_standard_error_si, 0);
    EXPECT_NE(candidate.reason, "");
  }
  EXPECT_EQ(fitted.surface.candidates[2].model, "degree 3 (ten coefficients)");
  // Without a request nothing is added to what surfaces always held.
  ASSERT_OK_AND_ASSIGN(const FittedSurface plain, FitBestResponse(plan.Problem()));
  EXPECT_EQ(plain.surface.model, "");
  EXPECT_EQ(plain.surface.candidates[0].model, "");
  EXPECT_EQ(plain.surface.candidates[0].leave_out_standard_error_si, 0);
}

TEST(WeightsTest, NoPointCountsMoreThanFourMedianOnes) {
  const std::vector<double> standard = {1, 2, 2, 2, 1e-9, 8, 0};
  const std::vector<double> weights = WeightsOf(standard);
  ASSERT_EQ(weights.size(), 7u);
  EXPECT_EQ(weights[0], 4);
  EXPECT_EQ(weights[1], 1);
  EXPECT_EQ(weights[4], 4);
  EXPECT_EQ(weights[5], 1.0 / 16);
  EXPECT_EQ(weights[6], 4);
  EXPECT_TRUE(WeightsOf(std::vector<double>{0, 0, 1}).empty());
  EXPECT_TRUE(WeightsOf({}).empty());
}

// Scatter beyond the readings is common to all points; where there is none, the readings
// alone decide.
TEST(WeightsTest, WhatDaysDifferByIsCommonToAllPoints) {
  Random random("WHAT_DAYS_DIFFER_BY");
  Plan plan = Sample([](double a, double b) { return 5000 + 90 * a - 30 * b; }, 400);
  const Plan exact = plan;
  std::vector<double> readings;
  for (size_t i = 0; i < 400; ++i) {
    readings.push_back(i % 2 == 0 ? 5 : 20);
    plan.values[i] += readings[i] * random.Normal() + 40 * random.Normal();
  }
  const std::vector<double> counting =
      CountingStandard(plan.columns, plan.values, readings);
  ASSERT_EQ(counting.size(), 400u);
  EXPECT_NEAR(counting[0], std::sqrt(25 + 1600), 4);
  EXPECT_NEAR(counting[1], std::sqrt(400 + 1600), 4);
  EXPECT_EQ(CountingStandard(exact.columns, exact.values, readings), readings);
  EXPECT_TRUE(CountingStandard(exact.columns, exact.values, {}).empty());
}

// A point of half the weight is as one that was measured once where others were twice.
TEST(WeightsTest, WeightIsRepetition) {
  Random random("WEIGHT_IS_REPETITION");
  Plan once = Sample([](double a, double b) { return 5000 + 90 * a - 30 * b; }, 12);
  for (double& value : once.values) value += 60 * random.Normal();
  Plan twice = once;
  for (size_t i = 0; i < 12; ++i) {
    once.standard_si.push_back(i < 5 ? std::sqrt(0.5) : 1);
    if (i >= 5) continue;
    twice.values.push_back(once.values[i]);
    twice.ids.push_back(once.ids[i]);
    for (size_t j = 0; j < 2; ++j) twice.columns[j].push_back(once.columns[j][i]);
  }
  ASSERT_OK_AND_ASSIGN(const FittedSurface weighted,
                       FitResponse(once.Problem(), 1, SurfacePurpose::kProof));
  ASSERT_OK_AND_ASSIGN(const FittedSurface repeated,
                       FitResponse(twice.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_TRUE(weighted.surface.weighted);
  EXPECT_FALSE(repeated.surface.weighted);
  for (size_t t = 0; t < 3; ++t) {
    EXPECT_NEAR(weighted.surface.coefficients_si[t], repeated.surface.coefficients_si[t],
                1e-8);
    EXPECT_NEAR(weighted.surface.leverage_matrix[t], repeated.surface.leverage_matrix[t],
                1e-12);
  }
}

document::LineManifest Asking(const ModelRequest& request) {
  document::LineManifest manifest = CoolingManifest();
  manifest.units[0].modes[0].model = request;
  return manifest;
}

std::vector<document::TestPoint> TwoStages() {
  std::vector<document::TestPoint> points = Grid("low");
  const std::vector<document::TestPoint> high = Grid("high");
  points.insert(points.end(), high.begin(), high.end());
  Random random("TWO_STAGES");
  for (document::TestPoint& point : points) {
    for (const char* quantity : {"total_capacity", "power_input", "sensible_capacity"}) {
      Set(point, quantity, *point.Find(quantity) * (1 + 0.002 * random.Normal()));
    }
  }
  return points;
}

TEST(JointStagesTest, ACutIsASurfaceOfItsStage) {
  const ModelRequest request{.families = {ModelFamily::kJointStages},
                             .stage_shares = {0.5, 1}};
  document::LineManifest manifest = Asking(request);
  manifest.units[0].modes[0].declared_proof_degree = 2;
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(manifest, TwoStages()));
  ASSERT_EQ(maps.size(), 2u);
  for (size_t k = 0; k < 2; ++k) {
    const Surface* surface =
        FindSurface(maps[k], "total_capacity", SurfacePurpose::kTable);
    ASSERT_NE(surface, nullptr) << maps[k].refusals[0];
    EXPECT_EQ(surface->joint_stages, (std::vector<std::string>{"low", "high"}));
    EXPECT_EQ(surface->point_count, 40);
    EXPECT_GT(surface->fitted_term_count, 0);
    ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(maps[k]));
    const std::vector<double> point = {18.5, 30};
    ASSERT_OK_AND_ASSIGN(const Estimate capacity,
                         model.Evaluate("total_capacity", point));
    EXPECT_NEAR(capacity.value_si / ((k + 1) * TrueCapacityW(18.5, 30)), 1, 0.003);
    ASSERT_TRUE(capacity.standard_error_si.has_value());
    EXPECT_LT(*capacity.standard_error_si, 0.003 * capacity.value_si);
    // Proofs are of the stage alone.
    const Surface* proof = FindSurface(maps[k], "total_capacity", SurfacePurpose::kProof);
    ASSERT_NE(proof, nullptr);
    EXPECT_EQ(proof->point_count, 20);
    EXPECT_TRUE(proof->joint_stages.empty());
  }
}

// What a stage of six points does far from them is better told by the other stage's bend
// than by a plane of its own.
TEST(JointStagesTest, ASparseStageBorrows) {
  const auto truth_w = [](double wb_c, double water_c) {
    return TrueCapacityW(wb_c, water_c) + 6000 + 50 * wb_c;
  };
  std::vector<document::TestPoint> points = Grid("low");
  for (document::TestPoint& point : Grid("high")) {
    const double wb_c = *point.Find("entering_air_wb");
    const double water_c = *point.Find("entering_water_temp");
    if (wb_c > 18 || water_c > 31) continue;
    Set(point, "total_capacity", truth_w(wb_c, water_c));
    points.push_back(point);
  }
  const auto error_w = [&](ModelFamily family) {
    const auto maps = FitLine(Asking({.families = {family},
                                      .rule = document::ModelRule::kLeastError,
                                      .stage_shares = {0.5, 1}}),
                              points);
    const auto model = StageModel::Create((*maps)[1]);
    const double value_w =
        model->Evaluate("total_capacity", std::vector<double>{23.0, 40.0})->value_si;
    return std::fabs(value_w - truth_w(23, 40));
  };
  EXPECT_LT(error_w(ModelFamily::kJointStages), 0.5 * error_w(ModelFamily::kTotalDegree));
}

TEST(FitLineTest, ProofsTakeOneDegreeAboveWhicheverRuleChose) {
  const std::vector<document::TestPoint> points = TwoStages();
  ASSERT_OK_AND_ASSIGN(const auto plain, FitLine(CoolingManifest(), points));
  ASSERT_OK_AND_ASSIGN(const auto asked,
                       FitLine(Asking({.families = {ModelFamily::kTotalDegree,
                                                    ModelFamily::kConditionDegrees}}),
                               points));
  int proofs = 0;
  for (size_t k = 0; k < plain.size(); ++k) {
    EXPECT_EQ(plain[k].refusals, asked[k].refusals);
    for (const char* quantity : {"total_capacity", "power_input", "sensible_capacity"}) {
      const Surface* a = FindSurface(plain[k], quantity, SurfacePurpose::kProof);
      const Surface* b = FindSurface(asked[k], quantity, SurfacePurpose::kProof);
      ASSERT_EQ(a == nullptr, b == nullptr);
      if (a == nullptr) continue;
      ++proofs;
      EXPECT_EQ(*a, *b);
    }
  }
  EXPECT_GT(proofs, 0);
}

TEST(FitLineTest, FamiliesGiveTheSameForAnyNumberOfThreads) {
  const document::LineManifest manifest =
      Asking({.families = {ModelFamily::kTotalDegree, ModelFamily::kConditionDegrees,
                           ModelFamily::kLogResponse, ModelFamily::kReciprocalTemperature,
                           ModelFamily::kCarnot, ModelFamily::kJointStages},
              .sink_condition = "entering_water_temp",
              .source_condition = "entering_air_wb",
              .approach_k = 20});
  const std::vector<document::TestPoint> points = TwoStages();
  ASSERT_OK_AND_ASSIGN(const auto one,
                       FitLine(manifest, points, {.thread_count = 1, .diagnose = true}));
  ASSERT_OK_AND_ASSIGN(const auto four,
                       FitLine(manifest, points, {.thread_count = 4, .diagnose = true}));
  EXPECT_EQ(one, four);
  const Surface* power = FindSurface(one[0], "power_input", SurfacePurpose::kTable);
  ASSERT_NE(power, nullptr);
  EXPECT_GE(power->candidates.size(), 15u);
  // Whatever was chosen, the map evaluates it.
  for (const document::StageMap& map : one) {
    ASSERT_OK_AND_ASSIGN(const StageModel model, StageModel::Create(map));
    ASSERT_OK_AND_ASSIGN(const Estimate estimate,
                         model.Evaluate("power_input", std::vector<double>{17.0, 30.0}));
    EXPECT_NEAR(estimate.value_si / TruePowerW(17, 30), map.stage == "high" ? 2 : 1,
                0.02);
  }
}

}  // namespace
}  // namespace ratebound::map
