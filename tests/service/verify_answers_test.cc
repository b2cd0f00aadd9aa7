#include "service/verify_answers.h"

#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "engine/document/certificate_bytes.h"
#include "engine/document/release_bytes.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using document::Release;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;

// The fake's rating "rated" is 4.5678, rounded 4.57.
Release Declaring(double value) {
  Release release = SampleRelease();
  release.manifest.units[0].declared_ratings = {
      {.procedure = "rated", .value = value, .unit = "W/W"}};
  return release;
}

class VerifyAnswersTest : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(store_, Store::Open(":memory:"));
    library_ = std::make_unique<ReleaseLibrary>(*store_);
  }

  // What is answered where the engine makes `now` of the line; the summary stands last.
  absl::StatusOr<std::vector<v1::VerifyLineResponse>> Verify(
      Release now, const v1::VerifyLineOptions& options = {},
      const std::string& baseline_bytes = "") {
    const Engine engine{.build =
                            [&](const release::BuildRequest& request) {
                              asked_ = request.parts;
                              return absl::StatusOr<Release>(now);
                            },
                        .published = NothingPublished};
    ASSIGN_OR_RETURN(
        AnswerSource<v1::VerifyLineResponse> source,
        VerifyLine(engine, *library_, options, {}, baseline_bytes, [] { return false; }));
    std::vector<v1::VerifyLineResponse> answers;
    v1::VerifyLineResponse answer;
    while (source(answer)) answers.push_back(answer);
    return answers;
  }

  std::string Published(const Release& release) {
    return library_->Publish(release)->summary.digest();
  }

  std::unique_ptr<Store> store_;
  std::unique_ptr<ReleaseLibrary> library_;
  release::Parts asked_;
};

TEST_F(VerifyAnswersTest, TheSummaryCountsAndComesLast) {
  ASSERT_OK_AND_ASSIGN(const auto answers, Verify(Declaring(4.57)));
  ASSERT_THAT(answers, SizeIs(5));
  EXPECT_TRUE(answers[3].has_declared_rating());
  const v1::VerifySummary& summary = answers[4].summary();
  EXPECT_EQ(summary.line(), "fake");
  EXPECT_THAT(summary.cautions(), ElementsAre("Not certified."));
  EXPECT_EQ(summary.effective_fail_on(), v1::GATE_RULE_WEAKER);
  EXPECT_EQ(summary.effective_baseline(), "");
  EXPECT_EQ(summary.proven_count(), 1);
  EXPECT_EQ(summary.refuted_count(), 1);
  EXPECT_EQ(summary.not_shown_count(), 1);
  EXPECT_EQ(summary.supported_count(), 1);
  EXPECT_EQ(summary.failed_count(), 1);
  EXPECT_THAT(answers[1].failures(), SizeIs(1));
  EXPECT_TRUE(asked_.verdicts);
  EXPECT_TRUE(asked_.declared_ratings);
  EXPECT_FALSE(asked_.ratings);
}

TEST_F(VerifyAnswersTest, ADeclaredRatingIsHeldAgainstTheBaselines) {
  v1::VerifyLineOptions options;
  options.set_baseline(Published(Declaring(4.57)));
  Release worse = Declaring(4.57);
  worse.ratings[0].value = 4.56;
  worse.ratings[0].rounded = "4.56";
  ASSERT_OK_AND_ASSIGN(const auto answers, Verify(worse, options));
  ASSERT_THAT(answers, SizeIs(5));
  EXPECT_EQ(answers[3].change(), v1::VERDICT_CHANGE_WEAKER);
  EXPECT_EQ(answers[3].declared_rating().outcome(), v1::DECLARED_OUTCOME_NOT_SUPPORTED);
  EXPECT_EQ(answers[3].baseline_declared_rating().outcome(),
            v1::DECLARED_OUTCOME_SUPPORTED);
  EXPECT_EQ(answers[4].summary().effective_baseline(), options.baseline());
  EXPECT_EQ(answers[4].summary().weaker_count(), 1);

  ASSERT_OK_AND_ASSIGN(const auto gone, Verify(SampleRelease(), options));
  ASSERT_THAT(gone, SizeIs(5));
  EXPECT_EQ(gone[3].change(), v1::VERDICT_CHANGE_GONE);
  EXPECT_FALSE(gone[3].has_declared_rating());
  EXPECT_THAT(gone[3].failures(), SizeIs(1));
}

