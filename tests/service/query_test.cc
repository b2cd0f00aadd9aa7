// Answers of the sample release, whose figures can be worked out by hand (fake_engine.h).
#include <gtest/gtest.h>

#include <limits>

#include "absl/strings/str_cat.h"
#include "service/query_answers.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

class QueryTest : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(store_, Store::Open(":memory:"));
    library_ = std::make_unique<ReleaseLibrary>(*store_);
    ASSERT_OK_AND_ASSIGN(const Published published, library_->Publish(SampleRelease()));
    digest_ = published.summary.digest();
  }

  static v1::EvaluateRequest At(double entering_water_temp,
                                const std::string& unit = "degC") {
    v1::EvaluateRequest request;
    request.mutable_map()->set_unit("u1");
    Add("entering_water_temp", entering_water_temp, unit, &request);
    return request;
  }
  static void Add(const std::string& quantity, double value, const std::string& unit,
                  v1::EvaluateRequest* request) {
    v1::Measure* measure = request->add_conditions();
    measure->set_quantity(quantity);
    measure->set_value(value);
    measure->set_unit(unit);
  }
  absl::StatusOr<v1::EvaluateResponse> Ask(const v1::EvaluateRequest& request) {
    v1::EvaluateResponse response;
    const absl::Status status = Evaluate(*library_, request, &response);
    if (!status.ok()) return status;
    return response;
  }
  static const v1::Figure* Find(const v1::StageAnswer& answer,
                                const std::string& quantity) {
    for (const v1::Figure& figure : answer.figures()) {
      if (figure.quantity() == quantity) return &figure;
    }
    return nullptr;
  }

  static v1::BatchEvaluateRequest BatchAt(const std::vector<double>& temperatures) {
    v1::BatchEvaluateRequest request;
    request.mutable_map()->set_unit("u1");
    request.mutable_map()->set_stage("high");
    v1::ConditionColumn* column = request.add_conditions();
    column->set_quantity("entering_water_temp");
    column->set_unit("degC");
    column->mutable_values()->Assign(temperatures.begin(), temperatures.end());
    request.add_quantities("total_capacity");
    return request;
  }
  absl::StatusOr<v1::BatchEvaluateResponse> AskBatch(
      const v1::BatchEvaluateRequest& request, int most = kBatchPoints) {
    v1::BatchEvaluateResponse response;
    const absl::Status status = BatchEvaluate(*library_, request, most, {}, &response);
    if (!status.ok()) return status;
    return response;
  }

  std::unique_ptr<Store> store_;
  std::unique_ptr<ReleaseLibrary> library_;
  std::string digest_;
};

TEST_F(QueryTest, AnswersEveryStageInSiWithFootingAndCautions) {
  ASSERT_OK_AND_ASSIGN(const v1::EvaluateResponse response, Ask(At(86, "degF")));
  EXPECT_EQ(response.effective_release(), digest_);
  EXPECT_EQ(response.effective_confidence(), 0.95);
  ASSERT_EQ(response.cautions_size(), 1);
  ASSERT_EQ(response.stages_size(), 2);
  EXPECT_EQ(response.stages(0).stage(), "low");
  const v1::StageAnswer& high = response.stages(1);
  EXPECT_EQ(high.stage(), "high");
  EXPECT_EQ(high.mode(), "cool");
  EXPECT_EQ(high.footing(), v1::FOOTING_TESTED);
  EXPECT_EQ(high.footing_reason(), "");
  const v1::Figure* capacity = Find(high, "total_capacity");
  ASSERT_NE(capacity, nullptr);
  EXPECT_DOUBLE_EQ(capacity->value(), 50'000);
  EXPECT_EQ(capacity->unit(), "W");
  // t(0.975, 10) = 2.228139, from printed tables of Student's t (from memory).
  EXPECT_NEAR(capacity->half_width(), 2.228139 * 300, 1e-3);
  const v1::Figure* ratio = Find(high, "energy_efficiency_ratio");
  ASSERT_NE(ratio, nullptr);
  EXPECT_DOUBLE_EQ(ratio->value(), 5);
}

TEST_F(QueryTest, ConfidenceWidensTheInterval) {
  v1::EvaluateRequest request = At(30);
  request.set_confidence(0.99);
  ASSERT_OK_AND_ASSIGN(const v1::EvaluateResponse response, Ask(request));
  EXPECT_EQ(response.effective_confidence(), 0.99);
  // t(0.995, 10) = 3.169273, from printed tables (from memory).
  EXPECT_NEAR(Find(response.stages(1), "total_capacity")->half_width(), 3.169273 * 300,
              1e-3);
  for (double wrong : {0.0, 0.49, 0.99991, 1.0, 95.0}) {
    request.set_confidence(wrong);
    EXPECT_THAT(Ask(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                HasSubstr("give 0.5 to 0.9999")));
  }
}

TEST_F(QueryTest, OutsideWhatWasTestedIsAnsweredAndMarked) {
  ASSERT_OK_AND_ASSIGN(const v1::EvaluateResponse response, Ask(At(45)));
  EXPECT_EQ(response.stages(1).footing(), v1::FOOTING_EXTRAPOLATED);
  EXPECT_THAT(response.stages(1).footing_reason(), HasSubstr("entering_water_temp"));
  EXPECT_DOUBLE_EQ(Find(response.stages(1), "total_capacity")->value(), 47'000);
}

TEST_F(QueryTest, AHeldConditionIsAcceptedAndNeverIgnored) {
  v1::EvaluateRequest request = At(30);
  Add("water_flow", 1.05, "L/s", &request);
  ASSERT_OK_AND_ASSIGN(v1::EvaluateResponse response, Ask(request));
  EXPECT_EQ(response.stages(1).footing(), v1::FOOTING_TESTED);
  request.mutable_conditions(1)->set_value(2);
  ASSERT_OK_AND_ASSIGN(response, Ask(request));
  EXPECT_EQ(response.stages(1).footing(), v1::FOOTING_EXTRAPOLATED);
  EXPECT_THAT(response.stages(1).footing_reason(), HasSubstr("water_flow"));
}

TEST_F(QueryTest, AllThatIsWrongWithTheConditionsIsNamedAtOnce) {
  v1::EvaluateRequest request;
  request.mutable_map()->set_unit("u1");
  Add("entering_water_tmp", 30, "degC", &request);
  Add("water_flow", 1, "degC", &request);
  EXPECT_THAT(Ask(request),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                AllOf(HasSubstr("did you mean 'entering_water_temp'"),
                                      HasSubstr("conditions[1]"),
                                      HasSubstr("'entering_water_temp' is missing"))));
  request = At(30);
  Add("entering_water_temp", 31, "degC", &request);
  EXPECT_THAT(Ask(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                              HasSubstr("given twice")));
}

TEST_F(QueryTest, ValuesThatNoMachineMeetsAreRefused) {
  EXPECT_THAT(Ask(At(std::numeric_limits<double>::quiet_NaN())),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("conditions[0].value: is no number")));
  EXPECT_THAT(Ask(At(3000)), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                               HasSubstr("conditions[0].value")));
}

