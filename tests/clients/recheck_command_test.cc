// Certificates from claim to recheck, as a reader of a release follows them: written by
// verify, taken by recheck beside the release, refused with one number changed.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_replace.h"
#include "absl/strings/str_split.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"
#include "engine/document/certificate_bytes.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/small_line.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

std::string Capacity(const std::string& id, const std::string& relation,
                     double limit_kw) {
  return testing::SmallLineClaim(id, "quantity: 'total_capacity' relation: " + relation +
                                         " limit: " + std::to_string(limit_kw) +
                                         " limit_unit: 'kW'");
}

class RecheckCommand : public ::testing::Test {
 protected:
  RecheckCommand() {
    folder_.Write("line/line.textproto", testing::kSmallLineManifest);
    folder_.Write("line/points/p.csv", testing::SmallLinePoints());
  }

  absl::StatusOr<Result> Call(std::vector<std::string> words) {
    words.push_back("--store");
    words.push_back(folder_.Below("store.sqlite"));
    auto arguments = ParseArguments(Commands(), words);
    if (!arguments.ok()) return arguments.status();
    return cli::Run(*arguments);
  }

  // The release, and certificates of the claims.
  absl::StatusOr<Result> Certify(const std::string& claims) {
    folder_.Write("line/claims.textproto", claims);
    auto built = Call({"build", folder_.Below("line"), "--to", release()});
    if (!built.ok()) return built;
    return Call({"verify", folder_.Below("line"), "--certificates", certificates()});
  }
  absl::StatusOr<Result> Recheck() {
    return Call({"recheck", release(), certificates()});
  }