TEST_F(VerifyAnswersTest, OneClaimAloneAsksForNoRatings) {
  v1::VerifyLineOptions options;
  options.set_claim("a");
  options.set_baseline(Published(Declaring(4.57)));
  Release one = Declaring(4.57);
  one.verdicts.resize(1);
  ASSERT_OK_AND_ASSIGN(const auto answers, Verify(one, options));
  EXPECT_THAT(answers, SizeIs(2));
  EXPECT_FALSE(asked_.declared_ratings);
}

TEST_F(VerifyAnswersTest, ABaselineMayComeAsBytes) {
  ASSERT_OK_AND_ASSIGN(const auto serialized,
                       document::SerializeRelease(SampleRelease()));
  Release now = SampleRelease();
  now.verdicts[0].outcome = document::Outcome::kNotShown;
  ASSERT_OK_AND_ASSIGN(const auto answers, Verify(now, {}, serialized.bytes));
  EXPECT_EQ(answers[0].change(), v1::VERDICT_CHANGE_WEAKER);
  EXPECT_EQ(answers.back().summary().effective_baseline(), serialized.digest);
  EXPECT_THAT(Verify(now, {}, "no release").status(),
              testing::StatusIs(absl::StatusCode::kInvalidArgument, ::testing::_));
}

TEST_F(VerifyAnswersTest, ABaselineOfAnotherLineIsRefused) {
  Release other = SampleRelease();
  other.manifest.id = "other";
  v1::VerifyLineOptions options;
  options.set_baseline(Published(other));
  EXPECT_THAT(Verify(SampleRelease(), options).status(),
              testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                HasSubstr("release of line 'other'")));
  options.set_baseline("12345678");
  EXPECT_THAT(Verify(SampleRelease(), options).status(),
              testing::StatusIs(absl::StatusCode::kNotFound, ::testing::_));
}

TEST_F(VerifyAnswersTest, OptionsThatContradictEachOtherAreRefusedTogether) {
  const struct {
    std::function<void(v1::VerifyLineOptions&)> set;
    bool bytes;
    std::vector<std::string> messages;
  } kCases[] = {
      {[](auto& o) { o.set_fail_on(v1::GATE_RULE_WEAKER); },
       false,
       {"nothing can be weaker without a baseline"}},
      {[](auto& o) {
         o.set_fail_on(v1::GATE_RULE_REFUTED);
         o.set_margin_drop_percent(120);
       },
       false,
       {"120 is out of range", "no margin can fall without a baseline",
        "passes over margins"}},
      {[](auto& o) {
         o.set_margin_drop_percent(std::numeric_limits<double>::quiet_NaN());
         o.set_baseline("12345678");
       },
       false,
       {"is out of range"}},
      {[](auto& o) { o.set_baseline("12345678"); },
       true,
       {"a digest is named and a release is sent"}},
      {[](auto& o) { o.set_fail_on(static_cast<v1::GateRule>(17)); },
       false,
       {"17 is no rule of a gate"}},
  };
  for (const auto& c : kCases) {
    v1::VerifyLineOptions options;
    c.set(options);
    const absl::Status status =
        Verify(SampleRelease(), options, c.bytes ? "bytes" : "").status();
    EXPECT_EQ(status.code(), absl::StatusCode::kInvalidArgument);
    for (const std::string& message : c.messages) {
      EXPECT_THAT(std::string(status.message()), HasSubstr(message));
    }
  }
}