struct SelectorCase {
  std::string name;
  std::string unit, mode, stage, release;
  absl::StatusCode code;
  std::string message;
};

class Selectors : public QueryTest, public ::testing::WithParamInterface<SelectorCase> {};

TEST_P(Selectors, ThatFitNothingSayWhatThereIs) {
  v1::EvaluateRequest request = At(30);
  request.mutable_map()->set_unit(GetParam().unit);
  request.mutable_map()->set_mode(GetParam().mode);
  request.mutable_map()->set_stage(GetParam().stage);
  request.mutable_map()->set_release(GetParam().release == "it" ? digest_
                                                                : GetParam().release);
  EXPECT_THAT(Ask(request),
              testing::StatusIs(GetParam().code, HasSubstr(GetParam().message)));
}

INSTANTIATE_TEST_SUITE_P(
    Query, Selectors,
    ::testing::Values(
        SelectorCase{"NoUnit", "", "", "", "", absl::StatusCode::kInvalidArgument,
                     "map.unit"},
        SelectorCase{"UnknownUnit", "u9", "", "", "", absl::StatusCode::kNotFound,
                     "no release holds a unit 'u9'"},
        SelectorCase{"UnitNotInRelease", "unit-7", "", "", "it",
                     absl::StatusCode::kNotFound, "has no unit 'unit-7'; it has u1"},
        SelectorCase{"UnknownRelease", "u1", "", "", "00000000",
                     absl::StatusCode::kNotFound, "no release has a digest"},
        SelectorCase{"ShortRelease", "u1", "", "", "ab",
                     absl::StatusCode::kInvalidArgument, "has 2 digits"},
        SelectorCase{"UnknownMode", "u1", "cold", "", "it", absl::StatusCode::kNotFound,
                     "mode 'cold'"},
        SelectorCase{"NearStage", "u1", "cool", "hih", "it", absl::StatusCode::kNotFound,
                     "did you mean 'high'"}),
    [](const auto& selector_case) { return selector_case.param.name; });

TEST_F(QueryTest, BatchAgreesWithSingleAnswers) {
  const std::vector<double> temperatures = {18, 20, 25, 29.99, 33.3, 41};
  v1::BatchEvaluateRequest request = BatchAt(temperatures);
  request.add_quantities("energy_efficiency_ratio");
  for (bool with_uncertainty : {false, true}) {
    request.set_with_uncertainty(with_uncertainty);
    ASSERT_OK_AND_ASSIGN(const v1::BatchEvaluateResponse batch, AskBatch(request));
    EXPECT_EQ(batch.effective_release(), digest_);
    for (size_t i = 0; i < temperatures.size(); ++i) {
      ASSERT_OK_AND_ASSIGN(const v1::EvaluateResponse single, Ask(At(temperatures[i])));
      EXPECT_EQ(batch.footings(i), single.stages(1).footing());
      for (const v1::FigureColumn& column : batch.figures()) {
        const v1::Figure* figure = Find(single.stages(1), column.quantity());
        EXPECT_EQ(column.values(i), figure->value()) << column.quantity() << " at " << i;
        EXPECT_EQ(column.unit(), figure->unit());
        if (with_uncertainty) {
          EXPECT_EQ(column.half_widths(i), figure->half_width());
        } else {
          EXPECT_EQ(column.half_widths_size(), 0);
        }
      }
    }
  }
}

