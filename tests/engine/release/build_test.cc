#include "engine/release/build.h"

#include <algorithm>
#include <atomic>
#include <string>
#include <vector>

#include "engine/document/release_bytes.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"
#include "tests/engine/release/line_of_units.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Procedure;
using document::Release;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;
using testing::StatusIs;

const std::vector<Procedure>& Published() {
  static const auto* const published = [] {
    auto* procedures = new std::vector<Procedure>;
    for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
      auto procedure = document::ParseProcedure(file.path, file.bytes);
      if (procedure.ok()) procedures->push_back(*std::move(procedure));
    }
    return procedures;
  }();
  return *published;
}

std::string DigestOf(const Files& files, int thread_count = 1) {
  const auto built =
      Build({.files = files, .procedures = Published(), .thread_count = thread_count});
  if (!built.ok()) return built.status().ToString();
  const auto bytes = document::SerializeRelease(*built);
  return bytes.ok() ? bytes->digest : bytes.status().ToString();
}

TEST(BuildTest, ComputesAllThatTheFolderAsksFor) {
  const Files files = SmallLine();
  ASSERT_OK_AND_ASSIGN(const Release release,
                       Build({.files = files, .procedures = Published()}));
  EXPECT_EQ(release.engine_version, kEngineVersion);
  EXPECT_EQ(release.manifest.id, "small");
  EXPECT_THAT(release.points, SizeIs(24));
  EXPECT_THAT(release.maps, SizeIs(1));
  EXPECT_THAT(release.tables, SizeIs(1));
  ASSERT_THAT(release.verdicts, SizeIs(3));
  // The truth is known: capacity at least 39.5 kW, power up to 13 kW, water up to 40
  // degC.
  EXPECT_EQ(release.verdicts[0].outcome, Outcome::kProven);
  EXPECT_EQ(release.verdicts[1].outcome, Outcome::kRefuted);
  EXPECT_EQ(release.verdicts[2].outcome, Outcome::kNotShown);
  EXPECT_EQ(release.verdicts[2].reason, NotShownReason::kUntested);
  EXPECT_THAT(release.verdicts[2].untested, Not(IsEmpty()));
  ASSERT_THAT(release.source_files, SizeIs(3));
  EXPECT_EQ(release.source_files[0].path, "claims.textproto");  // by path
  EXPECT_EQ(release.source_files[2].byte_count,
            static_cast<int64_t>(files[2].bytes.size()));
}

// The known truth of the small line, at its middle and corners, within its 0.3 %.
TEST(BuildTest, TablesHoldTheTruthOfTheLine) {
  const Files files = SmallLine();
  ASSERT_OK_AND_ASSIGN(const Release release,
                       Build({.files = files, .procedures = Published()}));
  ASSERT_THAT(release.tables, SizeIs(1));
  const document::Table& table = release.tables[0];
  ASSERT_THAT(table.figures, SizeIs(2));
  ASSERT_THAT(table.figures[0].values, SizeIs(9));
  int cell = 0;
  for (const double water_c : {15, 25, 35}) {
    for (const double wet_bulb_c : {14, 18, 22}) {
      const double capacity_kw = 50 - 0.3 * (water_c - 25) + (wet_bulb_c - 18);
      EXPECT_NEAR(table.figures[0].values[cell], capacity_kw, 0.003 * capacity_kw);
      EXPECT_NEAR(table.figures[1].values[cell], 10 + 0.2 * (water_c - 25), 0.03);
      ++cell;
    }
  }
}

TEST(BuildTest, SameDigestForAnyOrderOfFilesAndAnyThreads) {
  Files files = LineOfUnits(3);
  const std::string digest = DigestOf(files);
  ASSERT_THAT(digest, SizeIs(64)) << digest;
  testing::Random random("SAME_DIGEST_FOR_ANY_ORDER");
  for (const int thread_count : {1, 2, 5}) {
    for (size_t i = files.size() - 1; i > 0; --i) {
      const double pick = random.Uniform(0, static_cast<double>(i) + 1);
      std::swap(files[i], files[std::min(i, static_cast<size_t>(pick))]);
    }
    EXPECT_EQ(DigestOf(files, thread_count), digest) << thread_count << " threads";
  }
}

