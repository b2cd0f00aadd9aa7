// Whole calls over channels, and the life of a server.
#include "service/server.h"

#include <grpcpp/create_channel.h>
#include <grpcpp/security/credentials.h>
#include <gtest/gtest.h>

#include <mutex>
#include <set>
#include <thread>

#include "absl/strings/str_cat.h"
#include "engine/document/release_bytes.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "tests/service/client.h"
#include "tests/service/fake_engine.h"
#include "tests/service/health_client.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using std::chrono::milliseconds;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

ServerOptions Quiet() { return {.listen = "", .drain = milliseconds(0)}; }
ServerOptions OnAnyPort() { return {.listen = "127.0.0.1:0", .drain = milliseconds(0)}; }

std::shared_ptr<grpc::Channel> ChannelTo(const Server& server) {
  return grpc::CreateChannel(absl::StrCat("127.0.0.1:", server.port()),
                             grpc::InsecureChannelCredentials());
}

class ServerTest : public ::testing::Test {
 protected:
  void SetUp() override { StartWith(Quiet()); }

  void StartWith(ServerOptions options) {
    options.log = [this](std::string_view line) {
      std::scoped_lock lock(log_mutex_);
      log_ += std::string(line) + "\n";
    };
    server_.reset();
    ASSERT_OK_AND_ASSIGN(server_, Server::Start(FakeEngine(), options));
    Connect(options.listen.empty() ? server_->InProcessChannel() : ChannelTo(*server_));
  }

  void Connect(const std::shared_ptr<grpc::Channel>& channel) {
    rating_ = v1::RatingService::NewStub(channel);
    releases_ = v1::ReleaseService::NewStub(channel);
    queries_ = v1::QueryService::NewStub(channel);
  }

  std::string log() {
    std::scoped_lock lock(log_mutex_);
    return log_;
  }

  Answers<v1::CheckLineResponse> Check(const std::vector<release::LineFile>& files) {
    const auto context = NewContext();
    return CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
        rating_->CheckLine(context.get()), files);
  }

  Answers<v1::VerifyLineResponse> Verify(const std::string& outcome,
                                         const std::string& baseline,
                                         const std::string& claim = "") {
    const auto context = NewContext();
    v1::VerifyLineRequest options;
    options.mutable_options()->set_baseline(baseline);
    options.mutable_options()->set_claim(claim);
    return CallLine<v1::VerifyLineRequest, v1::VerifyLineResponse>(
        rating_->VerifyLine(context.get()), FakeLine("", outcome), options);
  }

  grpc::Status Publish(const std::vector<release::LineFile>& files,
                       v1::PublishReleaseResponse* response) {
    const auto context = NewContext();
    const auto stream = releases_->PublishRelease(context.get(), response);
    v1::PublishReleaseRequest options;
    options.mutable_options();
    SendFiles(*stream, options, files);
    return stream->Finish();
  }

  std::string PublishedDigest(const std::string& outcome = "") {
    v1::PublishReleaseResponse response;
    const grpc::Status status = Publish(FakeLine("", outcome), &response);
    EXPECT_TRUE(status.ok()) << status.error_message();
    return response.release().digest();
  }

  std::mutex log_mutex_;
  std::string log_;
  std::unique_ptr<Server> server_;
  std::unique_ptr<v1::RatingService::Stub> rating_;
  std::unique_ptr<v1::ReleaseService::Stub> releases_;
  std::unique_ptr<v1::QueryService::Stub> queries_;
};

TEST_F(ServerTest, CheckAnswersFindingsThenASummary) {
  const auto answers = Check(FakeLine());
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 2u);
  EXPECT_EQ(answers.items[0].finding().subject(), "p2");
  EXPECT_EQ(answers.items[1].summary().point_count(), 2);
  EXPECT_EQ(answers.items[1].summary().accepted_count(), 1);
  EXPECT_EQ(answers.items[1].summary().dropped_count(), 1);
  EXPECT_EQ(answers.items[1].summary().failure_count(), 1);
}

TEST_F(ServerTest, FitAnswersAStageAMessage) {
  const auto context = NewContext();
  const auto answers = CallLine<v1::FitLineRequest, v1::FitLineResponse>(
      rating_->FitLine(context.get()), FakeLine());
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 2u);
  EXPECT_EQ(answers.items[0].map().stage(), "low");
  EXPECT_EQ(answers.items[1].map().surfaces_size(), 2);
}

