// Certificates of whole lines: every claim that is proven or refuted has one, which the
// checker accepts beside the release of the same files, forming each function once more.
#include <algorithm>
#include <functional>
#include <string>

#include "engine/recheck/recheck.h"
#include "engine/release/rate_once_more.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/release/certified_lines.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using document::Outcome;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

// Of every claim over a region nothing is taken as stated.
void ExpectAllDerived(const CertifiedLine& line, int certificates) {
  ASSERT_EQ(line.certifications.size(), line.release.verdicts.size());
  int accepted = 0;
  for (size_t i = 0; i < line.certifications.size(); ++i) {
    const document::Verdict& verdict = line.release.verdicts[i];
    const claim::Certification& certification = line.certifications[i];
    SCOPED_TRACE(verdict.claim);
    EXPECT_EQ(certification.certificate.has_value(), certification.why_none.empty());
    const bool decided =
        verdict.outcome == Outcome::kProven || verdict.outcome == Outcome::kRefuted;
    EXPECT_EQ(certification.certificate.has_value(), decided) << certification.why_none;
    if (!certification.certificate) continue;
    const auto report = recheck::RecheckAgainst(*certification.certificate, line.release);
    ASSERT_THAT(report.status(), IsOk());
    ++accepted;
    EXPECT_THAT(report->ties, Not(IsEmpty()));
    for (const recheck::RecheckReport::Tie& tie : report->ties) {
      // There is no second way to a rating.
      if (verdict.text.seasonal_floor) {
        EXPECT_FALSE(tie.derived);
        EXPECT_THAT(tie.why, HasSubstr("no way of its own"));
        continue;
      }
      EXPECT_TRUE(tie.derived) << tie.function << ": " << tie.why;
      EXPECT_EQ(tie.derived, tie.why.empty());
    }
  }
  EXPECT_EQ(accepted, certificates);
}

TEST(Certificates, ShowEveryVerdictOfTheDemoLine) {
  ASSERT_THAT(DemoLine().status(), IsOk());
  ExpectAllDerived(*DemoLine(), 18);
}

TEST(Certificates, ShowEveryVerdictOfTheMeasuredLine) {
  ASSERT_THAT(MeasuredLine().status(), IsOk());
  ExpectAllDerived(*MeasuredLine(), 4);
}

// Surfaces of single specimens stand in no release: the checker fits them once more.
TEST(Certificates, ShowThatSpecimensAreAlike) {
  ASSERT_THAT(SpecimensLine().status(), IsOk());
  ExpectAllDerived(*SpecimensLine(), 1);
}

TEST(Certificates, ShowEveryForm) {
  ASSERT_THAT(FormsLine().status(), IsOk());
  for (const document::Verdict& verdict : FormsLine()->release.verdicts) {
    const bool refuted = verdict.claim.find("refuted") != std::string::npos;
    EXPECT_EQ(verdict.outcome, refuted ? Outcome::kRefuted : Outcome::kProven)
        << verdict.claim << ": " << verdict.explanation;
  }
  ExpectAllDerived(*FormsLine(), 18);
}

// A refutation of "some stage" takes every stage; a proof every part.
TEST(Certificates, AreTakenWholeAndNeverInPart) {
  for (const auto* line : {&FormsLine(), &DemoLine()}) {
    ASSERT_THAT(line->status(), IsOk());
    int in_parts = 0;
    for (const claim::Certification& certification : (*line)->certifications) {
      if (!certification.certificate || certification.certificate->rating) continue;
      const document::Certificate& whole = *certification.certificate;
      SCOPED_TRACE(whole.claim);
      if (whole.outcome == Outcome::kRefuted) {
        if (whole.parts[0].functions.size() < 2) continue;
        document::Certificate less = whole;
        less.parts[0].functions.pop_back();
        EXPECT_THAT(recheck::RecheckAgainst(Sealed(less), (*line)->release),
                    StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("refutes")));
        continue;
      }
      if (whole.parts.size() < 2) continue;
      ++in_parts;
      // Of many a few.
      const size_t step = 1 + whole.parts.size() / 8;
      for (size_t p = 0; p < whole.parts.size(); p += step) {
        document::Certificate less = whole;
        less.parts.erase(less.parts.begin() + static_cast<int64_t>(p));
        EXPECT_THAT(
            recheck::RecheckAgainst(Sealed(less), (*line)->release),
            StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no part shows")))
            << "without part " << p;
      }
    }
    EXPECT_GT(in_parts, 2);
  }
}

