#include "engine/points/uncertainty/second_order.h"

#include <array>
#include <cmath>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Component Normal(int input, double standard_uncertainty) {
  return {.name = "x", .input = input, .standard_uncertainty = standard_uncertainty};
}

TEST(CheckSecondOrder, ProductOfTwoInputsIsExact) {
  // var(XY) = x^2 v^2 + y^2 u^2 + u^2 v^2 (Goodman, JASA 55 (1960) 708).
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(2, {Normal(0, 0.3), Normal(1, 0.5)}));
  const GradientFunction product = [](std::span<const double> x, std::span<double> out) {
    out[0] = x[1];
    out[1] = x[0];
  };
  ASSERT_OK_AND_ASSIGN(const auto checks,
                       CheckSecondOrder(inputs, std::array{2.0, 0.0}, 1, product));
  EXPECT_NEAR(*checks[0].standard, std::sqrt(4 * 0.25 + 0 * 0.09 + 0.09 * 0.25), 1e-13);
  EXPECT_EQ(checks[0].value_shift, 0);
  EXPECT_NEAR(checks[0].Increase(), std::sqrt(1 + 0.0225) - 1, 1e-12);
}

TEST(CheckSecondOrder, ProductOfCorrelatedInputsIsExact) {
  // var(XY) for zero means = u^2 v^2 (1 + r^2), and the mean shifts by r u v.
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(2, {Normal(0, 0.3), Normal(1, 0.5)}, {{0, 1, -0.8}}));
  const GradientFunction product = [](std::span<const double> x, std::span<double> out) {
    out[0] = x[1];
    out[1] = x[0];
  };
  ASSERT_OK_AND_ASSIGN(const auto checks,
                       CheckSecondOrder(inputs, std::array{0.0, 0.0}, 1, product));
  EXPECT_EQ(checks[0].first_order_standard, 0);
  EXPECT_NEAR(*checks[0].standard, 0.15 * std::sqrt(1 + 0.64), 1e-14);
  EXPECT_NEAR(checks[0].value_shift, -0.8 * 0.15, 1e-15);
  EXPECT_TRUE(std::isinf(checks[0].Increase()));
}

TEST(CheckSecondOrder, LinearOutputsHaveNothingToAdd) {
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(2, {Normal(0, 0.3), Normal(1, 0.5)}));
  const GradientFunction linear = [](std::span<const double>, std::span<double> out) {
    out[0] = 3;
    out[1] = -2;
  };
  ASSERT_OK_AND_ASSIGN(const auto checks,
                       CheckSecondOrder(inputs, std::array{1e6, -1e6}, 1, linear));
  EXPECT_TRUE(checks[0].terms.empty());
  EXPECT_EQ(checks[0].Increase(), 0);
}

TEST(CheckSecondOrder, OpposingCurvatureThatLeavesNoVarianceIsNoAnswer) {
  // f = x - x^3 with u = 1: slope 1, third derivative -6, 1 - 6 < 0.
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(1, {Normal(0, 1)}));
  const GradientFunction cubic = [](std::span<const double> x, std::span<double> out) {
    out[0] = 1 - 3 * x[0] * x[0];
  };
  ASSERT_OK_AND_ASSIGN(const auto checks,
                       CheckSecondOrder(inputs, std::array{0.0}, 1, cubic));
  EXPECT_FALSE(checks[0].standard.has_value());
  EXPECT_TRUE(std::isinf(checks[0].Increase()));
}

TEST(CheckSecondOrder, FaultsAreSaid) {
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(1, {Normal(0, 1)}));
  const GradientFunction root = [](std::span<const double> x, std::span<double> out) {
    out[0] = 0.5 / std::sqrt(x[0]);
  };
  EXPECT_THAT(
      CheckSecondOrder(inputs, std::array{0.05}, 1, root),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("near the estimates")));
  EXPECT_THAT(CheckSecondOrder(inputs, std::array{0.5, 1.0}, 1, root),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("1 finite")));
}

}  // namespace
}  // namespace ratebound::points
