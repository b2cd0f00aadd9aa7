// Certificates of a whole line: every plain claim that is proven or refuted has one,
// which the checker accepts beside the release of the same files; and it follows from
// nothing else.
#include <algorithm>
#include <string>
#include <vector>

#include "engine/claim/recheck.h"
#include "engine/document/certificate.h"
#include "engine/release/build.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/line_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::Outcome;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

struct Built {
  document::Release release;
  std::vector<claim::Certification> certifications;
};

absl::StatusOr<Built> BuildOf(const std::vector<LineFile>& files) {
  const auto procedures = testing::PublishedProcedures();
  const auto methods = testing::PublishedMethods();
  Built built;
  auto release =
      Build({.files = files,
             .procedures = procedures,
             .methods = methods,
             .parts = {.maps = true, .ratings = false, .verdicts = true, .tables = false},
             .certifications = &built.certifications});
  if (!release.ok()) return release.status();
  built.release = *std::move(release);
  return built;
}

// Built once each: they take seconds.
const absl::StatusOr<Built>& Demo() {
  static const auto* const built = new absl::StatusOr<Built>(
      BuildOf(testing::ReadLineFiles("ratings/lines/canal-halls")));
  return *built;
}

const absl::StatusOr<Built>& Measured() {
  static const auto* const built = new absl::StatusOr<Built>(
      BuildOf(testing::ReadLineFiles("ratings/lines/nist-chamber-ashp")));
  return *built;
}

// Of every claim that is proven or refuted over a region, nothing is taken as stated.
void ExpectAllDerived(const Built& built, int least_count) {
  ASSERT_EQ(built.certifications.size(), built.release.verdicts.size());
  int accepted = 0;
  for (size_t i = 0; i < built.certifications.size(); ++i) {
    const document::Verdict& verdict = built.release.verdicts[i];
    const claim::Certification& certification = built.certifications[i];
    SCOPED_TRACE(verdict.claim);
    EXPECT_EQ(certification.certificate.has_value(), certification.why_none.empty());
    const bool decided =
        verdict.outcome == Outcome::kProven || verdict.outcome == Outcome::kRefuted;
    if (decided && !verdict.text.seasonal_floor) {
      EXPECT_TRUE(certification.certificate) << certification.why_none;
    }
    if (!certification.certificate) continue;
    EXPECT_TRUE(decided);
    const auto report = claim::RecheckAgainst(*certification.certificate, built.release);
    ASSERT_THAT(report.status(), IsOk());
    ++accepted;
    EXPECT_THAT(report->ties, Not(IsEmpty()));
    for (const claim::RecheckReport::Tie& tie : report->ties) {
      EXPECT_TRUE(tie.derived) << tie.function << ": " << tie.why;
      EXPECT_EQ(tie.derived, tie.why.empty());
    }
  }
  EXPECT_GE(accepted, least_count);
}

TEST(DemoCertificates, ShowEveryVerdictOverARegion) {
  ASSERT_THAT(Demo().status(), IsOk());
  ExpectAllDerived(*Demo(), 17);
}

TEST(MeasuredCertificates, ShowEveryVerdictOverARegion) {
  ASSERT_THAT(Measured().status(), IsOk());
  ExpectAllDerived(*Measured(), 4);
}

// Sealed again, so that only what follows from what can refuse them.
document::Certificate Sealed(document::Certificate certificate) {
  certificate.seal = document::SealOf(certificate);
  return certificate;
}

TEST(DemoCertificates, LeavingOutAPartIsSeen) {
  ASSERT_THAT(Demo().status(), IsOk());
  const Built& built = *Demo();
  int windows = 0;
  for (const claim::Certification& certification : built.certifications) {
    if (!certification.certificate || certification.certificate->parts.size() < 2) {
      continue;
    }
    document::Certificate less = *certification.certificate;
    const bool plain = std::any_of(
        built.release.verdicts.begin(), built.release.verdicts.end(),
        [&](const auto& v) { return v.claim == less.claim && v.text.IsPlain(); });
    if (!plain) continue;
    ++windows;
    less.parts.pop_back();
    EXPECT_THAT(claim::RecheckAgainst(Sealed(less), built.release),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no part shows")));
  }
  EXPECT_GT(windows, 0);
}

TEST(DemoCertificates, AClaimNotShownSaysThatThereIsNothingToCertify) {
  ASSERT_THAT(Demo().status(), IsOk());
  const Built& built = *Demo();
  int not_shown = 0;
  for (size_t i = 0; i < built.certifications.size(); ++i) {
    if (built.release.verdicts[i].outcome != Outcome::kNotShown) continue;
    ++not_shown;
    EXPECT_THAT(built.certifications[i].why_none, HasSubstr("not shown"));
  }
  EXPECT_GT(not_shown, 0);
}

// Forms that the demo line does not claim, over its points.
std::string ClaimOf(const std::string& id, const std::string& body,
                    const std::string& region = R"(
  region { quantity: "entering_water_temp" low: 55 high: 95 unit: "degF" })") {
  return "claims { id: '" + id +
         "' statement: 'A form for tests.' unit: 'hall-46' mode: 'cooling' " + body +
         region + R"(
  region { quantity: "entering_air_wb" low: 66 high: 72 unit: "degF" }
  region { quantity: "air_flow" low: 4300 high: 5900 unit: "cfm" }
  region { quantity: "water_flow" low: 28 high: 43 unit: "gpm" }
  confidence: 0.95
  allowance { relative_fraction: 0.02 reason: "Form and production." }
})";
}