TEST(BuildTest, AnyChangeOfAnInputChangesTheDigest) {
  const std::string digest = DigestOf(SmallLine());
  Files last_digit = SmallLine();
  std::string& points = BytesOf(last_digit, "points/p.csv");
  const size_t at = points.find_last_of("0123456789");
  points[at] = points[at] == '1' ? '2' : '1';
  EXPECT_NE(DigestOf(last_digit), digest);

  // A comment changes no figure, and the raw bytes are a part of the release all the
  // same.
  Files comment = SmallLine();
  BytesOf(comment, "claims.textproto") += "# reviewed\n";
  EXPECT_NE(DigestOf(comment), digest);
}

// Rows of one file in another order: other bytes, the same figures.
TEST(BuildTest, OrderOfRowsChangesNoFigure) {
  Files turned = SmallLine();
  std::string& points = BytesOf(turned, "points/p.csv");
  const size_t header_end = points.find('\n') + 1;
  std::vector<std::string> rows;
  for (size_t begin = header_end; begin < points.size();) {
    const size_t end = points.find('\n', begin) + 1;
    rows.push_back(points.substr(begin, end - begin));
    begin = end;
  }
  points.resize(header_end);
  std::for_each(rows.rbegin(), rows.rend(), [&](const auto& row) { points += row; });
  const Files straight = SmallLine();
  ASSERT_OK_AND_ASSIGN(const Release a,
                       Build({.files = straight, .procedures = Published()}));
  ASSERT_OK_AND_ASSIGN(const Release b,
                       Build({.files = turned, .procedures = Published()}));
  EXPECT_EQ(a.maps, b.maps);
  EXPECT_EQ(a.verdicts, b.verdicts);
  EXPECT_EQ(a.tables, b.tables);
}

// Stopped at the first question, at the second, and so on until the build ran through.
TEST(BuildTest, StopsWhereverItIsAsked) {
  const Files files = LineOfUnits(1);
  ASSERT_OK_AND_ASSIGN(const Release whole,
                       Build({.files = files, .procedures = Published()}));
  int stopped = 0;
  for (int allowed = 0; allowed < 1000; ++allowed) {
    std::atomic<int> asked = 0;
    const auto built = Build({.files = files, .procedures = Published(), .stop = [&] {
                                return asked++ >= allowed;
                              }});
    if (built.ok()) {
      EXPECT_EQ(*built, whole);
      break;
    }
    ASSERT_THAT(built, StatusIs(absl::StatusCode::kCancelled, ::testing::_));
    ++stopped;
  }
  EXPECT_GT(stopped, 4);
  EXPECT_LT(stopped, 1000);
}

TEST(BuildTest, PartsThatAreNotAskedForAreNotThere) {
  const Files files = SmallLine();
  ASSERT_OK_AND_ASSIGN(
      const Release release,
      Build({.files = files,
             .procedures = Published(),
             .parts = {
                 .maps = false, .ratings = false, .verdicts = false, .tables = false}}));
  EXPECT_THAT(release.points, SizeIs(24));
  EXPECT_THAT(release.findings, Not(IsEmpty()));
  EXPECT_THAT(release.maps, IsEmpty());
  EXPECT_THAT(release.ratings, IsEmpty());
  EXPECT_THAT(release.verdicts, IsEmpty());
  EXPECT_THAT(release.tables, IsEmpty());
}

