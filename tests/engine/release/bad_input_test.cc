// Whatever stands in the files of a line: no crash, and an error that says where it is
// wrong and what was expected.
#include <algorithm>
#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/document/points.h"
#include "engine/release/build.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/release/line_of_units.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using ::testing::AllOf;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;
using testing::StatusIs;

constexpr char kHeader[] =
    "point,block,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
    "power_input[kW]\n";
constexpr char kRow[] = "p0,day0,25,18,50,10\n";

struct BadInput {
  std::string name;
  std::function<void(Files&)> spoil;
  // One fault has this file, line (0: the file as a whole) and column (0: any), and says
  // all of `says`.
  std::string file;
  int line;
  int column;
  std::vector<std::string> says;

  friend void PrintTo(const BadInput& bad, std::ostream* out) { *out << bad.name; }
};

std::function<void(Files&)> Points(std::string bytes) {
  return [bytes = std::move(bytes)](Files& files) {
    BytesOf(files, "points/p.csv") = bytes;
  };
}
std::function<void(Files&)> Manifest(std::string bytes) {
  return [bytes = std::move(bytes)](Files& files) {
    BytesOf(files, "line.textproto") = bytes;
  };
}

std::string Repeated(std::string_view text, int count) {
  std::string all;
  all.reserve(text.size() * static_cast<size_t>(count));
  for (int i = 0; i < count; ++i) all += text;
  return all;
}

class BadInputTest : public ::testing::TestWithParam<BadInput> {};

TEST_P(BadInputTest, IsAnErrorWithItsPlace) {
  const BadInput& bad = GetParam();
  Files files = SmallLine();
  bad.spoil(files);
  const auto built = Build({.files = files});
  ASSERT_EQ(built.status().code(), absl::StatusCode::kInvalidArgument)
      << built.status().ToString().substr(0, 2000);
  const std::vector<base::Fault> faults = base::FaultsOf(built.status());
  ASSERT_THAT(faults, Not(IsEmpty()));
  const auto found =
      std::find_if(faults.begin(), faults.end(), [&](const base::Fault& fault) {
        const std::string text = fault.ToString();
        return fault.file == bad.file && fault.line == bad.line &&
               (bad.column == 0 || fault.column == bad.column) &&
               std::all_of(bad.says.begin(), bad.says.end(), [&](const std::string& say) {
                 return text.find(say) != std::string::npos;
               });
      });
  EXPECT_NE(found, faults.end()) << built.status().ToString().substr(0, 2000);
  // Bounded, whatever came in.
  EXPECT_LT(built.status().message().size(), size_t{1} << 20);
}

INSTANTIATE_TEST_SUITE_P(
    PointFiles, BadInputTest,
    ::testing::Values(
        BadInput{"EmptyFile", Points(""), "points/p.csv", 0, 0, {"empty"}},
        BadInput{"HeaderOnly", Points(kHeader), "points/p.csv", 2, 0, {"no rows"}},
        BadInput{"Nan",
                 Points(std::string(kHeader) + kRow + "p1,day1,nan,18,50,10\n"),
                 "points/p.csv",
                 3,
                 9,
                 {"nan"}},
        BadInput{"Infinity",
                 Points(std::string(kHeader) + "p1,day1,25,18,inf,10\n"),
                 "points/p.csv",
                 2,
                 15,
                 {"inf"}},
        BadInput{"BeyondDouble",
                 Points(std::string(kHeader) + "p1,day1,25,18,1e400,10\n"),
                 "points/p.csv",
                 2,
                 15,
                 {"1e400"}},
        BadInput{"TextInANumber",
                 Points(std::string(kHeader) + kRow + "p1,day1,25,18,50 kW,10\n"),
                 "points/p.csv",
                 3,
                 15,
                 {"50 kW"}},
        BadInput{"DuplicatedHeader",
                 Points("point,block,entering_water_temp[degC],entering_air_wb[degC],"
                        "total_capacity[kW],total_capacity[kW],power_input[kW]\n"
                        "p0,day0,25,18,50,50,10\n"),
                 "points/p.csv",
                 1,
                 80,
                 {"total_capacity"}},
        BadInput{"UnknownUnit",
                 Points("point,block,entering_water_temp[degC],entering_air_wb[degC],"
                        "total_capacity[kwh],power_input[kW]\n"
                        "p0,day0,25,18,50,10\n"),
                 "points/p.csv",
                 1,
                 0,
                 {"kwh"}},
        BadInput{"UnknownQuantity",
                 Points("point,block,entering_water_tmp[degC],entering_air_wb[degC],"
                        "total_capacity[kW],power_input[kW]\n"
                        "p0,day0,25,18,50,10\n"),
                 "points/p.csv",
                 1,
                 13,
                 {"entering_water_tmp", "entering_water_temp"}},
        BadInput{"RaggedRow",
                 Points(std::string(kHeader) + "p1,day1,25\n"),
                 "points/p.csv",
                 2,
                 0,
                 {"6"}},
        BadInput{"NotUtf8",
                 Points(std::string(kHeader) + kRow + "p\xFF,day1,25,18,50,10\n"),
                 "points/p.csv",
                 3,
                 2,
                 {"UTF-8"}},
        BadInput{"NulBytes",
                 Points(std::string(kHeader) + std::string("p\0,day1,25,18,50,10\n", 20)),
                 "points/p.csv",
                 2,
                 2,
                 {}},
        BadInput{"LineWithoutEnd",
                 Points(std::string(kHeader) + std::string(3 << 20, '7')),
                 "points/p.csv",
                 2,
                 0,
                 {"longer than 1048576 bytes"}},
        BadInput{"QuoteNeverClosed",
                 Points(std::string(kHeader) + "\"" + std::string(3 << 20, 'x')),
                 "points/p.csv",
                 2,
                 0,
                 {}},
        BadInput{"SameIdTwice",
                 Points(std::string(kHeader) + kRow + kRow),
                 "points/p.csv",
                 3,
                 0,
                 {"p0"}},
        BadInput{"Implausible",
                 Points(std::string(kHeader) + "p1,day1,2500,18,50,10\n"),
                 "points/p.csv",
                 2,
                 9,
                 {"entering_water_temp"}}),
    [](const auto& the_case) { return the_case.param.name; });

