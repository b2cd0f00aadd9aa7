#include "service/status.h"

#include <gtest/gtest.h>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;

template <typename Detail>
std::vector<Detail> DetailsOf(const grpc::Status& status) {
  google::rpc::Status wire;
  EXPECT_TRUE(wire.ParseFromString(status.error_details()));
  std::vector<Detail> details;
  for (const google::protobuf::Any& any : wire.details()) {
    Detail detail;
    if (any.UnpackTo(&detail)) details.push_back(detail);
  }
  return details;
}

class EveryCode : public ::testing::TestWithParam<int> {};

TEST_P(EveryCode, GoesOverTheWireAndBack) {
  const absl::Status sent(static_cast<absl::StatusCode>(GetParam()), "what happened");
  const grpc::Status wire = ToGrpcStatus(sent);
  EXPECT_EQ(static_cast<int>(wire.error_code()), GetParam());
  const absl::Status received = FromGrpcStatus(wire);
  EXPECT_EQ(received.code(), sent.code());
  EXPECT_EQ(received.message(), "what happened");
  const auto infos = DetailsOf<google::rpc::ErrorInfo>(wire);
  ASSERT_EQ(infos.size(), 1u);
  EXPECT_EQ(infos[0].domain(), "ratebound");
  EXPECT_EQ(infos[0].reason(), CodeName(sent.code()));
}
INSTANTIATE_TEST_SUITE_P(Canonical, EveryCode, ::testing::Range(1, 17));

TEST(ToGrpcStatus, OkHasNoDetails) {
  EXPECT_TRUE(ToGrpcStatus(absl::OkStatus()).ok());
  EXPECT_EQ(ToGrpcStatus(absl::OkStatus()).error_details(), "");
}

TEST(ToGrpcStatus, ViolationsGivePlaceMessageAndRemedy) {
  base::FaultList faults;
  faults.Add({.file = "points/day1.csv",
              .line = 7,
              .column = 12,
              .message = "'abc' is no number",
              .remedy = "write a decimal such as 85.0"});
  faults.Add(
      {.field = "conditions[2].value", .message = "is NaN", .remedy = "give a number"});
  const auto requests =
      DetailsOf<google::rpc::BadRequest>(ToGrpcStatus(faults.ToStatus()));
  ASSERT_EQ(requests.size(), 1u);
  ASSERT_EQ(requests[0].field_violations_size(), 2);
  EXPECT_EQ(requests[0].field_violations(0).field(), "points/day1.csv:7:12");
  EXPECT_EQ(requests[0].field_violations(0).description(),
            "'abc' is no number; write a decimal such as 85.0");
  EXPECT_EQ(requests[0].field_violations(1).field(), "conditions[2].value");
  const absl::Status received = FromGrpcStatus(ToGrpcStatus(faults.ToStatus()));
  EXPECT_THAT(received,
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("points/day1.csv:7:12: 'abc' is no number; "
                                          "write a decimal such as 85.0")));
}

TEST(ToGrpcStatus, TenThousandFaultsStayWithinTheLimits) {
  base::FaultList faults;
  for (int i = 0; i < 10'000; ++i) {
    faults.Add({.file = "points/\xC3\xA4.csv",
                .line = i + 1,
                .column = 3,
                .message = "the wet bulb is above the dry bulb \xC2\xB0",
                .remedy = "swap the columns"});
  }
  const grpc::Status wire = ToGrpcStatus(faults.ToStatus());
  EXPECT_EQ(wire.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_LE(wire.error_message().size(), kMessageBytes);
  EXPECT_LE(wire.error_details().size(), kDetailBytes);
  const auto requests = DetailsOf<google::rpc::BadRequest>(wire);
  ASSERT_EQ(requests.size(), 1u);
  const int violations = requests[0].field_violations_size();
  ASSERT_GT(violations, 20);
  EXPECT_EQ(requests[0].field_violations(violations - 1).description(),
            absl::StrCat("and ", 10'000 - (violations - 1), " more"));
}

TEST(ToGrpcStatus, ShowsFiftyFaultsAndCountsTheRest) {
  base::FaultList faults;
  for (int i = 0; i < 60; ++i)
    faults.Add({.field = absl::StrCat("f", i), .message = "bad"});
  const auto requests =
      DetailsOf<google::rpc::BadRequest>(ToGrpcStatus(faults.ToStatus()));
  ASSERT_EQ(requests.at(0).field_violations_size(), 51);
  EXPECT_EQ(requests[0].field_violations(50).description(), "and 10 more");
}

TEST(ToGrpcStatus, OneFaultTooLongForItsRoomIsCutAndNotLost) {
  base::FaultList faults;
  faults.Add({.file = std::string(5000, 'f'), .message = std::string(5000, 'm')});
  const grpc::Status wire = ToGrpcStatus(faults.ToStatus());
  EXPECT_LE(wire.error_details().size(), kDetailBytes);
  EXPECT_EQ(DetailsOf<google::rpc::BadRequest>(wire).at(0).field_violations_size(), 1);
}

TEST(ToGrpcStatus, CutsAMessageByItsSizeOnTheWireBetweenCharacters) {
  std::string text;
  for (int i = 0; i < 2000; ++i) text += "\xE2\x82\xAC";
  const grpc::Status wire = ToGrpcStatus(absl::NotFoundError(text));
  EXPECT_THAT(wire.error_message(), EndsWith(" ..."));
  EXPECT_LE(wire.error_message().size(), kMessageBytes / 3 + 10);
  EXPECT_EQ((wire.error_message().size() - 4) % 3, 0u);
}

TEST(ToGrpcStatus, BytesThatAreNoTextBecomeText) {
  const grpc::Status wire =
      ToGrpcStatus(absl::NotFoundError("bad \xff\x01 bytes\nsecond line"));
  EXPECT_EQ(wire.error_message(), "bad \\xff\\x01 bytes\nsecond line");
}

TEST(ToGrpcStatus, SaysWhenToComeBack) {
  auto retries = DetailsOf<google::rpc::RetryInfo>(
      ToGrpcStatus(absl::ResourceExhaustedError("full")));
  ASSERT_EQ(retries.size(), 1u);
  EXPECT_EQ(retries[0].retry_delay().seconds(), 1);
  retries = DetailsOf<google::rpc::RetryInfo>(ToGrpcStatus(
      WithRetryAfter(absl::UnavailableError("busy"), std::chrono::milliseconds(2500))));
  ASSERT_EQ(retries.size(), 1u);
  EXPECT_EQ(retries[0].retry_delay().seconds(), 2);
  EXPECT_EQ(retries[0].retry_delay().nanos(), 500'000'000);
  retries = DetailsOf<google::rpc::RetryInfo>(ToGrpcStatus(absl::NotFoundError("x")));
  EXPECT_EQ(retries.size(), 0u);
}

TEST(ToGrpcStatus, CarriesAReasonOfItsOwn) {
  const auto infos = DetailsOf<google::rpc::ErrorInfo>(
      ToGrpcStatus(WithReason(absl::UnavailableError("full"), "STORE_FULL")));
  EXPECT_EQ(infos.at(0).reason(), "STORE_FULL");
}

}  // namespace
}  // namespace ratebound::service