TEST(BuildTest, FiltersNarrowWithoutChangingFigures) {
  const Files files = LineOfUnits(2);
  ASSERT_OK_AND_ASSIGN(const Release whole,
                       Build({.files = files, .procedures = Published()}));
  ASSERT_OK_AND_ASSIGN(
      const Release unit,
      Build({.files = files, .procedures = Published(), .only_unit = "u2"}));
  ASSERT_THAT(unit.maps, SizeIs(2));
  EXPECT_EQ(unit.maps[0], whole.maps[2]);
  EXPECT_EQ(unit.maps[1], whole.maps[3]);
  EXPECT_THAT(unit.verdicts, ElementsAre(whole.verdicts[1]));
  EXPECT_THAT(unit.tables, ElementsAre(whole.tables[1]));

  ASSERT_OK_AND_ASSIGN(const Release claim,
                       Build({.files = files,
                              .procedures = Published(),
                              .parts = {.maps = false, .ratings = false, .tables = false},
                              .only_claim = "floor-1"}));
  EXPECT_THAT(claim.verdicts, ElementsAre(whole.verdicts[0]));
  ASSERT_OK_AND_ASSIGN(
      const Release table,
      Build({.files = files,
             .procedures = Published(),
             .parts = {.maps = false, .ratings = false, .verdicts = false},
             .only_table = "t2"}));
  EXPECT_THAT(table.tables, ElementsAre(whole.tables[1]));
}

TEST(BuildTest, UnknownFiltersAreErrorsThatSuggestTheNearest) {
  const Files files = LineOfUnits(1);
  BuildRequest base{.files = files, .procedures = Published()};
  const auto expect_error = [](const BuildRequest& request, const std::string& what,
                               const std::string& suggestion) {
    EXPECT_THAT(Build(request), StatusIs(absl::StatusCode::kInvalidArgument,
                                         AllOf(HasSubstr(what), HasSubstr(suggestion))));
  };
  BuildRequest request = base;
  request.only_unit = "u11";
  expect_error(request, "unit 'u11'", "'u1'");
  request = base;
  request.only_claim = "flor-1";
  expect_error(request, "claim 'flor-1'", "'floor-1'");
  request = base;
  request.only_table = "t11";
  expect_error(request, "table 't11'", "'t1'");
  request = base;
  request.only_procedure = "ieer-water-coold";
  expect_error(request, "procedure 'ieer-water-coold'", "'ieer-water-cooled'");
}

// A second verification counts as a look only where data were added; see design of
// claims: the k-th look spends alpha / (k (k + 1)).
TEST(BuildTest, LooksCountOnAddedDataAlone) {
  const Files first_files = SmallLine();
  ASSERT_OK_AND_ASSIGN(const Release first,
                       Build({.files = first_files, .procedures = Published()}));
  ASSERT_OK_AND_ASSIGN(const Release again, Build({.files = first_files,
                                                   .procedures = Published(),
                                                   .earlier_verdicts = first.verdicts}));
  EXPECT_EQ(again.verdicts, first.verdicts);

  Files more = SmallLine();
  BytesOf(more, "points/p.csv") += "p-more,day24,25,18,50.1,10.01\r\n";
  ASSERT_OK_AND_ASSIGN(const Release second, Build({.files = more,
                                                    .procedures = Published(),
                                                    .earlier_verdicts = first.verdicts}));
  ASSERT_THAT(second.verdicts, SizeIs(3));
  EXPECT_EQ(first.verdicts[0].look, 1);
  EXPECT_EQ(second.verdicts[0].look, 2);
  EXPECT_LT(second.verdicts[0].level, first.verdicts[0].level);
}

TEST(BuildTest, AFolderMayNotRedefineAPublishedProcedure) {
  Files files = SmallLine();
  const ratings::EmbeddedFile& published = ratings::EmbeddedProcedures().front();
  files.push_back({"procedures/own.textproto", std::string(published.bytes)});
  EXPECT_THAT(Build({.files = files, .procedures = Published()}),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("two procedures are called")));
}

// Invented units that the procedure does not apply to: refused, with the reason, and no
// figure.
TEST(BuildTest, ARefusedRatingIsAPartOfTheRelease) {
  Files files = SmallLine();
  std::string& manifest = BytesOf(files, "line.textproto");
  Replace(manifest, "unitary_water_cooled", "residential_split");
  manifest += "procedures: 'ieer-water-cooled'\n";
  ASSERT_OK_AND_ASSIGN(const Release release,
                       Build({.files = files, .procedures = Published()}));
  ASSERT_THAT(release.ratings, SizeIs(1));
  EXPECT_FALSE(release.ratings[0].value);
  EXPECT_THAT(release.ratings[0].refusal, Not(IsEmpty()));
}

}  // namespace
}  // namespace ratebound::release
