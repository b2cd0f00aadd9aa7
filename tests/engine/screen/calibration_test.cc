#include "engine/screen/calibration.h"

#include <string>
#include <vector>

#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;
using document::TestPoint;
using ::testing::IsEmpty;

document::LineManifest LabLine() {
  document::LineManifest manifest = Manifest();
  manifest.instruments = {
      {.id = "meter",
       .certificate = "C-17",
       .calibrated_on = "2025-03-01",
       .due_on = "2026-03-01",
       .reads = {"power_input"}},
      {.id = "spare", .calibrated_on = "2026-02-01", .due_on = "2027-02-01"}};
  return manifest;
}

std::vector<TestPoint> TestedOn(const std::string& day) {
  std::vector<TestPoint> points = Grid();
  for (TestPoint& point : points) point.tested_on = day;
  return points;
}

std::vector<Finding> Check(const document::LineManifest& manifest,
                           const std::vector<TestPoint>& points) {
  FindingList findings;
  CheckCalibration(manifest, points, findings);
  return findings.Take();
}

TEST(CalibrationTest, CoversItsDaysWithBothEnds) {
  for (const char* day : {"2025-03-01", "2025-12-31", "2026-03-01"}) {
    EXPECT_THAT(Check(LabLine(), TestedOn(day)), IsEmpty()) << day;
  }
  EXPECT_THAT(Check(LabLine(), TestedOn("2026-03-02")),
              Says(Severity::kWarning, "p0",
                   "calibration: instrument meter (certificate C-17) was due on "
                   "2026-03-01, and the test was on 2026-03-02: power_input of 9 "
                   "point(s), p0, p1"));
  EXPECT_THAT(Check(LabLine(), TestedOn("2025-02-28")),
              Says(Severity::kWarning, "p0", "was calibrated on 2025-03-01"));
}

TEST(CalibrationTest, OneFindingForAnInstrumentAndDay) {
  std::vector<TestPoint> points = TestedOn("2026-03-02");
  for (int i = 5; i < 9; ++i) points[i].tested_on = "2026-03-04";
  points[0].dropped_reason = "door was open";
  const std::vector<Finding> findings = Check(LabLine(), points);
  ASSERT_EQ(findings.size(), 2u);
  EXPECT_EQ(findings[0].subject, "p1");
  EXPECT_EQ(findings[1].subject, "p5");
}

// Of the file, of all files, of the instrument's own list: the nearest says it.
TEST(CalibrationTest, AColumnNamesTheInstrumentBeforeItsOwnList) {
  document::LineManifest manifest = LabLine();
  const std::vector<TestPoint> points = TestedOn("2026-03-02");
  manifest.columns = {{.header = "P", .quantity = "power_input", .instrument = "spare"}};
  EXPECT_THAT(Check(manifest, points), IsEmpty());
  manifest.point_files = {
      {.path = "f.csv",
       .columns = {{.header = "P", .quantity = "power_input", .instrument = "meter"}}}};
  EXPECT_EQ(Check(manifest, points).size(), 1u);
  manifest.point_files[0].path = "other.csv";
  EXPECT_THAT(Check(manifest, points), IsEmpty());
}

TEST(CalibrationTest, AColumnOfALogNamesItsInstrument) {
  document::LineManifest manifest = LabLine();
  manifest.instruments[0].reads.clear();
  std::vector<TestPoint> points = TestedOn("2031-05-05");
  for (TestPoint& point : points) point.file = "logs/day.csv";
  EXPECT_THAT(Check(manifest, points), IsEmpty());
  manifest.log_files = {
      {.path = "logs/day.csv",
       .columns = {{.header = "P", .quantity = "power_input", .instrument = "meter"}}}};
  EXPECT_EQ(Check(manifest, points).size(), 1u);
}

TEST(CalibrationTest, NotesOnceAFileThatPointsHaveNoDay) {
  std::vector<TestPoint> points = TestedOn("");
  points[8].file = "g.csv";
  const std::vector<Finding> findings = Check(LabLine(), points);
  ASSERT_EQ(findings.size(), 2u);
  EXPECT_THAT(findings, Says(Severity::kNote, "p0",
                             "calibration not judged: 8 point(s) of f.csv name no day"));
  document::LineManifest undated = LabLine();
  undated.instruments[0].due_on.clear();
  EXPECT_THAT(Check(undated, points), IsEmpty());
  // A figure that was computed was read by nobody, one that was corrected was.
  for (TestPoint& point : points) ValueOf(point, "power_input").computed = true;
  EXPECT_THAT(Check(LabLine(), points), IsEmpty());
  for (TestPoint& point : points) ValueOf(point, "power_input").lab_value_si = 1;
  EXPECT_EQ(Check(LabLine(), points).size(), 2u);
}

}  // namespace
}  // namespace ratebound::screen
