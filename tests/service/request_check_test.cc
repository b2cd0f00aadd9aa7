#include "service/request_check.h"

#include <gtest/gtest.h>

#include <limits>

#include "ratebound/v1/query_service.pb.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(CheckFinite, NamesEveryDoubleThatIsNoNumber) {
  v1::EvaluateRequest request;
  request.set_confidence(kNan);
  request.add_conditions()->set_value(1);
  request.add_conditions()->set_value(-kInfinity);
  EXPECT_THAT(CheckFinite(request),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                AllOf(HasSubstr("confidence: is no number (NaN)"),
                                      HasSubstr("conditions[1].value: is infinite"))));
}

TEST(CheckFinite, LooksIntoColumnsOfNestedMessages) {
  v1::StreamEvaluateRequest request;
  v1::ConditionColumn* column = request.mutable_batch()->add_conditions();
  column->add_values(1);
  column->add_values(kNan);
  EXPECT_THAT(
      CheckFinite(request),
      testing::StatusIs(absl::StatusCode::kInvalidArgument,
                        HasSubstr("batch.conditions[0].values[1]: is no number")));
}

TEST(CheckFinite, LetsEveryNumberThrough) {
  v1::EvaluateRequest request;
  for (double value : {0.0, -0.0, std::numeric_limits<double>::denorm_min(),
                       std::numeric_limits<double>::max(), -1.5}) {
    request.add_conditions()->set_value(value);
  }
  EXPECT_THAT(CheckFinite(request), testing::IsOk());
}

}  // namespace
}  // namespace ratebound::service