// Some stage keeps the window, one here and another there.
TEST(Certificates, DivideTheRegionWhereSomeStageKeepsAWindow) {
  ASSERT_THAT(FormsLine().status(), IsOk());
  const document::Certificate* const certificate = FormsLine()->Find("some-window");
  ASSERT_NE(certificate, nullptr);
  const auto stages = [&](const char* stage) {
    return std::count_if(
        certificate->parts.begin(), certificate->parts.end(),
        [&](const auto& part) { return part.functions[0].stage == stage; });
  };
  EXPECT_GT(stages("ml"), 1);
  EXPECT_GT(stages("sml"), 1);
  EXPECT_EQ(certificate->parts.size() % 2, 0u);  // two sides each
}

TEST(Certificates, OfARatingFollowFromTheFiguresOfTheRelease) {
  ASSERT_THAT(DemoLine().status(), IsOk());
  const document::Certificate* const certificate =
      DemoLine()->Find("hall-46-rated-efficiency");
  ASSERT_NE(certificate, nullptr);
  ASSERT_TRUE(certificate->rating);
  struct Case {
    std::string description;
    std::function<void(document::CertifiedRating&)> change;
    std::string message;
  };
  const Case cases[] = {
      {"a higher rating", [](auto& r) { r.value += 0.01; }, "another rating"},
      {"less scatter", [](auto& r) { r.standard_error *= 0.99; }, "standard error"},
      {"better instruments", [](auto& r) { r.systematic *= 0.99; }, "instruments"},
      {"more degrees of freedom", [](auto& r) { r.degrees_of_freedom += 0.1; },
       "degrees of freedom"},
      {"a smaller factor", [](auto& r) { r.coverage_factor *= 0.99; }, "factor"},
      {"no allowance", [](auto& r) { r.allowance = 0; }, "allowance"},
      {"an easier limit", [](auto& r) { r.limit -= 0.01; }, "limit"},
      {"another unit", [](auto& r) { r.unit = "W/W"; }, "unit"},
      {"another procedure", [](auto& r) { r.procedure = "other"; }, "not on this rating"},
      {"a better margin", [](auto& r) { r.margin += 0.01; }, "does not follow"},
      {"less is better", [](auto& r) { r.less_is_better = true; }, "does not follow"},
  };
  for (const Case& c : cases) {
    document::Certificate changed = *certificate;
    c.change(*changed.rating);
    EXPECT_THAT(recheck::RecheckAgainst(Sealed(changed), DemoLine()->release),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.message)))
        << c.description;
  }
}

TEST(Certificates, ARatingComputedOnceMoreFromTheReleaseIsTheSame) {
  ASSERT_THAT(DemoLine().status(), IsOk());
  const document::Release& release = DemoLine()->release;
  ASSERT_FALSE(release.ratings.empty());
  for (const document::Rating& rating : release.ratings) {
    ASSERT_OK_AND_ASSIGN(const document::Rating again,
                         RateOnceMore(release, rating.unit, rating.procedure));
    EXPECT_EQ(again.value, rating.value);
    EXPECT_EQ(again.uncertainty, rating.uncertainty);
  }
  EXPECT_THAT(RateOnceMore(release, "no-unit", release.ratings[0].procedure),
              StatusIs(absl::StatusCode::kNotFound, HasSubstr("no-unit")));
}

TEST(Certificates, OfAClaimNotShownSayThatThereIsNothingToCertify) {
  ASSERT_THAT(DemoLine().status(), IsOk());
  int not_shown = 0;
  for (size_t i = 0; i < DemoLine()->certifications.size(); ++i) {
    if (DemoLine()->release.verdicts[i].outcome != Outcome::kNotShown) continue;
    ++not_shown;
    EXPECT_THAT(DemoLine()->certifications[i].why_none, HasSubstr("not shown"));
  }
  EXPECT_GT(not_shown, 0);
}

}  // namespace
}  // namespace ratebound::release
