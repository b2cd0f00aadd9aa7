// What a manifest says of readings, against sums worked out by hand.
#include "engine/points/pipeline/reading_uncertainty.h"

#include <cmath>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/points/instruments.h"
#include "engine/points/uncertainty/propagation.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/pipeline/pipeline_line.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::AccuracyDistribution;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using testing::StatusIs;

// Of a weighted sum of the readings, in the order of their names.
OutputUncertainty OfSum(const PointInputs& inputs, std::vector<double> weights) {
  std::vector<double> w(static_cast<size_t>(inputs.uncertainty.weight_count()));
  inputs.uncertainty.Weigh(inputs.uncertainty.standard_uncertainties(), w);
  std::vector<double> loadings(static_cast<size_t>(inputs.uncertainty.factor_count()));
  std::vector<OutputUncertainty> outputs(1);
  Propagate(inputs.uncertainty, w, weights, loadings, outputs);
  return outputs[0];
}

struct FigureCase {
  std::string name;
  std::string quantity;
  double reading_si;
  document::Instrument instrument;
  double random_si;
  double systematic_si;
  double standard_deviation_si = 0;  // of the readings
  int reading_count = 0;
};
void PrintTo(const FigureCase& figure, std::ostream* out) { *out << figure.name; }

document::Instrument Meter(std::vector<document::Accuracy> accuracies) {
  return Instrument("m", {"entering_air_db", "power_input"}, std::move(accuracies));
}
document::Accuracy Limits(AccuracyDistribution distribution, double half_width_k) {
  document::Accuracy accuracy = Within(half_width_k, "degC");
  accuracy.distribution = distribution;
  return accuracy;
}
document::Accuracy Expanded(double factor, double absolute_k) {
  document::Accuracy accuracy = Within(absolute_k, "degC");
  accuracy.coverage_factor = factor;
  return accuracy;
}
document::Instrument Shown(double last_digit, std::string unit) {
  document::Instrument instrument = Meter({});
  instrument.resolution = last_digit;
  instrument.resolution_unit = std::move(unit);
  return instrument;
}

class Figures : public ::testing::TestWithParam<FigureCase> {};

TEST_P(Figures, BecomeStandardUncertainties) {
  const FigureCase& figure = GetParam();
  document::LineManifest line = AirLine();
  line.instruments = {figure.instrument};
  document::TestPoint point = PointWith("p", {{figure.quantity, figure.reading_si}});
  point.values[0].standard_deviation_si = figure.standard_deviation_si;
  point.values[0].reading_count = figure.reading_count;
  ASSERT_OK_AND_ASSIGN(const PointInputs inputs, ReadingUncertainty(line).Of(point));
  const OutputUncertainty u = OfSum(inputs, {1});
  EXPECT_NEAR(u.random.standard, figure.random_si, 1e-14 * (1 + figure.random_si));
  EXPECT_NEAR(u.systematic.standard, figure.systematic_si,
              1e-14 * (1 + figure.systematic_si));
}

constexpr char kDry[] = "entering_air_db";
constexpr char kPower[] = "power_input";
// Divisors: JCGM 100:2008, 4.3.3 (expanded), 4.3.7 (rectangular), 4.3.9 (triangular),
// H.1.3.4 (arcsine), F.2.2.1 (resolution), 4.2.3 (mean of readings).
INSTANTIATE_TEST_SUITE_P(
    Manifest, Figures,
    ::testing::Values(
        FigureCase{"Expanded", kDry, 25, Meter({Within(0.2, "degC")}), 0, 0.1},
        FigureCase{"ExpandedByThree", kDry, 25, Meter({Expanded(3, 0.3)}), 0, 0.1},
        FigureCase{"Rectangular", kDry, 25,
                   Meter({Limits(AccuracyDistribution::kRectangular, 0.3)}), 0,
                   0.3 / std::sqrt(3.0)},
        FigureCase{"Triangular", kDry, 25,
                   Meter({Limits(AccuracyDistribution::kTriangular, 0.3)}), 0,
                   0.3 / std::sqrt(6.0)},
        FigureCase{"Arcsine", kDry, 25,
                   Meter({Limits(AccuracyDistribution::kArcsine, 0.3)}), 0,
                   0.3 / std::sqrt(2.0)},
        FigureCase{"DegreesFahrenheit", kDry, 25, Meter({Within(0.18, "delta_degF")}), 0,
                   0.05},
        FigureCase{"PartOfTheReading", kPower, 3500, Meter({Part(0.01)}), 0, 17.5},
        FigureCase{"PartOfANegativeReading", kPower, -200, Meter({Part(0.01)}), 0, 1},
        FigureCase{"PartAndAbsoluteAddUp", kPower, 3500,
                   Meter({{.name = "calibration",
                           .relative_fraction = 0.01,
                           .absolute = 0.01,
                           .unit = "kW"}}),
                   0, 22.5},
        FigureCase{"SeveralAreIndependent", kDry, 25,
                   Meter({Within(0.6, "degC"), Within(0.8, "degC", "drift")}), 0, 0.5},
        FigureCase{"RandomIsKeptApart", kDry, 25,
                   Meter({Within(0.6, "degC"), Random(Within(0.8, "degC", "noise"))}),
                   0.4, 0.3},
        FigureCase{"Resolution", kDry, 25, Shown(0.1, "degC"), 0.05 / std::sqrt(3.0), 0},
        FigureCase{"ResolutionOfPower", kPower, 3500, Shown(0.01, "kW"),
                   5 / std::sqrt(3.0), 0},
        FigureCase{"Scatter", kDry, 25, Meter({}), 0.1, 0, 0.4, 16},
        FigureCase{"ScatterOfOneReadingSaysNothing", kDry, 25, Meter({}), 0, 0, 0.4, 1},
        FigureCase{"ScatterBesideAnInstrument", kDry, 25, Meter({Within(0.2, "degC")}),
                   0.1, 0.1, 0.4, 16}),
    [](const auto& figure) { return figure.param.name; });