TEST_F(VerifyAnswersTest, MarginsAndRulesReachTheGate) {
  v1::VerifyLineOptions options;
  Release before = SampleRelease();
  options.set_baseline(Published(before));
  Release now = SampleRelease();
  now.verdicts[0].margin = before.verdicts[0].margin / 2;
  ASSERT_OK_AND_ASSIGN(const auto told, Verify(now, options));
  EXPECT_EQ(told[0].change(), v1::VERDICT_CHANGE_SAME);
  EXPECT_THAT(told[0].differences(), SizeIs(1));
  options.set_margin_drop_percent(40);
  ASSERT_OK_AND_ASSIGN(const auto weaker, Verify(now, options));
  EXPECT_EQ(weaker[0].change(), v1::VERDICT_CHANGE_WEAKER);
  EXPECT_EQ(weaker[0].differences(0).kind(), v1::DIFFERENCE_KIND_MARGIN);
  EXPECT_EQ(weaker[0].differences(0).effect(), v1::DIFFERENCE_EFFECT_WORSE);
  options.set_fail_on(v1::GATE_RULE_NOT_SHOWN);
  ASSERT_OK_AND_ASSIGN(const auto all, Verify(now, options));
  EXPECT_EQ(all.back().summary().failed_count(), 3);
}

TEST_F(VerifyAnswersTest, CertificatesComeInPiecesAfterTheirVerdicts) {
  document::Certificate large{.claim = "a", .outcome = document::Outcome::kProven};
  large.parts.push_back({.conditions = {"entering_water_temp"},
                         .centre_si = {30},
                         .half_range_si = {10},
                         .box_low = {-1},
                         .box_high = {1},
                         .unit_centre = {0},
                         .unit_radius = {1},
                         .anchors = std::vector<double>(20'000, 0.5)});
  bool asked = false;
  const Engine engine{.build =
                          [&](const release::BuildRequest& request) {
                            asked = request.certifications != nullptr;
                            if (asked) {
                              *request.certifications = {{.certificate = large},
                                                         {.why_none = "too near"},
                                                         {.why_none = "not shown"}};
                            }
                            return absl::StatusOr<Release>(SampleRelease());
                          },
                      .published = NothingPublished};
  const auto answers = [&](bool certify) {
    v1::VerifyLineOptions options;
    options.set_certify(certify);
    std::vector<v1::VerifyLineResponse> all;
    auto source = VerifyLine(engine, *library_, options, {}, "", [] { return false; });
    EXPECT_TRUE(source.ok()) << source.status();
    v1::VerifyLineResponse answer;
    while (source.ok() && (*source)(answer)) all.push_back(answer);
    return all;
  };
  EXPECT_THAT(answers(false), SizeIs(4));
  EXPECT_FALSE(asked);
  std::string bytes;
  std::vector<std::string> reasons;
  bool first_verdict_came = false;
  for (const v1::VerifyLineResponse& answer : answers(true)) {
    if (answer.has_verdict()) {
      EXPECT_EQ(bytes.empty(), !first_verdict_came);
      first_verdict_came = true;
      reasons.push_back(answer.no_certificate_reason());
    }
    if (!answer.has_certificate_chunk()) continue;
    EXPECT_TRUE(first_verdict_came);
    EXPECT_EQ(answer.certificate_chunk().claim(), "a");
    EXPECT_LE(answer.certificate_chunk().content().size(), size_t{64} << 10);
    EXPECT_FALSE(answer.has_verdict() || answer.has_summary());
    bytes += answer.certificate_chunk().content();
  }
  EXPECT_THAT(reasons, ElementsAre("", "too near", "not shown"));
  EXPECT_GT(bytes.size(), size_t{64} << 10);
  ASSERT_OK_AND_ASSIGN(const document::Certificate back,
                       document::ParseCertificate(bytes));
  EXPECT_EQ(back, large);
}

}  // namespace
}  // namespace ratebound::service
