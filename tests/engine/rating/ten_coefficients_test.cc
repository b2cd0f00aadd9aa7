// Compressors by ten coefficients: the polynomial, the coefficients of a map, and what
// another superheat does.
#include "engine/rating/ten_coefficients.h"

#include <cmath>

#include "engine/rating/metric.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::CitedNumber;
using document::Procedure;
using document::Rating;
using ratebound::testing::OutsideCheck;
using ratebound::testing::Random;
using ::testing::Contains;
using ::testing::HasSubstr;

constexpr TenCoefficients kInvented = {1000, 10,   20,     .1,    .05,
                                       .15,  .001, -.0005, .0003, .0002};

TEST(TenCoefficientsRegression, ThePolynomial) {
  OutsideCheck check({.name = "rating.ten_coefficients",
                      .source = "form of AHRI 540 from memory, invented coefficients",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Relative("X", TenCoefficientValue(kInvented, 45, 130), 7707.05);
}

TEST(TenCoefficients, OfACubicAreItsOwn) {
  Random random("OfACubicAreItsOwn");
  for (int i = 0; i < 50; ++i) {
    TenCoefficients truth;
    for (double& c : truth) c = random.Uniform(-1, 1);
    const double s_low = random.Uniform(-40, 0);
    const double d_low = random.Uniform(20, 40);
    const auto found = TenCoefficientsOf(
        [&](double s, double d) { return TenCoefficientValue(truth, s, d); }, s_low,
        s_low + 50, d_low, d_low + 40);
    ASSERT_TRUE(found.has_value());
    for (size_t j = 0; j < truth.size(); ++j) {
      // The constant is what is left of far larger terms.
      ASSERT_NEAR((*found)[j], truth[j], j == 0 ? 1e-6 : 1e-8) << j;
    }
  }
  EXPECT_FALSE(TenCoefficientsOf([](double, double) { return 1.0; }, 0, 0, 0, 1));
  EXPECT_FALSE(TenCoefficientsOf([](double, double) { return NAN; }, 0, 1, 0, 1));
}

// A compressor whose power and capacity are cubics of degC.
class Compressor : public FigureSource {
 public:
  Compressor() {
    description_.unit = Chiller({}).unit;
    description_.mode = Chiller({}).mode;
    description_.mode.conditions = {"saturated_suction_temp", "saturated_discharge_temp"};
    description_.mode.stages = {{.id = "only"}};
    description_.quantities = {"total_capacity", "power_input"};
  }
  const SourceDescription& description() const override { return description_; }
  SourceDescription& description() { return description_; }
  bool Figures(int, std::span<const double> at, std::span<double> out) const override {
    const double figures[] = {3 * TenCoefficientValue(kInvented, at[0], at[1]),
                              TenCoefficientValue(kInvented, at[0], at[1]) +
                                  (waves ? 100 * std::fabs(at[0]) : 0)};
    std::copy_n(figures, out.size(), out.begin());
    return true;
  }
  absl::Status WhyNone(int, std::span<const double>) const override {
    return absl::OkStatus();
  }
  FigureFooting Footing(int, std::span<const double>) const override {
    return {.footing = document::Footing::kInterpolated, .reason = {}, .test_points = {}};
  }
  std::optional<TestedRange> RangeOf(int, int condition) const override {
    return condition == 0 ? TestedRange{-20, 10} : TestedRange{30, 60};
  }
  bool waves = false;

 private:
  SourceDescription description_;
};

Procedure Table() {
  Procedure procedure = FourPoints();
  procedure.metric = "COP";
  procedure.load_points.clear();
  procedure.part_load.reset();
  procedure.common_conditions = {At("saturated_suction_temp", 5, "degC"),
                                 At("saturated_discharge_temp", 50, "degC")};
  procedure.form = document::CompressorTable{
      .evaporating_quantity = "saturated_suction_temp",
      .condensing_quantity = "saturated_discharge_temp",
      .temperature_unit = "degC",
      .tabulated = {{"power_input", "W"}, {"total_capacity", "kW"}},
      .citation = Invented()};
  return procedure;
}

TEST(CompressorForm, GivesCoefficientsOfEveryTabulatedQuantity) {
  const Rating rating = RateSource(Table(), Compressor()).value();
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  EXPECT_NEAR(*rating.value, 3, 1e-12);
  ASSERT_EQ(rating.coefficient_sets.size(), 2);
  const document::CoefficientSet& power = rating.coefficient_sets[0];
  EXPECT_EQ(power.quantity, "power_input");
  EXPECT_LT(power.greatest_deviation_fraction, 1e-12);
  for (size_t i = 0; i < kInvented.size(); ++i) {
    EXPECT_NEAR(power.coefficients[i], kInvented[i], 1e-7 * (1 + kInvented[i]));
    EXPECT_NEAR(rating.coefficient_sets[1].coefficients[i], 3e-3 * kInvented[i],
                1e-9 * (1 + kInvented[i]));
  }
}

TEST(CompressorForm, SaysHowFarACubicIsOffAMapThatIsNone) {
  Compressor compressor;
  compressor.waves = true;
  const Rating rating = RateSource(Table(), compressor).value();
  EXPECT_GT(rating.coefficient_sets[0].greatest_deviation_fraction, 0.01);
  EXPECT_LT(rating.coefficient_sets[1].greatest_deviation_fraction, 1e-12);
}

TEST(CompressorForm, AnotherSuperheatChangesFlowAndWork) {
  Procedure procedure = Table();
  auto& table = std::get<document::CompressorTable>(procedure.form);
  table.superheat = document::SuperheatCorrection{
      .volumetric_factor = {.value = Stated(0.75)},
      .density_ratio = {.input = "density_ratio"},
      .isentropic_work_ratio = {.input = "work_ratio"},
      .enthalpy_difference_ratio = CitedNumber{.input = "enthalpy_ratio"},
      .citation = Invented()};
  procedure.required_inputs = {{"density_ratio", "new over old", ""},
                               {"work_ratio", "new over old", ""},
                               {"enthalpy_ratio", "new over old", ""}};
  Compressor compressor;
  const Rating refused = RateSource(procedure, compressor).value();
  EXPECT_EQ(refused.missing_inputs.size(), 3);
  compressor.description().unit.procedure_inputs = {
      {"four-points", "density_ratio", 0.96, ""},
      {"four-points", "work_ratio", 1.02, ""},
      {"four-points", "enthalpy_ratio", 1.05, ""}};
  const Rating rating = RateSource(procedure, compressor).value();
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  // Flow cancels: both follow it.
  EXPECT_NEAR(*rating.value, 3 * 1.05 / 1.02, 1e-12);
  const double flow = 1 + 0.75 * (0.96 - 1);
  bool seen = false;
  for (const document::TraceStep& step : rating.trace) {
    if (step.label != "power, corrected") continue;
    seen = true;
    EXPECT_NEAR(step.value, TenCoefficientValue(kInvented, 5, 50) * flow * 1.02, 1e-9);
  }
  EXPECT_TRUE(seen);
  EXPECT_THAT(rating.notes, Contains(HasSubstr("superheat of the tests")));
}

}  // namespace
}  // namespace ratebound::rating
