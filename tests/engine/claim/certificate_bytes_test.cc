#include "engine/document/certificate_bytes.h"

#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Certificate;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

// x^2 + 1/10 - 0.1 sqrt(1 + x^2) >= 0 where x >= -1/2, every field set.
Certificate Invented() {
  document::CertificatePart part{.conditions = {"outdoor_air_db"},
                                 .centre_si = {10},
                                 .half_range_si = {20},
                                 .box_low = {-1},
                                 .box_high = {1},
                                 .lower_bound = 0.1,
                                 .unit_centre = {0},
                                 .unit_radius = {1.0000000000000002},
                                 .combinations = {{{1}, {0.25}}},
                                 .anchors = {-1.0 / 3},
                                 .splits = {0, -1, -1}};
  part.functions = {
      {.stage = "low",
       .quantity = "total_capacity",
       .coverage_factor = 2.1,
       .value = {.exponents = {2, 0}, .coefficients = {1, 0.1}, .errors = {0, 1e-17}},
       .terms = {{0.1, {.exponents = {2, 0}, .coefficients = {1, 1}}}}}};
  part.cuts = {{.exponents = {1, 0}, .coefficients = {1, 0.5}}};
  part.leaves = {{.cut = 0},
                 {.combination = 0, .anchor = 0, .bound = 0.1, .tangents = {0.05}}};
  part.worst_point = {0.125};
  part.missing = 0.3;
  Certificate certificate{.claim = "capacity",
                          .release_digest = "d1",
                          .outcome = document::Outcome::kProven,
                          .level = 0.025,
                          .look = 2,
                          .allowance_si = 65,
                          .model = "linear",
                          .parts = {part},
                          .rating = document::CertifiedRating{.procedure = "ieer",
                                                              .value = 15.2,
                                                              .standard_error = 0.1,
                                                              .degrees_of_freedom = 4.5,
                                                              .systematic = 0.2,
                                                              .coverage_factor = 2.5,
                                                              .allowance = 0.05,
                                                              .limit = 14,
                                                              .less_is_better = true,
                                                              .margin = 0.7,
                                                              .unit = "Btu/Wh"}};
  certificate.seal = document::SealOf(certificate);
  return certificate;
}

TEST(CertificateBytes, BytesAndTextComeBackAsTheSameCertificate) {
  const Certificate certificate = Invented();
  ASSERT_OK_AND_ASSIGN(const std::string bytes,
                       document::SerializeCertificate(certificate));
  ASSERT_OK_AND_ASSIGN(const Certificate from_bytes, document::ParseCertificate(bytes));
  EXPECT_EQ(from_bytes, certificate);
  ASSERT_OK_AND_ASSIGN(const Certificate from_text,
                       document::ParseCertificateText(
                           "c.textproto", document::CertificateText(certificate)));
  EXPECT_EQ(from_text, certificate);
  EXPECT_EQ(document::SealOf(from_text), certificate.seal);
}

TEST(CertificateBytes, TheDigestTellsCertificatesApart) {
  Certificate certificate = Invented();
  ASSERT_OK_AND_ASSIGN(const std::string one, document::DigestOfCertificate(certificate));
  EXPECT_EQ(one.size(), 64u);
  certificate.parts[0].leaves[1].bound = 0.05;
  ASSERT_OK_AND_ASSIGN(const std::string two, document::DigestOfCertificate(certificate));
  EXPECT_NE(one, two);
  const std::string seal = document::SealOf(certificate);
  certificate.rating->margin = 0.8;
  EXPECT_NE(document::SealOf(certificate), seal);
}

TEST(CertificateBytes, RefusesWhatIsNoCertificate) {
  EXPECT_THAT(document::ParseCertificate("no certificate"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no certificate")));
  Certificate certificate = Invented();
  certificate.parts[0].box_low.clear();
  certificate.parts[0].functions[0].value.exponents.pop_back();
  const auto read = document::FromMessage(document::ToMessage(certificate));
  EXPECT_THAT(read, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("box_low")));
  EXPECT_THAT(read, StatusIs(absl::StatusCode::kInvalidArgument,
                             HasSubstr("CertifiedPolynomial.exponents")));
  certificate = Invented();
  certificate.level = 1.0 / 0.0;
  EXPECT_FALSE(document::FromMessage(document::ToMessage(certificate)).ok());
  EXPECT_FALSE(document::ParseCertificateText("c.textproto", "level: high").ok());
}

}  // namespace
}  // namespace ratebound::claim