TEST_F(QueryTest, BatchTakesHeldConditionsAsColumns) {
  v1::BatchEvaluateRequest request = BatchAt({30, 30});
  v1::ConditionColumn* flow = request.add_conditions();
  flow->set_quantity("water_flow");
  flow->set_unit("L/s");
  flow->add_values(1);
  flow->add_values(2);
  ASSERT_OK_AND_ASSIGN(const v1::BatchEvaluateResponse response, AskBatch(request));
  EXPECT_EQ(response.footings(0), v1::FOOTING_TESTED);
  EXPECT_EQ(response.footings(1), v1::FOOTING_EXTRAPOLATED);
}

TEST_F(QueryTest, BatchNamesWhatIsWrong) {
  v1::BatchEvaluateRequest request = BatchAt({30, 31});
  v1::ConditionColumn* flow = request.add_conditions();
  flow->set_quantity("water_flow");
  flow->set_unit("L/s");
  flow->add_values(1);
  EXPECT_THAT(AskBatch(request),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("has 1 values and conditions[0] has 2")));
  request = BatchAt({30});
  request.set_quantities(0, "totl_capacity");
  EXPECT_THAT(AskBatch(request),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("did you mean 'total_capacity'")));
  request.clear_quantities();
  EXPECT_THAT(AskBatch(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                   HasSubstr("quantities: is empty")));
  request = BatchAt({30, 3000});
  EXPECT_THAT(AskBatch(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                   HasSubstr("conditions[0].values[1]")));
  request = BatchAt({30});
  request.mutable_map()->clear_stage();
  EXPECT_THAT(AskBatch(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                   HasSubstr("name one of low, high")));
}

TEST_F(QueryTest, BatchIsHeldToItsLimits) {
  EXPECT_THAT(AskBatch(BatchAt(std::vector<double>(8001, 30)), kStreamPoints),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("at most 8000 points")));
  v1::BatchEvaluateRequest request = BatchAt(std::vector<double>(kBatchPoints, 30));
  ASSERT_OK_AND_ASSIGN(const v1::BatchEvaluateResponse full, AskBatch(request));
  EXPECT_EQ(full.footings_size(), kBatchPoints);
  // Four quantities with half widths take 65 bytes a point: 61,538 fit the answer.
  for (int i = 0; i < 3; ++i) request.add_quantities("power_input");
  request.set_with_uncertainty(true);
  EXPECT_THAT(AskBatch(request), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                   HasSubstr("at most 61538 points")));
  request.mutable_conditions(0)->mutable_values()->Truncate(61'538);
  ASSERT_OK_AND_ASSIGN(const v1::BatchEvaluateResponse most, AskBatch(request));
  EXPECT_LT(most.ByteSizeLong(), size_t{4} << 20);
}

// Regimes: each map answers in its own tested region.
TEST_F(QueryTest, OfTwoRegimesTheOneWithTheStrongerFootingAnswers) {
  document::Release release = SampleRelease();
  document::StageMap dry = release.maps[1];
  dry.regime = "dry";
  dry.tested_low_si = {5};
  dry.tested_high_si = {15};
  dry.point_conditions_si = {5, 10, 15};
  for (document::Surface& surface : dry.surfaces) {
    surface.centre_si = {10};
    surface.half_range_si = {5};
  }
  dry.surfaces[0].coefficients_si = {60'000, 0};
  release.maps[1].regime = "wet";
  release.maps.push_back(dry);
  ASSERT_THAT(library_->Publish(release), testing::IsOk());
  ASSERT_OK_AND_ASSIGN(v1::EvaluateResponse response, Ask(At(10)));
  EXPECT_EQ(response.stages(1).footing(), v1::FOOTING_TESTED);
  EXPECT_EQ(Find(response.stages(1), "total_capacity")->value(), 60'000);
  ASSERT_OK_AND_ASSIGN(response, Ask(At(30)));
  EXPECT_EQ(Find(response.stages(1), "total_capacity")->value(), 50'000);
  ASSERT_OK_AND_ASSIGN(const v1::BatchEvaluateResponse batch,
                       AskBatch(BatchAt({30, 10, 30})));
  EXPECT_EQ(batch.figures(0).values(0), 50'000);
  EXPECT_EQ(batch.figures(0).values(1), 60'000);
  EXPECT_EQ(batch.figures(0).values(2), 50'000);
}

}  // namespace
}  // namespace ratebound::service