TEST(ReadingUncertainty, DegreesOfFreedomAreThoseOfCertificateAndScatter) {
  document::LineManifest line = AirLine();
  line.instruments = {Meter({Within(0.2, "degC")})};
  line.instruments[0].accuracies[0].degrees_of_freedom = 9;
  document::TestPoint point = PointWith("p", {{kDry, 25}});
  point.values[0].standard_deviation_si = 0.4;
  point.values[0].reading_count = 16;
  ASSERT_OK_AND_ASSIGN(const PointInputs inputs, ReadingUncertainty(line).Of(point));
  const OutputUncertainty u = OfSum(inputs, {1});
  EXPECT_NEAR(u.systematic.degrees_of_freedom, 9, 1e-12);
  EXPECT_NEAR(u.random.degrees_of_freedom, 15, 1e-12);
  // JCGM 100, G.4.1 (G.2b), by hand: 0.02^2 / (0.01^2/9 + 0.01^2/15) = 22.5.
  EXPECT_NEAR(u.total.degrees_of_freedom, 22.5, 1e-9);
}

TEST(ReadingUncertainty, ComputedValuesAreNoReadingsAndTheLabsFigureIs) {
  document::TestPoint point =
      PointWith("p", {{"moisture_removal", 1e-3}, {kPower, 3400}, {kDry, 25}});
  ValueOf(point, kPower).computed = true;
  ValueOf(point, kPower).lab_value_si = 3500;
  ValueOf(point, "moisture_removal").computed = true;
  const document::LineManifest line = AirLine();
  ASSERT_OK_AND_ASSIGN(const PointInputs inputs, ReadingUncertainty(line).Of(point));
  EXPECT_THAT(inputs.quantities, ElementsAre(kDry, kPower));
  EXPECT_THAT(inputs.values_si, ElementsAre(25, 3500));
  EXPECT_THAT(inputs.unknown, ElementsAre(kDry, kPower));
  EXPECT_EQ(inputs.IndexOf(kPower), 1);
  EXPECT_EQ(inputs.IndexOf("moisture_removal"), -1);
}

TEST(ReadingUncertainty, ScatterAloneDoesNotMakeTheInstrumentKnown) {
  document::TestPoint point = PointWith("p", {{kDry, 25}});
  point.values[0].standard_deviation_si = 0.4;
  point.values[0].reading_count = 16;
  document::LineManifest line = AirLine();
  ASSERT_OK_AND_ASSIGN(const PointInputs bare, ReadingUncertainty(line).Of(point));
  EXPECT_THAT(bare.unknown, ElementsAre(kDry));
  EXPECT_NEAR(OfSum(bare, {1}).random.standard, 0.1, 1e-14);
  line.instruments = {Meter({Within(0.2, "degC")})};
  ASSERT_OK_AND_ASSIGN(const PointInputs read, ReadingUncertainty(line).Of(point));
  EXPECT_THAT(read.unknown, IsEmpty());
}