TEST_F(ServerTest, RateAnswersRatingsAndRefusals) {
  const auto context = NewContext();
  const auto answers = CallLine<v1::RateLineRequest, v1::RateLineResponse>(
      rating_->RateLine(context.get()), FakeLine());
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 2u);
  EXPECT_EQ(answers.items[0].rating().rounded(), "4.57");
  EXPECT_EQ(answers.items[1].rating().refusal(), "out of scope");
}

TEST_F(ServerTest, OptionsReachTheEngine) {
  const auto context = NewContext();
  v1::FitLineRequest options;
  options.mutable_options()->set_unit("none");
  const auto answers = CallLine<v1::FitLineRequest, v1::FitLineResponse>(
      rating_->FitLine(context.get()), FakeLine(), options);
  EXPECT_EQ(answers.status.error_code(), grpc::StatusCode::NOT_FOUND);
}

TEST_F(ServerTest, TabulateAnswersATableAMessage) {
  const auto context = NewContext();
  const auto answers = CallLine<v1::TabulateLineRequest, v1::TabulateLineResponse>(
      rating_->TabulateLine(context.get()), FakeLine());
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 1u);
  EXPECT_EQ(answers.items[0].table().figures(0).values(1), 48);
}

TEST_F(ServerTest, VerifyWithoutABaselineComparesNothing) {
  const auto answers = Verify("", "");
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 4u);
  EXPECT_TRUE(answers.items[3].has_summary());
  for (const v1::VerifyLineResponse& item : answers.items) {
    EXPECT_EQ(item.change(), v1::VERDICT_CHANGE_UNSPECIFIED);
    EXPECT_FALSE(item.has_baseline_verdict());
  }
}

TEST_F(ServerTest, VerifyFindsARegressionAgainstTheBaseline) {
  const std::string baseline = PublishedDigest();
  auto answers = Verify("OBSERVED", baseline.substr(0, 10));
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 4u);
  EXPECT_EQ(answers.items[0].change(), v1::VERDICT_CHANGE_WEAKER);
  EXPECT_EQ(answers.items[0].verdict().outcome(), v1::OUTCOME_OBSERVED);
  EXPECT_EQ(answers.items[0].baseline_verdict().outcome(), v1::OUTCOME_PROVEN);
  EXPECT_EQ(answers.items[0].verdict().look(), 2) << "earlier verdicts reach the engine";
  EXPECT_EQ(answers.items[1].change(), v1::VERDICT_CHANGE_SAME);
  answers = Verify("", baseline, "b");
  ASSERT_EQ(answers.items.size(), 2u) << "claims out of the question are not gone";
  answers = Verify("", "12345678");
  EXPECT_EQ(answers.status.error_code(), grpc::StatusCode::NOT_FOUND);
}

TEST_F(ServerTest, VerifyTakesABaselineInPieces) {
  document::Release large = SampleRelease();
  for (int i = 0; i < 5'000; ++i) {
    large.findings.push_back(
        {.subject = absl::StrCat("point ", i), .message = "is fine"});
  }
  ASSERT_OK_AND_ASSIGN(const auto serialized, document::SerializeRelease(large));
  ASSERT_GT(serialized.bytes.size(), size_t{kChunkBytes});
  const auto call = [&](size_t piece_bytes) {
    const auto context = NewContext();
    const auto stream = rating_->VerifyLine(context.get());
    v1::VerifyLineRequest request;
    request.mutable_options();
    bool open = stream->Write(request);
    for (size_t at = 0; open && at < serialized.bytes.size(); at += piece_bytes) {
      request.set_release_chunk(serialized.bytes.substr(at, piece_bytes));
      open = stream->Write(request);
    }
    request.mutable_chunk()->set_path("outcome.txt");
    request.mutable_chunk()->set_content("NOT_SHOWN");
    if (open) stream->Write(request);
    stream->WritesDone();
    Answers<v1::VerifyLineResponse> answers;
    v1::VerifyLineResponse response;
    while (stream->Read(&response)) answers.items.push_back(response);
    answers.status = stream->Finish();
    return answers;
  };
  const auto answers = call(kChunkBytes);
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  EXPECT_EQ(answers.items[0].change(), v1::VERDICT_CHANGE_WEAKER);
  EXPECT_EQ(answers.items.back().summary().effective_baseline(), serialized.digest);
  EXPECT_EQ(call(kChunkBytes + 1).status.error_code(),
            grpc::StatusCode::INVALID_ARGUMENT);
}