const std::string kForms =
    ClaimOf("every", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST limit: 8
  limit_unit: "kBtu/h" serving { rule: SERVING_RULE_EVERY })") +
    ClaimOf("lowest", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST limit: 8
  limit_unit: "kBtu/h" serving { rule: SERVING_RULE_LOWEST })") +
    ClaimOf("window", R"(quantity: "total_capacity" relation: RELATION_WITHIN limit: 8
  upper_limit: 300 limit_unit: "kBtu/h" stage: "sml")") +
    ClaimOf("table", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST
  limit_unit: "kBtu/h" stage: "sml" limit_table { source: "Invented for tests."
    rows { ranges { quantity: "entering_water_temp" low: 55 high: 75 unit: "degF" }
           limit: 130 }
    rows { ranges { quantity: "entering_water_temp" low: 75 high: 95 unit: "degF" }
           limit: 125 } })") +
    ClaimOf("line", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST
  limit_unit: "kBtu/h" stage: "sml" limit_line { quantity: "entering_water_temp"
    unit: "degF" value: 55 limit: 130 other_value: 95 other_limit: 120 })") +
    ClaimOf("some-window", R"(quantity: "total_capacity" relation: RELATION_WITHIN
  limit: 8 upper_limit: 300 limit_unit: "kBtu/h"
  serving { rule: SERVING_RULE_SOME stages: "ml" stages: "sml" })") +
    ClaimOf("some-refuted", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST
  limit: 400 limit_unit: "kBtu/h"
  serving { rule: SERVING_RULE_SOME stages: "ml" stages: "sml" })") +
    ClaimOf("parts", R"(quantity: "total_capacity" relation: RELATION_AT_LEAST limit: 8
  limit_unit: "kBtu/h" serving { rule: SERVING_RULE_PER_PART
    parts { stage: "ml"
      ranges { quantity: "entering_water_temp" low: 55 high: 80 unit: "degF" } }
    parts { stage: "sml"
      ranges { quantity: "entering_water_temp" low: 80 high: 95 unit: "degF" } } })");

absl::StatusOr<Built> MakeForms() {
  auto files = testing::ReadLineFiles("ratings/lines/canal-halls");
  for (LineFile& file : files) {
    if (file.path == "claims.textproto") file.bytes = kForms;
  }
  return BuildOf(files);
}

TEST(CertificateForms, AreTakenWholeAndNeverInPart) {
  ASSERT_OK_AND_ASSIGN(const Built built, MakeForms());
  ASSERT_EQ(built.certifications.size(), built.release.verdicts.size());
  ASSERT_EQ(built.certifications.size(), 8u);
  for (size_t i = 0; i < built.certifications.size(); ++i) {
    const document::Verdict& verdict = built.release.verdicts[i];
    const claim::Certification& certification = built.certifications[i];
    SCOPED_TRACE(verdict.claim);
    EXPECT_EQ(verdict.outcome,
              verdict.claim == "some-refuted" ? Outcome::kRefuted : Outcome::kProven)
        << verdict.explanation;
    if (verdict.claim == "some-window") {
      EXPECT_FALSE(certification.certificate);
      EXPECT_THAT(certification.why_none, HasSubstr("window"));
      continue;
    }
    ASSERT_TRUE(certification.certificate) << certification.why_none;
    const document::Certificate& certificate = *certification.certificate;
    const auto report = claim::RecheckAgainst(certificate, built.release);
    ASSERT_THAT(report.status(), IsOk());
    EXPECT_TRUE(report->all_derived());
    // A refutation of "some stage" takes every stage; a proof every part.
    for (size_t p = 0; p < certificate.parts.size(); ++p) {
      document::Certificate less = certificate;
      if (verdict.outcome == Outcome::kRefuted) {
        less.parts[0].functions.pop_back();
      } else if (less.parts.size() > 1) {
        less.parts.erase(less.parts.begin() + static_cast<int64_t>(p));
      } else {
        break;
      }
      EXPECT_FALSE(claim::RecheckAgainst(Sealed(less), built.release).ok())
          << "without part " << p;
    }
  }
}

}  // namespace
}  // namespace ratebound::release