// JCGM 101, 6.4.9.4: a t distribution has a standard deviation above 2 degrees of
// freedom.
TEST(ReadingUncertainty, FewReadingsAreDrawnAsNormal) {
  document::TestPoint point = PointWith("p", {{kDry, 25}});
  point.values[0].standard_deviation_si = 0.4;
  const document::LineManifest line = AirLine();
  for (const int count : {2, 3, 4, 5}) {
    point.values[0].reading_count = count;
    ASSERT_OK_AND_ASSIGN(const PointInputs carried, ReadingUncertainty(line).Of(point));
    EXPECT_NEAR(OfSum(carried, {1}).random.degrees_of_freedom, count - 1, 1e-9);
    ASSERT_OK_AND_ASSIGN(
        const PointInputs drawn,
        ReadingUncertainty(line).Of(point, ReadingUncertainty::Use::kDraws));
    EXPECT_EQ(std::isinf(OfSum(drawn, {1}).random.degrees_of_freedom), count < 4);
    EXPECT_NEAR(OfSum(drawn, {1}).random.standard, 0.4 / std::sqrt(count), 1e-14);
  }
}

TEST(ReadingUncertainty, TheManifestsFigureServesOnlyWithoutAnInstrument) {
  document::LineManifest line = AirLine();
  line.systematic_uncertainties = {
      {.quantity = kDry, .absolute_si = 0.5},
      {.quantity = kPower, .relative_fraction = 0.01, .absolute_si = 10}};
  const document::TestPoint point = PointWith("p", {{kDry, 25}, {kPower, 3500}});
  ASSERT_OK_AND_ASSIGN(const PointInputs without, ReadingUncertainty(line).Of(point));
  EXPECT_NEAR(OfSum(without, {1, 0}).systematic.standard, 0.25, 1e-14);
  EXPECT_NEAR(OfSum(without, {0, 1}).systematic.standard, 22.5, 1e-12);
  line.instruments = {Instrument("t", {kDry}, {Within(0.2, "degC")})};
  ASSERT_OK_AND_ASSIGN(const PointInputs with, ReadingUncertainty(line).Of(point));
  EXPECT_NEAR(OfSum(with, {1, 0}).systematic.standard, 0.1, 1e-14);
  EXPECT_NEAR(OfSum(with, {0, 1}).systematic.standard, 22.5, 1e-12);
}

TEST(ReadingUncertainty, KnowsWhereThereIsAnythingToKnow) {
  document::LineManifest line = AirLine();
  document::TestPoint point = PointWith("p", {{kDry, 25}});
  EXPECT_FALSE(ReadingUncertainty(line).KnowsAnything(point, true));
  point.values[0].standard_deviation_si = 0.1;
  EXPECT_FALSE(ReadingUncertainty(line).KnowsAnything(point, true));
  point.values[0].reading_count = 2;
  EXPECT_TRUE(ReadingUncertainty(line).KnowsAnything(point, false));
  point.values[0].reading_count = 0;
  line.systematic_uncertainties = {{.quantity = kDry, .absolute_si = 0.5}};
  EXPECT_FALSE(ReadingUncertainty(line).KnowsAnything(point, false));
  EXPECT_TRUE(ReadingUncertainty(line).KnowsAnything(point, true));
  line.systematic_uncertainties.clear();
  line.instruments = {Meter({})};
  EXPECT_TRUE(ReadingUncertainty(line).KnowsAnything(point, false));
}

// Which of the instruments "reads", "file", "line" and "log" is taken.
TEST(ReadingUncertainty, AColumnOfTheFileNamesTheInstrumentAheadOfTheLineAndOfReads) {
  document::LineManifest line = AirLine();
  for (const char* id : {"reads", "file", "line", "log", "scatter"}) {
    line.instruments.push_back(Instrument(id, {}, {}));
  }
  line.instruments[0].reads = {kDry, kPower};
  const auto column = [](std::string quantity, std::string instrument) {
    return document::Column{.header = "h" + instrument,
                            .quantity = std::move(quantity),
                            .instrument = std::move(instrument)};
  };
  line.columns = {column(kDry, "line")};
  document::Column scatter = column(kPower, "scatter");
  scatter.statistic = document::ReadingStatistic::kStandardDeviation;
  line.columns.push_back(scatter);
  line.point_files = {{.path = "points/own.csv", .columns = {column(kDry, "file")}},
                      {.path = "points/bare.csv", .columns = {column(kDry, "")}},
                      {.path = "points/none.csv"}};
  line.log_files = {{.path = "logs/own.csv", .columns = {column(kDry, "log")}}};
  const auto read_by = [&](std::string_view file, std::string_view quantity) {
    const document::Instrument* const found = InstrumentOf(line, file, quantity);
    return found == nullptr ? std::string() : found->id;
  };
  EXPECT_EQ(read_by("points/own.csv", kDry), "file");
  EXPECT_EQ(read_by("logs/own.csv", kDry), "log");
  EXPECT_EQ(read_by("points/none.csv", kDry), "line");
  EXPECT_EQ(read_by("points/other.csv", kDry), "line");
  EXPECT_EQ(read_by("points/bare.csv", kDry), "reads")
      << "the file has a column of its own that names none";
  EXPECT_EQ(read_by("points/own.csv", kPower), "reads")
      << "who reads the mean is not who reads the scatter";
  EXPECT_EQ(read_by("points/own.csv", "outdoor_air_db"), "");
}