TEST_F(ServerTest, BuildAnswersTheBytesAndTheSummary) {
  const auto context = NewContext();
  const auto answers = CallLine<v1::BuildLineRequest, v1::BuildLineResponse>(
      rating_->BuildLine(context.get()), FakeLine("large"));
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_GT(answers.items.size(), 5u);
  std::string bytes;
  for (const v1::BuildLineResponse& item : answers.items) {
    EXPECT_LE(item.release_chunk().size(), size_t{kChunkBytes});
    bytes += item.release_chunk();
  }
  ASSERT_TRUE(answers.items.back().has_summary());
  ASSERT_OK_AND_ASSIGN(const std::string digest, document::DigestOfReleaseBytes(bytes));
  EXPECT_EQ(answers.items.back().summary().digest(), digest);
}

TEST_F(ServerTest, ListsProceduresWithHowWellTheirNumbersAreKnown) {
  const auto context = NewContext();
  v1::ListProceduresResponse response;
  ASSERT_TRUE(rating_->ListProcedures(context.get(), {}, &response).ok());
  ASSERT_EQ(response.procedures_size(), 1);
  EXPECT_EQ(response.procedures(0).edition(), "Document 1, 2020");
  EXPECT_EQ(response.procedures(0).published_count(), 1);
  EXPECT_EQ(response.procedures(0).memory_count(), 1);
}

TEST_F(ServerTest, PublishesGetsListsAndComparesReleases) {
  const std::string first = PublishedDigest();
  v1::PublishReleaseResponse again;
  ASSERT_TRUE(Publish(FakeLine(), &again).ok());
  EXPECT_TRUE(again.already_stored());
  EXPECT_EQ(again.release().digest(), first);
  const std::string second = PublishedDigest("REFUTED");
  ASSERT_NE(first, second);

  v1::GetReleaseRequest get;
  get.set_release(first.substr(0, 8));
  auto context = NewContext();
  const auto reader = releases_->GetRelease(context.get(), get);
  std::string bytes;
  v1::GetReleaseResponse chunk;
  while (reader->Read(&chunk)) bytes += chunk.release_chunk();
  ASSERT_TRUE(reader->Finish().ok());
  ASSERT_OK_AND_ASSIGN(const std::string digest, document::DigestOfReleaseBytes(bytes));
  EXPECT_EQ(digest, first);

  v1::ListReleasesRequest list;
  list.set_page_size(1);
  v1::ListReleasesResponse page;
  context = NewContext();
  ASSERT_TRUE(releases_->ListReleases(context.get(), list, &page).ok());
  ASSERT_EQ(page.releases_size(), 1);
  EXPECT_EQ(page.releases(0).release().digest(), second);
  list.set_page_token(page.next_page_token());
  context = NewContext();
  ASSERT_TRUE(releases_->ListReleases(context.get(), list, &page).ok());
  EXPECT_EQ(page.releases(page.releases_size() - 1).release().digest(), first);
  EXPECT_EQ(page.next_page_token(), "");
  list.set_page_token("soon");
  list.set_page_size(1001);
  context = NewContext();
  EXPECT_EQ(releases_->ListReleases(context.get(), list, &page).error_code(),
            grpc::StatusCode::INVALID_ARGUMENT);

  v1::CompareReleasesRequest compare;
  compare.set_from_release(first);
  compare.set_to_release(second);
  v1::CompareReleasesResponse changes;
  context = NewContext();
  ASSERT_TRUE(releases_->CompareReleases(context.get(), compare, &changes).ok());
  ASSERT_EQ(changes.changes_size(), 1);
  EXPECT_EQ(changes.changes(0).subject(), "a");
  EXPECT_TRUE(changes.changes(0).regression());
}

