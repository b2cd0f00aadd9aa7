// The life of a server: deadlines, full gates, what goes wrong, start and shutdown.
#include <set>
#include <string>
#include <thread>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "gtest/gtest.h"
#include "tests/service/health_client.h"
#include "tests/service/server_fixture.h"

namespace ratebound::service {
namespace {

using std::chrono::milliseconds;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

class ServerLifeTest : public ServerTest {};

TEST_F(ServerLifeTest, WhatTheEngineThrowsBecomesAnIncident) {
  for (const char* what : {"throw", "internal"}) {
    const grpc::Status status = Check(FakeLine(what)).status;
    EXPECT_EQ(status.error_code(), grpc::StatusCode::INTERNAL);
    EXPECT_THAT(status.error_message(),
                AllOf(HasSubstr("incident "), Not(HasSubstr("secret"))));
    const std::string id =
        status.error_message().substr(status.error_message().find("incident ") + 9, 10);
    EXPECT_THAT(log(), HasSubstr("incident " + id));
    EXPECT_THAT(log(), HasSubstr("secret words"));
  }
  // The server goes on.
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, ADeadlineStopsTheEngine) {
  const auto context = NewContext(milliseconds(50));
  const auto answers = CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
      rating_->CheckLine(context.get()), FakeLine("wait"));
  EXPECT_EQ(answers.status.error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
  // Both workers are free again, or this would wait for ever.
  EXPECT_TRUE(Check(FakeLine()).status.ok());
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, CancellingStopsTheEngine) {
  auto options = Quiet();
  options.build_workers = 1;
  StartWith(options);
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  SendFiles(*stream, request, FakeLine("wait"));
  context->TryCancel();
  EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::CANCELLED);
  EXPECT_TRUE(Check(FakeLine()).status.ok()) << "the one worker is free again";
}

TEST_F(ServerLifeTest, TheServersOwnLimitHoldsWhereTheCallerSetsNone) {
  auto options = OnAnyPort();
  options.longest_call = milliseconds(50);
  StartWith(options);
  {
    grpc::ClientContext context;  // no deadline: the engine works
    const auto answers = CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
        rating_->CheckLine(&context), FakeLine("wait"));
    EXPECT_EQ(answers.status.error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
    EXPECT_THAT(answers.status.error_message(), HasSubstr("server's limit of 0.05 s"));
  }
  grpc::ClientContext context;  // no deadline: the caller never ends its stream
  const auto stream = rating_->CheckLine(&context);
  v1::CheckLineRequest request;
  request.mutable_options();
  stream->Write(request);
  v1::CheckLineResponse response;
  EXPECT_FALSE(stream->Read(&response));
  const grpc::Status status = stream->Finish();
  EXPECT_EQ(status.error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
}

TEST_F(ServerLifeTest, AFullGateSaysWhenToComeBack) {
  auto options = Quiet();
  options.builds_in_flight = 1;
  StartWith(options);
  const auto first_context = NewContext();
  const auto first = rating_->CheckLine(first_context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  SendFiles(*first, request, FakeLine("wait"));
  // The first call is inside once it is counted.
  while (server_->calls_in_flight() == 0) std::this_thread::yield();
  const grpc::Status refused = Check(FakeLine()).status;
  EXPECT_EQ(refused.error_code(), grpc::StatusCode::RESOURCE_EXHAUSTED);
  google::rpc::Status details;
  ASSERT_TRUE(details.ParseFromString(refused.error_details()));
  bool has_retry = false;
  for (const auto& any : details.details()) has_retry |= any.Is<google::rpc::RetryInfo>();
  EXPECT_TRUE(has_retry);
  // Questions have a lane of their own.
  const auto context = NewContext();
  v1::ListProceduresResponse response;
  EXPECT_TRUE(rating_->ListProcedures(context.get(), {}, &response).ok());
  first_context->TryCancel();
  EXPECT_EQ(first->Finish().error_code(), grpc::StatusCode::CANCELLED);
  while (server_->calls_in_flight() > 0) std::this_thread::yield();
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, AMessageOfFiveMebibytesIsRefused) {
  StartWith(OnAnyPort());
  v1::BatchEvaluateRequest request;
  request.add_conditions()->mutable_values()->Resize(5 << 17, 1.0);
  v1::BatchEvaluateResponse response;
  const auto context = NewContext();
  const grpc::Status status = queries_->BatchEvaluate(context.get(), request, &response);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::RESOURCE_EXHAUSTED);
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, TenThousandFaultsArriveOverTheWire) {
  StartWith(OnAnyPort());
  const grpc::Status status = Check(FakeLine("faults")).status;
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT)
      << status.error_message();
  EXPECT_THAT(
      FromGrpcStatus(status),
      testing::StatusIs(absl::StatusCode::kInvalidArgument,
                        AllOf(HasSubstr("points/day1.csv:1:2"), HasSubstr("more"))));
}

TEST_F(ServerLifeTest, ASlowReaderGetsEverythingInTheEnd) {
  StartWith(OnAnyPort());
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  SendFiles(*stream, request, FakeLine("large"));
  // Other calls are answered while this one's answers wait to be read.
  for (int i = 0; i < 20; ++i) EXPECT_TRUE(Check(FakeLine()).status.ok());
  size_t count = 0;
  v1::CheckLineResponse response;
  while (stream->Read(&response)) ++count;
  EXPECT_TRUE(stream->Finish().ok());
  EXPECT_EQ(count, 20'002u);
}

TEST_F(ServerLifeTest, AReaderWhoLeavesTakesNothingWithHim) {
  StartWith(OnAnyPort());
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  SendFiles(*stream, request, FakeLine("large"));
  v1::CheckLineResponse response;
  EXPECT_TRUE(stream->Read(&response));
  context->TryCancel();
  EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::CANCELLED);
  while (server_->calls_in_flight() > 0) std::this_thread::yield();
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, ManyCallersAtOnceAllGetTheirAnswers) {
  auto options = OnAnyPort();
  options.builds_in_flight = 64;  // a call counts a little longer than its caller sees
  StartWith(options);
  std::vector<std::jthread> callers;
  for (int i = 0; i < 16; ++i) {
    callers.emplace_back([this] {
      for (int k = 0; k < 5; ++k) EXPECT_EQ(Check(FakeLine()).items.size(), 2u);
    });
  }
}

TEST_F(ServerLifeTest, ShutdownStopsTheEngineAndRefusesNewCalls) {
  StartWith(OnAnyPort());
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  SendFiles(*stream, request, FakeLine("wait"));
  while (server_->calls_in_flight() == 0) std::this_thread::yield();
  server_->Shutdown();
  EXPECT_EQ(server_->calls_in_flight(), 0);
  EXPECT_THAT(
      stream->Finish().error_code(),
      ::testing::AnyOf(grpc::StatusCode::UNAVAILABLE, grpc::StatusCode::CANCELLED));
  EXPECT_FALSE(Check(FakeLine()).status.ok());
}

TEST_F(ServerLifeTest, ShutdownLetsCallsEndWithinTheDrain) {
  auto options = OnAnyPort();
  options.drain = std::chrono::minutes(1);
  StartWith(options);
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  stream->Write(request);
  while (server_->calls_in_flight() == 0) std::this_thread::yield();
  std::jthread stopper([this] { server_->Shutdown(); });
  // The gate is closed when a new call is refused; the old one ends all the same.
  while (Check(FakeLine()).status.error_code() != grpc::StatusCode::UNAVAILABLE) {
  }
  stream->WritesDone();
  size_t count = 0;
  v1::CheckLineResponse response;
  while (stream->Read(&response)) ++count;
  EXPECT_TRUE(stream->Finish().ok());
  EXPECT_EQ(count, 2u);
}

TEST_F(ServerLifeTest, HealthGoesFromServingToNotServing) {
  auto options = OnAnyPort();
  options.drain = std::chrono::minutes(1);
  StartWith(options);
  const auto channel = ChannelTo(*server_);
  for (const std::string& service :
       {std::string(), std::string(v1::RatingService::service_full_name()),
        std::string(v1::ReleaseService::service_full_name()),
        std::string(v1::QueryService::service_full_name())}) {
    EXPECT_EQ(CheckHealth(channel, service), Health::kServing) << service;
  }
  EXPECT_EQ(CheckHealth(channel, "unknown.Service"), Health::kUnknown);
  // A call that stays open keeps the server draining while health is asked again.
  const auto context = NewContext();
  const auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest request;
  request.mutable_options();
  stream->Write(request);
  while (server_->calls_in_flight() == 0) std::this_thread::yield();
  std::jthread stopper([this] { server_->Shutdown(); });
  while (CheckHealth(channel, "") == Health::kServing) {
  }
  EXPECT_EQ(CheckHealth(channel, ""), Health::kNotServing);
  stream->WritesDone();
  v1::CheckLineResponse response;
  while (stream->Read(&response)) {
  }
  EXPECT_TRUE(stream->Finish().ok());
}

TEST_F(ServerLifeTest, ReflectionListsOurServices) {
  StartWith(OnAnyPort());
  const std::set<std::string> services = ListServices(ChannelTo(*server_));
  for (const char* name : {"ratebound.v1.RatingService", "ratebound.v1.ReleaseService",
                           "ratebound.v1.QueryService"}) {
    EXPECT_TRUE(services.contains(name)) << name;
  }
}

TEST(ServerStart, TheSecondOnATakenPortSaysSo) {
  ASSERT_OK_AND_ASSIGN(const auto first, Server::Start(FakeEngine(), OnAnyPort()));
  ASSERT_GT(first->port(), 0);
  ServerOptions options = OnAnyPort();
  options.listen = absl::StrCat("127.0.0.1:", first->port());
  EXPECT_THAT(
      Server::Start(FakeEngine(), options),
      testing::StatusIs(absl::StatusCode::kUnavailable,
                        AllOf(HasSubstr(options.listen), HasSubstr("no other program"))));
}

TEST(ServerStart, NamesEveryOptionThatIsWrong) {
  const ServerOptions options{.listen = "nowhere",
                              .store_path = "",
                              .tls_key_file = "key.pem",
                              .builds_in_flight = 0,
                              .query_workers = -1,
                              .request_bytes = 10};
  EXPECT_THAT(Server::Start(FakeEngine(), options),
              testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  AllOf(HasSubstr("'nowhere'"), HasSubstr("store_path"),
                        HasSubstr("certificate and key"), HasSubstr("builds_in_flight"),
                        HasSubstr("query_workers"), HasSubstr("request_bytes"))));
  for (const char* listen : {":80", "host", "host:70000", "host:-1", "host:x"}) {
    EXPECT_THAT(Validate({.listen = listen}),
                testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(listen)));
  }
  EXPECT_THAT(Validate({.listen = "[::1]:0"}), testing::IsOk());
}

TEST(ServerStart, AStoreThatCannotBeOpenedIsNamed) {
  ServerOptions options = OnAnyPort();
  options.store_path = "/nonexistent/folder/releases.db";
  EXPECT_THAT(Server::Start(FakeEngine(), options),
              testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                HasSubstr("/nonexistent/folder/releases.db")));
}

TEST(ServerStart, AMissingCertificateIsNamed) {
  ServerOptions options = OnAnyPort();
  options.tls_certificate_file = "/nonexistent/certificate.pem";
  options.tls_key_file = "/nonexistent/key.pem";
  EXPECT_THAT(Server::Start(FakeEngine(), options),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("/nonexistent/certificate.pem")));
}

TEST(ServerStart, StartsAndStopsManyTimes) {
  for (int i = 0; i < 20; ++i) {
    ASSERT_OK_AND_ASSIGN(const auto server, Server::Start(FakeEngine(), OnAnyPort()));
    if (i % 2 == 0) server->Shutdown();
  }
}

}  // namespace
}  // namespace ratebound::service