TEST(ReadingUncertainty, TwoHeadingsOfTheLineMayNotDisagreeOnTheInstrument) {
  document::LineManifest line = AirLine();
  line.instruments = {Instrument("a", {}, {}), Instrument("b", {}, {})};
  line.columns = {{.header = "T1", .quantity = kDry, .instrument = "a"},
                  {.header = "T2", .quantity = kDry, .instrument = "b"}};
  document::TestPoint point = PointWith("p", {{kDry, 25}});
  const auto refused = ReadingUncertainty(line).Of(point);
  ASSERT_THAT(refused, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("'T1'")));
  EXPECT_EQ(base::FaultsOf(refused.status())[0].file, "line.textproto");
  EXPECT_EQ(base::FaultsOf(refused.status())[0].field, "columns[1].instrument");
  line.point_files = {
      {.path = point.file,
       .columns = {{.header = "T2", .quantity = kDry, .instrument = "b"}}}};
  EXPECT_THAT(ReadingUncertainty(line).Of(point), testing::IsOk());
}

// Two thermometers; what their sum and their difference have of the systematic part.
struct PairCase {
  std::string name;
  std::vector<document::Instrument> instruments;
  std::vector<document::ReadingCorrelation> correlations;
  double of_sum;
  double of_difference;
};
void PrintTo(const PairCase& pair, std::ostream* out) { *out << pair.name; }

constexpr char kIn[] = "entering_water_temp";
constexpr char kOut[] = "leaving_water_temp";

class Pairs : public ::testing::TestWithParam<PairCase> {};

TEST_P(Pairs, GoTogetherAsTheManifestSays) {
  document::LineManifest line = AirLine();
  line.instruments = GetParam().instruments;
  line.reading_correlations = GetParam().correlations;
  const document::TestPoint point = PointWith("p", {{kIn, 12}, {kOut, 7}});
  ASSERT_OK_AND_ASSIGN(const PointInputs inputs, ReadingUncertainty(line).Of(point));
  EXPECT_NEAR(OfSum(inputs, {1, 1}).systematic.standard, GetParam().of_sum, 1e-9);
  EXPECT_NEAR(OfSum(inputs, {1, -1}).systematic.standard, GetParam().of_difference, 1e-9);
}

const double kRoot2 = std::sqrt(2.0);
document::Instrument Thermometer(std::string id, std::vector<std::string> reads,
                                 document::Accuracy accuracy = Within(0.2, "degC")) {
  return Instrument(std::move(id), std::move(reads), {std::move(accuracy)});
}
INSTANTIATE_TEST_SUITE_P(
    Thermometers, Pairs,
    ::testing::Values(
        PairCase{"OneSensorForBoth", {Thermometer("t", {kIn, kOut})}, {}, 0.2, 0},
        PairCase{"TwoSensors",
                 {Thermometer("t1", {kIn}), Thermometer("t2", {kOut})},
                 {},
                 0.1 * kRoot2,
                 0.1 * kRoot2},
        PairCase{"OneBathForTwoSensors",
                 {Thermometer("t1", {kIn}, SharedBy("bath", Within(0.2, "degC"))),
                  Thermometer("t2", {kOut}, SharedBy("bath", Within(0.2, "degC")))},
                 {},
                 0.2,
                 0},
        PairCase{"OneBathOfUnlikeSensors",
                 {Thermometer("t1", {kIn}, SharedBy("bath", Within(0.2, "degC"))),
                  Thermometer("t2", {kOut}, SharedBy("bath", Within(0.6, "degC")))},
                 {},
                 0.4,
                 0.2},
        PairCase{"TwoBaths",
                 {Thermometer("t1", {kIn}, SharedBy("a", Within(0.2, "degC"))),
                  Thermometer("t2", {kOut}, SharedBy("b", Within(0.2, "degC")))},
                 {},
                 0.1 * kRoot2,
                 0.1 * kRoot2},
        PairCase{"HalfCorrelated",
                 {Thermometer("t1", {kIn}), Thermometer("t2", {kOut})},
                 {{kIn, kOut, 0.5, "by comparison"}},
                 0.1 * std::sqrt(3.0),
                 0.1},
        PairCase{"HalfCorrelatedByReferencesOfTheirOwn",
                 {Thermometer("t1", {kIn}, SharedBy("a", Within(0.2, "degC"))),
                  Thermometer("t2", {kOut}, SharedBy("b", Within(0.2, "degC")))},
                 {{kIn, kOut, 0.5, "by comparison"}},
                 0.1 * std::sqrt(3.0),
                 0.1},
        PairCase{"FullyAgainstEachOther",
                 {Thermometer("t1", {kIn}), Thermometer("t2", {kOut})},
                 {{kOut, kIn, -1, "by comparison"}},
                 0,
                 0.2},
        PairCase{"ACorrelationWithWhatWasNotRead",
                 {Thermometer("t1", {kIn}), Thermometer("t2", {kOut}),
                  Thermometer("t3", {"outdoor_air_db"})},
                 {{kIn, "outdoor_air_db", 0.5, "by comparison"}},
                 0.1 * kRoot2,
                 0.1 * kRoot2}),
    [](const auto& pair) { return pair.param.name; });