TEST_F(ServerTest, AnswersQuestionsOneByOneInBatchesAndInStreams) {
  PublishedDigest();
  v1::EvaluateRequest request;
  request.mutable_map()->set_unit("u1");
  v1::Measure* measure = request.add_conditions();
  measure->set_quantity("entering_water_temp");
  measure->set_unit("degC");
  measure->set_value(30);
  v1::EvaluateResponse response;
  auto context = NewContext();
  ASSERT_TRUE(queries_->Evaluate(context.get(), request, &response).ok());
  EXPECT_EQ(response.stages_size(), 2);

  v1::StreamEvaluateRequest batch;
  *batch.mutable_batch()->mutable_map() = request.map();
  batch.mutable_batch()->mutable_map()->set_stage("high");
  batch.mutable_batch()->add_quantities("total_capacity");
  v1::ConditionColumn* column = batch.mutable_batch()->add_conditions();
  column->set_quantity("entering_water_temp");
  column->set_unit("degC");
  column->add_values(30);
  v1::BatchEvaluateResponse columns;
  context = NewContext();
  ASSERT_TRUE(queries_->BatchEvaluate(context.get(), batch.batch(), &columns).ok());
  EXPECT_EQ(columns.figures(0).values(0), 50'000);

  context = NewContext();
  const auto stream = queries_->StreamEvaluate(context.get());
  v1::StreamEvaluateResponse answer;
  for (double value : {20.0, 30.0, 40.0}) {
    column->set_values(0, value);
    ASSERT_TRUE(stream->Write(batch));
    ASSERT_TRUE(stream->Read(&answer));
    EXPECT_EQ(answer.batch().figures(0).values(0), 50'000 - 200 * (value - 30));
  }
  stream->WritesDone();
  EXPECT_FALSE(stream->Read(&answer));
  EXPECT_TRUE(stream->Finish().ok());

  context = NewContext();
  const auto failing = queries_->StreamEvaluate(context.get());
  column->set_unit("gpm");
  ASSERT_TRUE(failing->Write(batch));
  EXPECT_FALSE(failing->Read(&answer));
  EXPECT_EQ(failing->Finish().error_code(), grpc::StatusCode::INVALID_ARGUMENT);
}

TEST_F(ServerTest, TheStreamOfALineIsOptionsThenChunks) {
  auto context = NewContext();
  auto stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest chunk;
  chunk.mutable_chunk()->set_path("line.textproto");
  stream->Write(chunk);
  grpc::Status status = stream->Finish();
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_THAT(status.error_message(), HasSubstr("one message with options, then chunks"));

  context = NewContext();
  stream = rating_->CheckLine(context.get());
  v1::CheckLineRequest options;
  options.mutable_options();
  stream->Write(options);
  stream->Write(options);
  EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::INVALID_ARGUMENT);

  context = NewContext();
  stream = rating_->CheckLine(context.get());
  stream->WritesDone();
  EXPECT_THAT(stream->Finish().error_message(), HasSubstr("ended before its options"));

  EXPECT_THAT(Check({{"../secrets", "x"}}).status.error_message(), HasSubstr("relative"));
}

TEST_F(ServerTest, WhatTheEngineThrowsBecomesAnIncident) {
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

TEST_F(ServerTest, ADeadlineStopsTheEngine) {
  const auto context = NewContext(milliseconds(50));
  const auto answers = CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
      rating_->CheckLine(context.get()), FakeLine("wait"));
  EXPECT_EQ(answers.status.error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
  // Both workers are free again, or this would wait for ever.
  EXPECT_TRUE(Check(FakeLine()).status.ok());
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerTest, CancellingStopsTheEngine) {
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

TEST_F(ServerTest, TheServersOwnLimitHoldsWhereTheCallerSetsNone) {
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

TEST_F(ServerTest, AFullGateSaysWhenToComeBack) {
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

TEST_F(ServerTest, AMessageOfFiveMebibytesIsRefused) {
  StartWith(OnAnyPort());
  v1::BatchEvaluateRequest request;
  request.add_conditions()->mutable_values()->Resize(5 << 17, 1.0);
  v1::BatchEvaluateResponse response;
  const auto context = NewContext();
  const grpc::Status status = queries_->BatchEvaluate(context.get(), request, &response);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::RESOURCE_EXHAUSTED);
  EXPECT_TRUE(Check(FakeLine()).status.ok());
}

TEST_F(ServerTest, TenThousandFaultsArriveOverTheWire) {
  StartWith(OnAnyPort());
  const grpc::Status status = Check(FakeLine("faults")).status;
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT)
      << status.error_message();
  EXPECT_THAT(
      FromGrpcStatus(status),
      testing::StatusIs(absl::StatusCode::kInvalidArgument,
                        AllOf(HasSubstr("points/day1.csv:1:2"), HasSubstr("more"))));
}

TEST_F(ServerTest, ASlowReaderGetsEverythingInTheEnd) {
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

TEST_F(ServerTest, AReaderWhoLeavesTakesNothingWithHim) {
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

TEST_F(ServerTest, ManyCallersAtOnceAllGetTheirAnswers) {
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

TEST_F(ServerTest, ShutdownStopsTheEngineAndRefusesNewCalls) {
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

TEST_F(ServerTest, ShutdownLetsCallsEndWithinTheDrain) {
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

TEST_F(ServerTest, HealthGoesFromServingToNotServing) {
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

TEST_F(ServerTest, ReflectionListsOurServices) {
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