  std::string release() const { return folder_.Below("release.bin"); }
  std::string certificates() const { return folder_.Below("certificates"); }
  std::string PathOf(const std::string& claim) const {
    return certificates() + "/" + claim + ".certificate";
  }
  std::string Bytes(const std::string& claim) const {
    std::ifstream in(PathOf(claim), std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  void Write(const std::string& claim, const std::string& bytes) const {
    std::ofstream(PathOf(claim), std::ios::binary | std::ios::trunc) << bytes;
  }

  testing::TempFolder folder_;
};

TEST_F(RecheckCommand, TakesWhatVerifyWrites) {
  ASSERT_OK_AND_ASSIGN(const Result verified,
                       Certify(Capacity("floor", "RELATION_AT_LEAST", 37) +
                               Capacity("ceiling", "RELATION_AT_MOST", 45) +
                               Capacity("edge", "RELATION_AT_LEAST", 39.4)));
  EXPECT_EQ(verified.exit, Exit::kFound);  // the ceiling is refuted
  EXPECT_THAT(verified.out, AllOf(HasSubstr("2 certificates written to"),
                                  HasSubstr("no certificate of edge: not shown")));
  EXPECT_FALSE(std::filesystem::exists(PathOf("edge")));
  ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
  EXPECT_EQ(rechecked.exit, Exit::kWell) << rechecked.out;
  EXPECT_THAT(rechecked.out, AllOf(HasSubstr("ACCEPTED  floor: PROVEN"),
                                   HasSubstr("ACCEPTED  ceiling: REFUTED"),
                                   HasSubstr("2 accepted, 0 refused")));
}

TEST_F(RecheckCommand, FormsACombinationOnceMore) {
  ASSERT_OK_AND_ASSIGN(
      const Result verified,
      Certify(testing::SmallLineClaim("ratio",
                                      "quantity: 'coefficient_of_performance' relation: "
                                      "RELATION_AT_LEAST limit: 2 limit_unit: 'W/W'")));
  EXPECT_EQ(verified.exit, Exit::kWell) << verified.out;
  ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
  EXPECT_EQ(rechecked.exit, Exit::kWell) << rechecked.out;
  EXPECT_THAT(rechecked.out, HasSubstr("ACCEPTED  ratio: PROVEN"));
  EXPECT_THAT(rechecked.out, Not(HasSubstr("not derived")));
}

// A rating has no second way to it, and the same engine's word for it is named as that.
TEST_F(RecheckCommand, SaysWhatItTakesAsStated) {
  std::string manifest = absl::StrReplaceAll(
      testing::kSmallLineManifest,
      {{"machines { id: \"m\" }", R"(
  machines { id: "m" }
  procedure_inputs {
    procedure: "eer-water-cooled" input: "heat_rejection_power_per_capacity" value: 0
  }
  procedure_inputs {
    procedure: "eer-water-cooled" input: "heat_rejection_cycling_part" value: 1
  })"},
       {"    stages {",
        "    held_conditions { quantity: 'entering_air_db' value: 80 tolerance: 1 unit: "
        "'degF' }\n    stages {"}});
  manifest += "procedures: 'eer-water-cooled'\n";
  folder_.Write("line/line.textproto", manifest);
  std::string points;
  for (absl::string_view row :
       absl::StrSplit(testing::SmallLinePoints(), "\r\n", absl::SkipEmpty())) {
    const bool header = row.substr(0, 5) == "point";
    absl::StrAppend(&points, row, header ? ",entering_air_db[degF]" : ",80", "\r\n");
  }
  folder_.Write("line/points/p.csv", points);
  ASSERT_OK_AND_ASSIGN(
      const Result verified,
      Certify("claims { id: 'eer' statement: 'Rated.' unit: 'u1' confidence: 0.95 "
              "seasonal_floor { procedure: 'eer-water-cooled' at_least: 15 unit: "
              "'Btu/Wh' } allowance { absolute: 0 reason: 'none, for a test' } }"));
  EXPECT_EQ(verified.exit, Exit::kWell) << verified.out;
  ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
  EXPECT_EQ(rechecked.exit, Exit::kWell) << rechecked.out;
  EXPECT_THAT(rechecked.out,
              AllOf(HasSubstr("ACCEPTED AS STATED  eer: PROVEN"),
                    HasSubstr("no way of its own"), HasSubstr("by the same engine")));
}

TEST_F(RecheckCommand, RefusesAnyChangedByte) {
  ASSERT_OK_AND_ASSIGN(const Result verified,
                       Certify(Capacity("floor", "RELATION_AT_LEAST", 37)));
  EXPECT_EQ(verified.exit, Exit::kWell) << verified.out;
  const std::string good = Bytes("floor");
  ASSERT_FALSE(good.empty());
  for (size_t at = 1; at < good.size(); at += good.size() / 16 + 1) {
    std::string bad = good;
    bad[at] = static_cast<char>(bad[at] ^ 1);
    Write("floor", bad);
    ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
    EXPECT_EQ(rechecked.exit, Exit::kFound) << "byte " << at;
    EXPECT_THAT(rechecked.out, HasSubstr("REFUSED")) << "byte " << at;
  }
}

// With a seal made anew, so that only what follows from what tells.
TEST_F(RecheckCommand, SaysWhatDoesNotFollow) {
  ASSERT_OK_AND_ASSIGN(const Result verified,
                       Certify(Capacity("floor", "RELATION_AT_LEAST", 37)));
  EXPECT_EQ(verified.exit, Exit::kWell) << verified.out;
  ASSERT_OK_AND_ASSIGN(const document::Certificate good,
                       document::ParseCertificate(Bytes("floor")));
  struct Case {
    std::string description;
    std::function<void(document::CertificatePart&)> change;
    std::string says;
  };
  const Case cases[] = {
      {"a bound", [](auto& part) { part.leaves[0].bound *= 2; }, "does not follow"},
      {"the least", [](auto& part) { part.lower_bound *= 2; }, "the lower bound"},
      {"the surface", [](auto& part) { part.functions[0].value.coefficients[0] += 1; },
       "not that of surface and limit"},
      {"the region", [](auto& part) { part.box_low[0] += 0.01; }, "the range of"},
      {"the sureness", [](auto& part) { part.functions[0].coverage_factor *= 0.5; },
       "another factor than its bands have"},
  };
  for (const Case& c : cases) {
    document::Certificate bad = good;
    c.change(bad.parts[0]);
    bad.seal = document::SealOf(bad);
    ASSERT_OK_AND_ASSIGN(const std::string bytes, document::SerializeCertificate(bad));
    Write("floor", bytes);
    ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
    EXPECT_EQ(rechecked.exit, Exit::kFound) << c.description;
    std::string text = rechecked.out;  // wrapped
    std::replace(text.begin(), text.end(), '\n', ' ');
    for (size_t at = text.find("  "); at != text.npos; at = text.find("  ")) {
      text.erase(at, 1);
    }
    EXPECT_THAT(text, HasSubstr(c.says)) << c.description;
  }
}

TEST_F(RecheckCommand, ACertificateIsOfOneRelease) {
  ASSERT_OK_AND_ASSIGN(const Result verified,
                       Certify(Capacity("floor", "RELATION_AT_LEAST", 37)));
  EXPECT_EQ(verified.exit, Exit::kWell) << verified.out;
  folder_.Write("line/claims.textproto", Capacity("floor", "RELATION_AT_LEAST", 36));
  ASSERT_OK_AND_ASSIGN(const Result built,
                       Call({"build", folder_.Below("line"), "--to", release()}));
  ASSERT_OK_AND_ASSIGN(const Result rechecked, Recheck());
  EXPECT_EQ(rechecked.exit, Exit::kFound) << rechecked.out;
  EXPECT_THAT(rechecked.out, AllOf(HasSubstr("REFUSED  floor"), HasSubstr("limit")));
}

TEST_F(RecheckCommand, JsonHoldsNoPiecesOfCertificates) {
  ASSERT_OK_AND_ASSIGN(const Result verified,
                       Certify(Capacity("floor", "RELATION_AT_LEAST", 37)));
  ASSERT_OK_AND_ASSIGN(const Result json,
                       Call({"verify", folder_.Below("line"), "--certificates",
                             certificates(), "--output", "json"}));
  EXPECT_THAT(json.out, Not(HasSubstr("certificateChunk")));
}

}  // namespace
}  // namespace ratebound::cli