struct ContradictionCase {
  std::string name;
  std::vector<document::Instrument> instruments;
  std::vector<document::ReadingCorrelation> correlations;
  std::string field;
  std::string says;
};
void PrintTo(const ContradictionCase& wrong, std::ostream* out) { *out << wrong.name; }

class Contradictions : public ::testing::TestWithParam<ContradictionCase> {};

TEST_P(Contradictions, AreFaultsOfTheManifest) {
  document::LineManifest line = AirLine();
  line.instruments = GetParam().instruments;
  line.reading_correlations = GetParam().correlations;
  const document::TestPoint point =
      PointWith("p", {{kIn, 12}, {kOut, 7}, {"outdoor_air_db", 35}});
  const auto refused = ReadingUncertainty(line).Of(point);
  ASSERT_EQ(refused.status().code(), absl::StatusCode::kInvalidArgument);
  const std::vector<base::Fault> faults = base::FaultsOf(refused.status());
  ASSERT_THAT(faults, SizeIs(1)) << refused.status();
  EXPECT_EQ(faults[0].file, "line.textproto");
  EXPECT_EQ(faults[0].field, GetParam().field);
  EXPECT_THAT(faults[0].message, HasSubstr(GetParam().says));
}

INSTANTIATE_TEST_SUITE_P(
    Manifest, Contradictions,
    ::testing::Values(
        ContradictionCase{"SharedAndCorrelated",
                          {Instrument("t", {kIn, kOut}, {Within(0.2, "degC")}),
                           Instrument("d", {}, {})},
                          {{kIn, kOut, 0.5, "s"}},
                          "reading_correlations[0]",
                          "but what it shares with other readings"},
        ContradictionCase{"SharedInPartAndCorrelated",
                          {Instrument("t1", {kIn},
                                      {SharedBy("bath", Within(0.2, "degC")),
                                       Within(0.1, "degC", "drift")}),
                           Instrument("t2", {kOut},
                                      {SharedBy("bath", Within(0.2, "degC")),
                                       Within(0.1, "degC", "drift")})},
                          {{kIn, kOut, 0.5, "s"}},
                          "reading_correlations[0]",
                          "t1, calibration and t2, calibration are one error already"},
        ContradictionCase{"NothingSystematicIsKnown",
                          {Thermometer("t1", {kIn}),
                           Thermometer("t2", {kOut}, Random(Within(0.2, "degC")))},
                          {{kIn, kOut, 0.5, "s"}},
                          "reading_correlations[0]",
                          "nothing systematic is known of leaving_water_temp"},
        ContradictionCase{"NoErrorsGoSo",
                          {Thermometer("t1", {kIn}), Thermometer("t2", {kOut}),
                           Thermometer("t3", {"outdoor_air_db"})},
                          {{kIn, kOut, 0.9, "s"},
                           {kOut, "outdoor_air_db", 0.9, "s"},
                           {"outdoor_air_db", kIn, -0.9, "s"}},
                          "reading_correlations",
                          "no errors can go together so"}),
    [](const auto& wrong) { return wrong.param.name; });

}  // namespace
}  // namespace ratebound::points
