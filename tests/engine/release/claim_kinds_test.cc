// Kinds of promise that a build has to feed: specimens fitted apart, ratings with their
// uncertainty, readings of a log.
#include <string>
#include <vector>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "absl/strings/str_split.h"
#include "engine/document/text.h"
#include "engine/release/build.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"
#include "tests/engine/release/logged_line.h"
#include "tests/testing/line_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Release;
using document::Verdict;
using ::testing::HasSubstr;
using testing::StatusIs;

std::vector<document::Procedure> EerAlone() {
  std::vector<document::Procedure> procedures;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
    if (file.path.find("eer-water-cooled") == std::string_view::npos) continue;
    auto procedure = document::ParseProcedure(file.path, file.bytes);
    if (procedure.ok()) procedures.push_back(*std::move(procedure));
  }
  return procedures;
}

// The small line with every row once more for a second prototype that does `part` of the
// first, on days of its own.
Files TwoPrototypes(double part) {
  Files files = SmallLine();
  std::string& manifest = BytesOf(files, "line.textproto");
  absl::StrAppend(&manifest, "specimens { id: 'a' } specimens { id: 'b' }\n");
  Replace(manifest, "machines { id: \"m\" }",
          "machines { id: \"m\" } pool_specimens: true");
  std::string& points = BytesOf(files, "points/p.csv");
  std::string both;
  for (const char* specimen : {"a", "b"}) {
    for (absl::string_view row : absl::StrSplit(points, "\r\n", absl::SkipEmpty())) {
      const bool header = row.substr(0, 5) == "point";
      if (header && specimen[0] == 'b') continue;
      std::vector<std::string> cells = absl::StrSplit(row, ',');
      if (!header) {
        cells[0] += specimen;
        cells[1] += specimen;
        double capacity_kw = 0;
        EXPECT_TRUE(absl::SimpleAtod(cells[4], &capacity_kw));
        // Scatter of its own: the small line's is of each row.
        if (specimen[0] == 'b') cells[4] = absl::StrFormat("%.5f", capacity_kw * part);
      }
      cells.push_back(header ? "specimen" : specimen);
      absl::StrAppend(&both, absl::StrJoin(cells, ","), "\r\n");
    }
  }
  points = both;
  return files;
}

std::string EquivalenceClaim(const std::string& reference, double within) {
  return testing::SmallLineClaim(
      "alike", absl::StrFormat("quantity: 'total_capacity' equivalence { specimen: 'b' "
                               "reference_specimen: '%s' within_fraction: %g }",
                               reference, within));
}

TEST(ClaimKindsTest, SpecimensAreFittedApart) {
  Files files = TwoPrototypes(0.98);
  const auto decide = [&](double within) {
    BytesOf(files, "claims.textproto") = EquivalenceClaim("a", within);
    const auto release = Build({.files = files});
    EXPECT_TRUE(release.ok()) << release.status();
    return release.ok() ? release->verdicts.at(0) : Verdict();
  };
  const Verdict within = decide(0.04);
  EXPECT_EQ(within.outcome, Outcome::kProven) << within.explanation;
  EXPECT_NEAR(within.estimate, 0.98, 1e-4);
  EXPECT_NE(decide(0.01).outcome, Outcome::kProven);
  BytesOf(files, "claims.textproto") = EquivalenceClaim("c", 0.03);
  EXPECT_THAT(
      Build({.files = files}),
      StatusIs(absl::StatusCode::kInvalidArgument,
               HasSubstr("equivalence.reference_specimen: unknown specimen 'c'")));
}

