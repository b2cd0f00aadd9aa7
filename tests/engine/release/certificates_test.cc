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

struct Built {
  document::Release release;
  std::vector<claim::Certification> certifications;
};

absl::StatusOr<Built> MakeDemo(const std::string& line) {
  const auto files = testing::ReadLineFiles(line);
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

// Built once: it takes seconds.
const absl::StatusOr<Built>& Demo() {
  static const auto* const built =
      new absl::StatusOr<Built>(MakeDemo("ratings/lines/canal-halls"));
  return *built;
}

TEST(DemoCertificates, ShowEveryPlainVerdict) {
  ASSERT_THAT(Demo().status(), IsOk());
  const Built& built = *Demo();
  ASSERT_EQ(built.certifications.size(), built.release.verdicts.size());
  int accepted = 0;
  for (size_t i = 0; i < built.certifications.size(); ++i) {
    const document::Verdict& verdict = built.release.verdicts[i];
    const claim::Certification& certification = built.certifications[i];
    SCOPED_TRACE(verdict.claim);
    EXPECT_EQ(certification.certificate.has_value(), certification.why_none.empty());
    const bool decided =
        verdict.outcome == Outcome::kProven || verdict.outcome == Outcome::kRefuted;
    if (decided && verdict.text.IsPlain()) {
      EXPECT_TRUE(certification.certificate) << certification.why_none;
    }
    if (!certification.certificate) continue;
    EXPECT_TRUE(decided);
    const auto report = claim::RecheckAgainst(*certification.certificate, built.release);
    ASSERT_THAT(report.status(), IsOk());
    ++accepted;
    // One surface, one number, no cuts: nothing is left as stated.
    const document::Claim& text = verdict.text;
    const bool derivable = text.IsPlain() && !text.against && !text.limit_line &&
                           text.cuts.empty() &&
                           text.quantity.find("efficiency") == std::string::npos &&
                           text.quantity.find("coefficient") == std::string::npos;
    for (const claim::RecheckReport::Tie& tie : report->ties) {
      EXPECT_TRUE(tie.derived || !derivable) << tie.function << ": " << tie.why;
      EXPECT_EQ(tie.derived, tie.why.empty());
    }
  }
  EXPECT_GT(accepted, 0);
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

}  // namespace
}  // namespace ratebound::release