INSTANTIATE_TEST_SUITE_P(
    TextFiles, BadInputTest,
    ::testing::Values(
        BadInput{"EmptyManifest", Manifest(""), "line.textproto", 0, 0, {"empty"}},
        BadInput{"DeepUnknownFields",
                 Manifest("id: 'x'\n" + Repeated("a{", 200'000)),
                 "line.textproto",
                 2,
                 0,
                 {"deep"}},
        BadInput{"DeepKnownFields",
                 Manifest(Repeated("units{", 200'000)),
                 "line.textproto",
                 1,
                 0,
                 {}},
        BadInput{"DeepLists",
                 Manifest("id: " + Repeated("[", 200'000)),
                 "line.textproto",
                 1,
                 0,
                 {}},
        BadInput{"DeepUnknownLists",
                 Manifest("a: " + Repeated("[", 200'000)),
                 "line.textproto",
                 1,
                 0,
                 {}},
        BadInput{"LineWithoutEnd",
                 Manifest("id: '" + std::string(9 << 20, 'x')),
                 "line.textproto",
                 0,
                 0,
                 {"8388608"}},
        BadInput{"NotUtf8",
                 Manifest("id: 'x'\ntitle: '\xC0\xAF'\n"),
                 "line.textproto",
                 2,
                 0,
                 {"UTF-8"}},
        BadInput{"SyntaxError",
                 Manifest("id: 'x'\ntitle = 'y'\n"),
                 "line.textproto",
                 2,
                 0,
                 {}},
        BadInput{"ClaimOnAnUnknownStage",
                 [](Files& files) {
                   Replace(BytesOf(files, "claims.textproto"), "stage: \"full\"",
                           "stage: \"ful\"");
                 },
                 "claims.textproto",
                 6,
                 0,
                 {"ful", "did you mean", "full"}},
        BadInput{"ClaimWithNan",
                 [](Files& files) {
                   Replace(BytesOf(files, "claims.textproto"), "limit: 37", "limit: nan");
                 },
                 "claims.textproto",
                 7,
                 0,
                 {"limit"}},
        BadInput{"TableOfAnUnknownQuantity",
                 [](Files& files) {
                   Replace(BytesOf(files, "line.textproto"),
                           "figures { quantity: \"total_capacity\"",
                           "figures { quantity: \"total_capacty\"");
                 },
                 "line.textproto",
                 33,
                 0,
                 {"total_capacty", "total_capacity"}},
        BadInput{"UnknownProcedure",
                 [](Files& files) {
                   BytesOf(files, "line.textproto") += "procedures: 'no-such'\n";
                 },
                 "line.textproto",
                 0,
                 0,
                 {"no-such"}}),
    [](const auto& the_case) { return the_case.param.name; });

INSTANTIATE_TEST_SUITE_P(
    Folders, BadInputTest,
    ::testing::Values(BadInput{"NoManifest",
                               [](Files& files) { files.erase(files.begin()); },
                               "line.textproto",
                               0,
                               0,
                               {"missing"}},
                      BadInput{"StrangeFile",
                               [](Files& files) {
                                 files.push_back({"points/deeper/x.csv", kHeader});
                               },
                               "points/deeper/x.csv",
                               0,
                               0,
                               {"no file of a line folder"}},
                      BadInput{"FileGivenTwice",
                               [](Files& files) { files.push_back(files[2]); },
                               "points/p.csv",
                               0,
                               0,
                               {"twice"}},
                      BadInput{"PointFileMissing",
                               [](Files& files) { files.pop_back(); },
                               "line.textproto",
                               0,
                               0,
                               {"point_files[0].path", "points/p.csv"}}),
    [](const auto& the_case) { return the_case.param.name; });

// Just over what is read: refused by its size, before anything is made of it.
TEST(BadInput, AFileAboveTheLimitIsRefusedByItsSize) {
  Files files = SmallLine();
  std::string& bytes = BytesOf(files, "points/p.csv");
  bytes.resize((size_t{64} << 20) + 1, '1');
  const auto built = Build({.files = files});
  EXPECT_THAT(built, StatusIs(absl::StatusCode::kInvalidArgument,
                              AllOf(HasSubstr("points/p.csv"), HasSubstr("67108864"))));
}

TEST(BadInput, FaultsOfAllFilesComeTogether) {
  Files files = SmallLine();
  Points(std::string(kHeader) + "p1,day1,abc,18,50,10\np2,day2,25,18,50,def\n")(files);
  Replace(BytesOf(files, "claims.textproto"), "unit: \"u1\"", "unit: \"u2\"");
  const auto built = Build({.files = files});
  EXPECT_THAT(
      built, StatusIs(absl::StatusCode::kInvalidArgument,
                      AllOf(HasSubstr("points/p.csv:2:9"), HasSubstr("points/p.csv:3:18"),
                            HasSubstr("claims.textproto:4"))));
}

// Points that are sound one by one and carry no surface: the build says which condition
// lacks levels, and screening alone still works and finds the same.
struct ThinLine {
  std::string name;
  std::string points;
  std::string finding;
  std::string error;

  friend void PrintTo(const ThinLine& line, std::ostream* out) { *out << line.name; }
};

class ThinLineTest : public ::testing::TestWithParam<ThinLine> {};

TEST_P(ThinLineTest, IsAnErrorThatNamesStageAndCondition) {
  Files files = SmallLine();
  BytesOf(files, "points/p.csv") = GetParam().points;
  EXPECT_THAT(Build({.files = files}),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       AllOf(StartsWith("points/p.csv:"), HasSubstr("u1/cooling/full"),
                             HasSubstr(GetParam().error), HasSubstr("test more"))));
  ASSERT_OK_AND_ASSIGN(
      const document::Release screened,
      Build({.files = files,
             .parts = {
                 .maps = false, .ratings = false, .verdicts = false, .tables = false}}));
  std::vector<std::string> failures;
  for (const document::Finding& finding : screened.findings) {
    if (finding.severity == document::Severity::kFailure) {
      failures.push_back(finding.subject + ": " + finding.message);
    }
  }
  EXPECT_THAT(failures, Contains(AllOf(StartsWith("u1/cooling/full: "),
                                       HasSubstr(GetParam().finding))));
}

std::string AllAtOneWaterTemperature() {
  std::string points = kHeader;
  for (int k = 0; k < 12; ++k) {
    absl::StrAppendFormat(&points, "p%d,day%d,25,%d,%d,10\n", k, k, 12 + k, 44 + k);
  }
  return points;
}

INSTANTIATE_TEST_SUITE_P(
    Lines, ThinLineTest,
    ::testing::Values(
        ThinLine{"OnePoint", std::string(kHeader) + kRow, "there are 1",
                 "has no surface over its 1 point: entering_water_temp has 1 level"},
        ThinLine{"OneWaterTemperature", AllAtOneWaterTemperature(), "entering_water_temp",
                 "entering_water_temp has 1 level"}),
    [](const auto& the_case) { return the_case.param.name; });

}  // namespace
}  // namespace ratebound::release