TEST(ClaimKindsTest, SeasonalFloorsRateTheUnit) {
  Files files = SmallLine();
  std::string& manifest = BytesOf(files, "line.textproto");
  absl::StrAppend(&manifest, "procedures: 'eer-water-cooled'\n");
  Replace(manifest, "machines { id: \"m\" }", R"(
  machines { id: "m" }
  procedure_inputs {
    procedure: "eer-water-cooled" input: "heat_rejection_power_per_capacity" value: 0
  }
  procedure_inputs {
    procedure: "eer-water-cooled" input: "heat_rejection_cycling_part" value: 1
  })");
  Replace(
      manifest, "    stages {",
      "    held_conditions { quantity: 'entering_air_db' value: 80 tolerance: 1 unit: "
      "'degF' }\n    stages {");
  std::string& points = BytesOf(files, "points/p.csv");
  std::string with_dry_bulb;
  for (absl::string_view row : absl::StrSplit(points, "\r\n", absl::SkipEmpty())) {
    const bool header = row.substr(0, 5) == "point";
    absl::StrAppend(&with_dry_bulb, row, header ? ",entering_air_db[degF]" : ",80",
                    "\r\n");
  }
  points = with_dry_bulb;
  const std::vector<document::Procedure> procedures = EerAlone();
  ASSERT_FALSE(procedures.empty());
  const auto decide = [&](double at_least) {
    BytesOf(files, "claims.textproto") = absl::StrFormat(
        "claims { id: 'eer' unit: 'u1' confidence: 0.95 seasonal_floor { procedure: "
        "'eer-water-cooled' at_least: %g unit: 'Btu/Wh' } allowance { absolute: 0 "
        "reason: 'none, for a test' } }",
        at_least);
    const auto release = Build({.files = files, .procedures = procedures});
    EXPECT_TRUE(release.ok()) << release.status();
    return release.ok() ? release->verdicts.at(0) : Verdict();
  };
  // By hand: at 85 degF water and 67 degF wet bulb the truth is 50.11 kW over 10.89 kW.
  const Verdict proven = decide(15.5);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_NEAR(proven.estimate, 50.111111 / 10.888889 * 3.412141633, 0.03);
  EXPECT_EQ(proven.data_digest.size(), 64u);
  const Verdict refuted = decide(16);
  EXPECT_EQ(refuted.outcome, Outcome::kRefuted) << refuted.explanation;
}

TEST(ClaimKindsTest, SteadinessIsReadFromTheLog) {
  Files files = LoggedLine();
  const auto decide = [&](const std::string& log, const std::string& quantity,
                          double target, double band) {
    BytesOf(files, "claims.textproto") = absl::StrFormat(
        "claims { id: 'steady' unit: 'u1' steadiness { log: '%s' quantity: '%s' target: "
        "%g unit: 'degC' mean_within: 0.005 band: %g } }",
        log, quantity, target, band);
    return Build({.files = files});
  };
  std::string path;
  for (const LineFile& file : files) {
    if (file.path.find("logs/") == 0 && file.bytes == SteadyLog()) path = file.path;
  }
  ASSERT_FALSE(path.empty());
  // Readings swing by 0.01 K about 18 degC.
  ASSERT_OK_AND_ASSIGN(const Release kept, decide(path, "entering_air_wb", 18, 0.01));
  EXPECT_EQ(kept.verdicts.at(0).outcome, Outcome::kObserved)
      << kept.verdicts[0].explanation;
  EXPECT_NEAR(kept.verdicts[0].estimate, 18, 1e-4);
  EXPECT_NEAR(kept.verdicts[0].margin, 0, 1e-9);
  EXPECT_THAT(kept.verdicts[0].model, HasSubstr("131 readings of logs/"));
  EXPECT_EQ(kept.verdicts[0].data_digest.size(), 64u);
  ASSERT_OK_AND_ASSIGN(const Release left, decide(path, "entering_air_wb", 18, 0.009));
  EXPECT_EQ(left.verdicts.at(0).outcome, Outcome::kNotShown);
  EXPECT_THAT(decide(path, "leaving_air_db", 18, 1),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("has no column of leaving_air_db")));
}

// The second prototype does 98.5 % of the first (make_points.py of the line).
TEST(ClaimKindsTest, TheLineOfTwoPrototypesShowsBothOfItsClaims) {
  const Files files = testing::ReadLineFiles("ratings/lines/canal-foyers");
  ASSERT_FALSE(files.empty());
  ASSERT_OK_AND_ASSIGN(const Release release, Build({.files = files}));
  ASSERT_EQ(release.verdicts.size(), 2u);
  const Verdict& alike = release.verdicts[0];
  EXPECT_EQ(alike.outcome, Outcome::kProven) << alike.explanation;
  EXPECT_NEAR(alike.estimate, 0.985, 3 * alike.standard_error);
  EXPECT_GT(alike.bound, 0.92);
  EXPECT_EQ(alike.tested_fraction, 1);
  const Verdict& steady = release.verdicts[1];
  EXPECT_EQ(steady.outcome, Outcome::kObserved) << steady.explanation;
  EXPECT_NEAR(steady.estimate, 9, 0.1);
}

}  // namespace
}  // namespace ratebound::release
