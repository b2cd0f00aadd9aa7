// Logs of a line folder on their way into a release.
#include <algorithm>
#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/document/release_bytes.h"
#include "engine/document/sha256.h"
#include "engine/release/build.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/release/logged_line.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::Release;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Each;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;

std::string DigestOf(const Files& files) {
  const auto built = Build({.files = files});
  if (!built.ok()) return built.status().ToString();
  const auto bytes = document::SerializeRelease(*built);
  return bytes.ok() ? bytes->digest : bytes.status().ToString();
}

const TestPoint* FindPoint(const Release& release, std::string_view id) {
  for (const TestPoint& point : release.points) {
    if (point.id == id) return &point;
  }
  return nullptr;
}

const document::LogReport* FindReport(const Release& release, std::string_view path) {
  for (const document::LogReport& report : release.log_reports) {
    if (report.path == path) return &report;
  }
  return nullptr;
}

TEST(LogsOfALine, WindowsBecomePointsOfTheFit) {
  const Files files = LoggedLine();
  ASSERT_OK_AND_ASSIGN(const Release release, Build({.files = files}));
  EXPECT_THAT(release.points, SizeIs(26));
  for (const char* id : {"day.csv:2", "day.csv:62"}) {
    const TestPoint* const window = FindPoint(release, id);
    ASSERT_NE(window, nullptr) << id;
    EXPECT_EQ(window->file, "logs/day.csv");
    EXPECT_EQ(window->block, "logged");
    EXPECT_NEAR(*window->Find("total_capacity"), 50'000, 10);
    EXPECT_GT(window->FindValue("total_capacity")->reading_count, 1);
    EXPECT_THAT(release.maps[0].point_ids, Contains(id));
  }
  ASSERT_THAT(release.log_reports, SizeIs(2));
  EXPECT_EQ(release.log_reports[0].path, "logs/cycles.csv") << "by path";
  EXPECT_EQ(FindReport(release, "logs/day.csv")->row_count, 131);
  const auto source = std::find_if(
      release.source_files.begin(), release.source_files.end(),
      [](const document::SourceFile& file) { return file.path == "logs/day.csv"; });
  ASSERT_NE(source, release.source_files.end());
  EXPECT_EQ(source->sha256, document::Sha256Hex(SteadyLog()));
  EXPECT_EQ(source->byte_count, static_cast<int64_t>(SteadyLog().size()));
}

TEST(LogsOfALine, BytesAndStreamsGiveOneRelease) {
  const Files files = LoggedLine();
  const std::string digest = DigestOf(files);
  ASSERT_THAT(digest, SizeIs(64)) << digest;
  for (const size_t chunk_bytes : {1, 7, 1000, 1 << 20}) {
    EXPECT_EQ(DigestOf(Streamed(files, chunk_bytes)), digest) << chunk_bytes;
  }
  Files reversed = Streamed(files, 100);
  std::reverse(reversed.begin(), reversed.end());
  EXPECT_EQ(DigestOf(reversed), digest);
}

TEST(LogsOfALine, AnyByteOfALogIsAPartOfTheRelease) {
  Files files = LoggedLine();
  const std::string digest = DigestOf(files);
  // The swing of a reading of the cycles' log that no figure is computed from.
  Replace(BytesOf(files, "logs/cycles.csv"), "18,48", "18.0,48");
  EXPECT_NE(DigestOf(files), digest);
}

TEST(LogsOfALine, CyclesAreComparedWithTheSteadyPoint) {
  // By hand, steady 50 kW and 10 kW: 600 s of 48 kW and 9.9 kW in 1200 s, half a row step
  // of each at the ends; load factor 0.48, efficiency (48 x 600) / (9.9 x 600 + 0.05 x
  // 600) = 4.824 against 5.
  Files files = LoggedLine();
  Replace(BytesOf(files, "line.textproto"), "\"p21\"", "\"exact\"");
  BytesOf(files, "points/exact.csv") =
      "point,unit,mode,stage,entering_water_temp[degC],entering_air_wb[degC],"
      "total_capacity[kW],power_input[kW]\nexact,u1,cooling,full,25,18,50,10\n";
  ASSERT_OK_AND_ASSIGN(const Release release, Build({.files = files}));
  const document::LogReport* const report = FindReport(release, "logs/cycles.csv");
  ASSERT_THAT(report->cycles, SizeIs(4));
  const auto figure = [&](std::string_view name) {
    for (const document::CycleFigure& each : report->cycles[0].figures) {
      if (each.name == name) return each.value;
    }
    ADD_FAILURE() << name;
    return 0.0;
  };
  EXPECT_NEAR(figure("load_factor"), 0.48, 1e-12);
  const double efficiency = 48 * 600 / (9.9 * 600 + 0.05 * 600);
  EXPECT_NEAR(figure("degradation_coefficient"), (1 - efficiency / 5) / (1 - 0.48), 1e-9);
}

TEST(LogsOfALine, ADroppedWindowStaysInTheReleaseAndOutOfTheFit) {
  Files files = LoggedLine();
  BytesOf(files, "line.textproto") +=
      "dropped_points { point: 'day.csv:62' reason: 'a door stood open' }\n";
  ASSERT_OK_AND_ASSIGN(const Release release, Build({.files = files}));
  const TestPoint* const window = FindPoint(release, "day.csv:62");
  ASSERT_NE(window, nullptr);
  EXPECT_EQ(window->dropped_reason, "a door stood open");
  EXPECT_THAT(release.maps[0].point_ids, Not(Contains("day.csv:62")));
  EXPECT_THAT(release.maps[0].point_ids, Contains("day.csv:2"));
}

// Every fault expected is there, with its place, and no other.
struct Want {
  std::string file;
  int line;
  std::string field;
  std::string says;
};
struct BadLogs {
  std::string name;
  std::function<void(Files&)> spoil;
  std::vector<Want> wants;
};
void PrintTo(const BadLogs& bad, std::ostream* out) { *out << bad.name; }

class BadLogsTest : public ::testing::TestWithParam<BadLogs> {};

TEST_P(BadLogsTest, AreFaultsWithTheirPlacesFromBytesAndFromStreams) {
  Files files = LoggedLine();
  GetParam().spoil(files);
  for (const bool streamed : {false, true}) {
    const Files given = streamed ? Streamed(files, 500) : files;
    const auto built = Build({.files = given});
    ASSERT_EQ(built.status().code(), absl::StatusCode::kInvalidArgument)
        << built.status();
    const std::vector<base::Fault> faults = base::FaultsOf(built.status());
    EXPECT_THAT(faults, SizeIs(GetParam().wants.size())) << built.status();
    for (const Want& want : GetParam().wants) {
      EXPECT_TRUE(std::any_of(faults.begin(), faults.end(),
                              [&](const base::Fault& fault) {
                                return fault.file == want.file &&
                                       fault.line == want.line &&
                                       fault.field == want.field &&
                                       fault.ToString().find(want.says) !=
                                           std::string::npos;
                              }))
          << want.file << ":" << want.line << ": " << want.field << ": " << want.says
          << "\nis not among\n"
          << built.status();
    }
  }
}

constexpr char kManifest[] = "line.textproto";
std::function<void(Files&)> SteadyPoint(std::string id, std::string more = "") {
  return [id, more](Files& files) {
    Replace(BytesOf(files, kManifest), "\"p21\"", "\"" + id + "\"");
    BytesOf(files, kManifest) += more;
  };
}

INSTANTIATE_TEST_SUITE_P(
    Folder, BadLogsTest,
    ::testing::Values(
        BadLogs{"FaultsOfLogsPointsAndClaimsAreToldTogether",
                [](Files& files) {
                  Replace(BytesOf(files, "logs/day.csv"), "\n20,", "\n20,x");
                  Replace(BytesOf(files, "logs/cycles.csv"), "\n10,", "\n0,");
                  BytesOf(files, "points/q.csv") =
                      "point,unit,mode,stage,entering_water_temp[degC],"
                      "entering_air_wb[degC]\nq,u1,cooling,full,x25,18\n";
                  Replace(BytesOf(files, "claims.textproto"), "'total_capacity'",
                          "'total_capacitz'");
                },
                {{"logs/day.csv", 4, "", "'x"},
                 {"logs/cycles.csv", 3, "", "stands twice"},
                 {"points/q.csv", 2, "", "'x"},
                 {"claims.textproto", 7, "claims[0].quantity", "total_capacity"}}},
        BadLogs{"ALogWithoutAnEntry",
                [](Files& files) { BytesOf(files, "logs/dax.csv") = SteadyLog(); },
                {{"logs/dax.csv", 0, "", "did you mean 'logs/day.csv'"}}},
        BadLogs{"AnEntryWithoutItsLog",
                [](Files& files) {
                  std::erase_if(files, [](const LineFile& file) {
                    return file.path == "logs/day.csv";
                  });
                },
                {{kManifest, 0, "log_files[0].path", "no file 'logs/day.csv'"}}},
        BadLogs{"NoLogAtAll",
                [](Files& files) { BytesOf(files, "logs/notes.txt") = "x"; },
                {{"logs/notes.txt", 0, "", "is no file of a line folder"}}},
        BadLogs{"AnEmptyLog",
                [](Files& files) { BytesOf(files, "logs/day.csv") = ""; },
                {{"logs/day.csv", 0, "", "empty"}}},
        BadLogs{"WindowsOfAFailedLogAreNotMissed",
                [](Files& files) {
                  Replace(BytesOf(files, "logs/day.csv"), "\n20,", "\n20,x");
                  BytesOf(files, kManifest) +=
                      "dropped_points { point: 'day.csv:62' reason: 'a door' }\n";
                },
                {{"logs/day.csv", 4, "", "'x"}}},
        BadLogs{"ADroppedWindowThatIsNotThere",
                [](Files& files) {
                  BytesOf(files, kManifest) +=
                      "dropped_points { point: 'day.csv:61' reason: 'a door' }\n";
                },
                {{kManifest, 0, "dropped_points[0].point", "did you mean 'day.csv:62'"}}},
        BadLogs{"APointWithTheIdOfAWindow",
                [](Files& files) {
                  BytesOf(files, kManifest) +=
                      "point_files { path: 'points/day.csv' unit: 'u1' mode: 'cooling' "
                      "stage: 'full' }\n";
                  BytesOf(files, "points/day.csv") =
                      "entering_water_temp[degC],entering_air_wb[degC],"
                      "total_capacity[kW],power_input[kW]\n25,18,50,10\n";
                },
                {{"logs/day.csv", 2, "", "stands already at points/day.csv:2"}}},
        BadLogs{"AWindowWithoutACondition",
                [](Files& files) {
                  Replace(BytesOf(files, "logs/day.csv"), "entering_water_temp[degC]",
                          "leaving_air_db[degC]");
                },
                {{"logs/day.csv", 2, "", "entering_water_temp, a condition"},
                 {"logs/day.csv", 62, "", "entering_water_temp, a condition"}}},
        BadLogs{"AnUnknownMethodOfSteadiness",
                [](Files& files) {
                  Replace(BytesOf(files, kManifest), "length_s: 600",
                          "length_s: 600 method: 'steadi'");
                },
                {{kManifest, 0, "log_files[0].steady_windows.method", "'steadi'"}}},
        BadLogs{"ASteadyPointThatIsNotThere",
                SteadyPoint("pp21"),
                {{kManifest, 0, "log_files[1].on_off_cycles.steady_point",
                  "did you mean 'p21'"}}},
        BadLogs{"ASteadyPointInAFileThatCannotBeRead",
                [](Files& files) {
                  Replace(BytesOf(files, "points/p.csv"), "day3,", "day3,x");
                },
                {{"points/p.csv", 5, "", "'x"}}},
        BadLogs{"ASteadyPointThatWasDropped",
                SteadyPoint("p21", "dropped_points { point: 'p21' reason: 'leak' }\n"),
                {{kManifest, 0, "log_files[1].on_off_cycles.steady_point",
                  "no file of points has a point 'p21'"}}},
        BadLogs{"APlanAtFaultIsToldOnce",
                [](Files& files) {
                  Replace(BytesOf(files, kManifest), "declared_proof_degree: 2",
                          "declared_proof_degree: 2 reduction { air_side { method: "
                          "'none-such' flow: AIR_FLOW_SOURCE_STANDARD_AIR_FLOW } }");
                },
                {{kManifest, 0, "mode 'cooling': air_side.method", "none-such"}}}),
    [](const auto& bad) { return bad.param.name; });

}  // namespace
}  // namespace ratebound::release
