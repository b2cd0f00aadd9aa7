#include "service/recheck_answers.h"

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "engine/bound/prove_region.h"
#include "engine/claim/certificate.h"
#include "engine/document/certificate_bytes.h"
#include "engine/document/release_bytes.h"
#include "engine/number/distribution.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using document::Certificate;
using document::Release;
using ::testing::HasSubstr;
using ::testing::SizeIs;

constexpr double kLevel = 0.025;
constexpr double kDegreesOfFreedom = 10;

// The sample, whose claim "a" is proven by the surface for proofs of stage "high".
Release ProvenRelease() {
  Release release = SampleRelease();
  for (document::StageMap& map : release.maps) {
    for (document::Surface& surface : map.surfaces) {
      surface.purpose = document::SurfacePurpose::kProof;
    }
  }
  document::Verdict& verdict = release.verdicts[0];
  verdict.level = kLevel;
  verdict.look = 1;
  verdict.model = "linear";
  return release;
}

// 50 000 - 2000 z W, standard error 300 sqrt(1 + z^2) W, at least 40 000 W over 20 to 40
// degC, which is z from -1 to 1.
Certificate CertificateOfA() {
  const double factor = -number::StudentTQuantile(kLevel, kDegreesOfFreedom);
  const Polynomial margin =
      *Polynomial::Create(1, std::vector<int>{0, 1}, std::vector<double>{10'000, -2000});
  const Polynomial variance =
      *Polynomial::Create(1, std::vector<int>{0, 2}, std::vector<double>{90'000, 90'000});
  const std::vector<BandedFunction> functions = {
      {.f = margin, .terms = {{factor, variance}}}};
  const bound::Region region{.box = {{-1 - 1e-15}, {1 + 1e-15}}};
  const auto proof = *ProveOver(functions, region, {.tree = true});
  const claim::FunctionLabel labels[] = {{"high", "total_capacity", factor}};
  return *claim::Seal({.claim = "a",
                       .release_digest = "d1",
                       .outcome = document::Outcome::kProven,
                       .level = kLevel,
                       .look = 1,
                       .model = "linear",
                       .parts = {*claim::MakePart({.conditions = {"entering_water_temp"},
                                                   .centre_si = {30},
                                                   .half_range_si = {10},
                                                   .labels = labels,
                                                   .functions = functions,
                                                   .region = region},
                                                  proof)}});
}

class RecheckAnswersTest : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(store_, Store::Open(":memory:"));
    library_ = std::make_unique<ReleaseLibrary>(*store_);
    bytes_ = document::SerializeRelease(ProvenRelease())->bytes;
  }

  absl::StatusOr<std::vector<v1::RecheckCertificatesResponse>> Recheck(
      const std::vector<release::LineFile>& files, const std::string& release_bytes,
      const v1::RecheckCertificatesOptions& options = {}) {
    ASSIGN_OR_RETURN(AnswerSource<v1::RecheckCertificatesResponse> source,
                     RecheckCertificates(*library_, options, files, release_bytes,
                                         [] { return false; }));
    std::vector<v1::RecheckCertificatesResponse> answers;
    v1::RecheckCertificatesResponse answer;
    while (source(answer)) answers.push_back(answer);
    return answers;
  }

  static release::LineFile File(const Certificate& certificate) {
    return {.path = "a.certificate",
            .bytes = *document::SerializeCertificate(certificate)};
  }

  std::unique_ptr<Store> store_;
  std::unique_ptr<ReleaseLibrary> library_;
  std::string bytes_;
};

TEST_F(RecheckAnswersTest, ASoundCertificateIsAcceptedAgainstItsRelease) {
  ASSERT_OK_AND_ASSIGN(const auto sent, Recheck({File(CertificateOfA())}, bytes_));
  ASSERT_THAT(sent, SizeIs(1));
  EXPECT_EQ(sent[0].state(), v1::CERTIFICATE_STATE_ACCEPTED) << sent[0].reason();
  EXPECT_EQ(sent[0].claim(), "a");
  EXPECT_EQ(sent[0].outcome(), v1::OUTCOME_PROVEN);
  EXPECT_EQ(sent[0].path(), "a.certificate");

  v1::RecheckCertificatesOptions options;
  options.set_release(library_->Publish(ProvenRelease())->summary.digest());
  ASSERT_OK_AND_ASSIGN(const auto stored, Recheck({File(CertificateOfA())}, "", options));
  EXPECT_EQ(stored[0].state(), v1::CERTIFICATE_STATE_ACCEPTED);
}

TEST_F(RecheckAnswersTest, AChangedNumberIsRefused) {
  Certificate changed = CertificateOfA();
  changed.parts[0].lower_bound *= 1.001;
  ASSERT_OK_AND_ASSIGN(const auto answers, Recheck({File(changed)}, bytes_));
  EXPECT_EQ(answers[0].state(), v1::CERTIFICATE_STATE_REFUSED);
  EXPECT_NE(answers[0].reason(), "");
}

// Sealed anew it is still none of this release.
TEST_F(RecheckAnswersTest, ACertificateOfAnotherReleaseIsRefused) {
  Release other = ProvenRelease();
  other.maps[1].surfaces[0].coefficients_si[0] += 1;
  ASSERT_OK_AND_ASSIGN(
      const auto answers,
      Recheck({File(CertificateOfA())}, document::SerializeRelease(other)->bytes));
  EXPECT_EQ(answers[0].state(), v1::CERTIFICATE_STATE_REFUSED);
  EXPECT_THAT(answers[0].reason(), HasSubstr("not that of surface and limit"));
}

TEST_F(RecheckAnswersTest, AFileThatIsNoCertificateIsRefusedBesideOthers) {
  ASSERT_OK_AND_ASSIGN(
      const auto answers,
      Recheck({File(CertificateOfA()), {.path = "b.certificate", .bytes = "\xff\xff"}},
              bytes_));
  ASSERT_THAT(answers, SizeIs(2));
  EXPECT_EQ(answers[0].state(), v1::CERTIFICATE_STATE_ACCEPTED);
  EXPECT_EQ(answers[1].state(), v1::CERTIFICATE_STATE_REFUSED);
  EXPECT_EQ(answers[1].claim(), "");
}

TEST_F(RecheckAnswersTest, WhatIsMissingIsSaid) {
  const auto invalid = [](const std::string& message) {
    return testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(message));
  };
  EXPECT_THAT(Recheck({File(CertificateOfA())}, "").status(),
              invalid("no release is sent"));
  EXPECT_THAT(Recheck({}, bytes_).status(), invalid("no certificate came"));
  v1::RecheckCertificatesOptions options;
  options.set_claim("b");
  EXPECT_THAT(Recheck({File(CertificateOfA())}, bytes_, options).status(),
              invalid("no certificate of claim 'b' came"));
  options.set_release("12345678");
  EXPECT_THAT(Recheck({File(CertificateOfA())}, bytes_, options).status(),
              invalid("a digest is named and a release is sent"));
  EXPECT_THAT(Recheck({File(CertificateOfA())}, "", options).status(),
              testing::StatusIs(absl::StatusCode::kNotFound, ::testing::_));
}

}  // namespace
}  // namespace ratebound::service
