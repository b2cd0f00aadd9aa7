// Methods of measuring: published ones and the folder's own.
#include "engine/release/methods.h"

#include <algorithm>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/release/build.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/release/logged_line.h"
#include "tests/testing/line_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::MeasurementMethod;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using testing::StatusIs;

std::string Steadiness(std::string_view id, double spread_k) {
  return absl::StrFormat(R"(
id: "%s" title: "Own tolerances" document: "of the laboratory" edition: "1"
kind: METHOD_KIND_STEADINESS
tolerances {
  quantity: "entering_water_temp"
  greatest_spread { absolute: %g unit: "delta_degC" }
  citation { source: "invented for a test" basis: BASIS_MEMORY }
}
)",
                         id, spread_k);
}

Files LineWithMethod(const std::string& id, double spread_k) {
  Files files = LoggedLine();
  Replace(BytesOf(files, "line.textproto"), "length_s: 600",
          "length_s: 600 method: '" + id + "'");
  BytesOf(files, "methods/" + id + ".textproto") = Steadiness(id, spread_k);
  return files;
}

TEST(AllMethods, AreThePublishedThenTheFoldersByPath) {
  const Files files = {{"methods/b.textproto", Steadiness("second", 1)},
                       {"points/p.csv", "methods/"},
                       {"methods/a.textproto", Steadiness("first", 1)},
                       {"methods/readme.md", "no method"}};
  const std::vector<MeasurementMethod> published = {{.id = "z"}, {.id = "y"}};
  ASSERT_OK_AND_ASSIGN(const auto methods, AllMethods(files, published));
  std::vector<std::string> ids;
  for (const MeasurementMethod& method : methods) ids.push_back(method.id);
  EXPECT_THAT(ids, ElementsAre("z", "y", "first", "second"));
}

TEST(AllMethods, TellsEveryFaultAndTheFileOfAnIdThatIsTaken) {
  const Files files = {{"methods/a.textproto", Steadiness("taken", 1)},
                       {"methods/b.textproto", "id: 'b' kind: METHOD_KIND_STEADY"},
                       {"methods/c.textproto", Steadiness("c", 1)},
                       {"methods/d.textproto", Steadiness("c", 1)}};
  const std::vector<MeasurementMethod> published = {{.id = "taken"}};
  const auto methods = AllMethods(files, published);
  ASSERT_THAT(methods, StatusIs(absl::StatusCode::kInvalidArgument,
                                AllOf(HasSubstr("methods/a.textproto: two methods are "
                                                "called 'taken'"),
                                      HasSubstr("methods/b.textproto:1:"),
                                      HasSubstr("methods/d.textproto: two methods are "
                                                "called 'c'"))));
}

TEST(FindSteadinessMethod, TakesOnlyMethodsOfThatKind) {
  const std::vector<MeasurementMethod> methods = {
      {.id = "air", .kind = document::MethodKind::kAirEnthalpy},
      {.id = "steady", .kind = document::MethodKind::kSteadiness}};
  ASSERT_OK_AND_ASSIGN(const MeasurementMethod* const found,
                       FindSteadinessMethod(methods, "steady", "f"));
  EXPECT_EQ(found, &methods[1]) << "one of those given";
  EXPECT_THAT(FindSteadinessMethod(methods, "air", "f"),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("line.textproto: f: there is no method of steadiness")));
  EXPECT_THAT(
      FindSteadinessMethod(methods, "staedy", "f"),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("did you mean 'steady'")));
}

TEST(MethodsInUse, AreThoseOfEveryPlaceThatNamesOneEachOnce) {
  document::Mode mode{.id = "m", .steadiness_method = "steady"};
  mode.reduction = document::Reduction{
      .air_side = document::AirSide{.method = "air", .nozzle_method = "nozzle"},
      .liquid_sides = {{.method = "liquid"}, {.method = "liquid"}},
      .corrections = {{.method = "fan"}}};
  document::LineManifest line;
  line.units = {{.id = "u", .modes = {mode, {.id = "plain"}}}};
  line.log_files = {{.steady_windows = document::SteadyWindows{.method = "windows"}},
                    {.steady_windows = document::SteadyWindows{}},
                    {.on_off_cycles = document::OnOffCycles{}}};
  EXPECT_THAT(MethodsInUse(line),
              ElementsAre("air", "fan", "liquid", "nozzle", "steady", "windows"));
  EXPECT_THAT(MethodsInUse({}), IsEmpty());
}

TEST(MethodsOfALine, TheFoldersOwnCutsItsLogsAndStandsInTheRelease) {
  // The water swings by 0.02 K.
  for (const bool wide : {true, false}) {
    const Files files = LineWithMethod("own-steadiness", wide ? 0.03 : 0.01);
    for (const Files& given : {files, Streamed(files, 400)}) {
      ASSERT_OK_AND_ASSIGN(const document::Release release, Build({.files = given}));
      EXPECT_THAT(release.points, SizeIs(wide ? 26 : 24));
      ASSERT_THAT(release.methods, SizeIs(1));
      EXPECT_EQ(release.methods[0].id, "own-steadiness");
    }
  }
}

TEST(MethodsOfALine, OneThatNobodyNamesIsNotInTheRelease) {
  Files files = LoggedLine();
  BytesOf(files, "methods/idle.textproto") = Steadiness("idle", 1);
  ASSERT_OK_AND_ASSIGN(const document::Release release, Build({.files = files}));
  EXPECT_THAT(release.methods, IsEmpty());
}

TEST(MethodsOfALine, APublishedOneServesAndItsNameIsTaken) {
  const std::vector<MeasurementMethod> published = testing::PublishedMethods();
  Files files = LineWithMethod("steadiness-en-14511", 1);
  const auto clash = Build({.files = files, .methods = published});
  ASSERT_EQ(clash.status().code(), absl::StatusCode::kInvalidArgument);
  const std::vector<base::Fault> faults = base::FaultsOf(clash.status());
  ASSERT_THAT(faults, SizeIs(1)) << clash.status();
  EXPECT_EQ(faults[0].file, "methods/steadiness-en-14511.textproto");

  std::erase_if(files,
                [](const LineFile& file) { return file.path.starts_with("methods/"); });
  ASSERT_OK_AND_ASSIGN(const document::Release release,
                       Build({.files = files, .methods = published}));
  ASSERT_THAT(release.methods, SizeIs(1));
  EXPECT_EQ(release.methods[0].id, "steadiness-en-14511");
}

TEST(MethodsOfALine, AFaultOfAnOwnMethodIsNotRepeatedByEveryLog) {
  Files files = LoggedLine();
  BytesOf(files, "methods/bad.textproto") = Steadiness("b", 1) + "colour: 'red'";
  for (const Files& given : {files, Streamed(files, 400)}) {
    const auto built = Build({.files = given});
    EXPECT_THAT(base::FaultsOf(built.status()), SizeIs(1)) << built.status();
  }
}

}  // namespace
}  // namespace ratebound::release
