// Calls whose logs are read between the messages of the caller: they end once, whoever
// ends them and whenever.
#include <grpcpp/create_channel.h>
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <latch>
#include <memory>
#include <string>
#include <thread>

#include "service/server.h"
#include "tests/service/client.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::service {
namespace {

using std::chrono::milliseconds;
using ::testing::HasSubstr;

// What the sinks of a test do with a chunk, and how many of them are left.
struct Sinks {
  std::function<void(std::string_view content)> feed = [](std::string_view) {};
  std::atomic<int> alive = 0;
  std::atomic<int64_t> bytes = 0;
};

class FakeSink final : public LogSink {
 public:
  explicit FakeSink(Sinks& sinks) : sinks_(sinks) { ++sinks_.alive; }
  ~FakeSink() override { --sinks_.alive; }
  void Feed(std::string_view content) override {
    sinks_.feed(content);
    sinks_.bytes += static_cast<int64_t>(content.size());
  }
  std::shared_ptr<const release::LogRead> Finish() override {
    auto log = std::make_shared<release::LogRead>();
    log->result = points::LogResult();
    return log;
  }

 private:
  Sinks& sinks_;
};

class LogCalls : public ::testing::Test {
 protected:
  void Start(ServerOptions options = {}, bool in_process = true) {
    options.listen = in_process ? "" : "127.0.0.1:0";
    options.drain = milliseconds(0);
    Engine engine = FakeEngine();
    engine.open_log = [this](std::span<const release::LineFile>, std::string_view) {
      return std::make_unique<FakeSink>(sinks_);
    };
    ASSERT_OK_AND_ASSIGN(server_, Server::Start(std::move(engine), options));
    rating_ = v1::RatingService::NewStub(
        in_process ? server_->InProcessChannel()
                   : grpc::CreateChannel("127.0.0.1:" + std::to_string(server_->port()),
                                         grpc::InsecureChannelCredentials()));
  }

  using Stream = grpc::ClientReaderWriter<v1::CheckLineRequest, v1::CheckLineResponse>;

  // Options and the manifest.
  std::unique_ptr<Stream> Begin(grpc::ClientContext& context) {
    auto stream = rating_->CheckLine(&context);
    v1::CheckLineRequest request;
    request.mutable_options();
    stream->Write(request);
    Send(*stream, "line.textproto", "x");
    return stream;
  }
  static bool Send(Stream& stream, const std::string& path, const std::string& content) {
    v1::CheckLineRequest request;
    request.mutable_chunk()->set_path(path);
    request.mutable_chunk()->set_content(content);
    return stream.Write(request);
  }
  void WaitUntilAllCallsHaveEnded() {
    while (server_->calls_in_flight() > 0) std::this_thread::yield();
  }
  // A call gives its place back before it goes itself, and its sinks with it; one that
  // never goes lets the test run into its time limit.
  void WaitUntilAllSinksAreGone() {
    WaitUntilAllCallsHaveEnded();
    while (sinks_.alive > 0) std::this_thread::yield();
  }
  // A whole call with a log that must succeed: the workers are free and at work.
  void CheckOnce() {
    const auto context = NewContext();
    const auto answers = CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
        rating_->CheckLine(context.get()),
        {{"logs/a.csv", "1,2\n"}, {"line.textproto", "x"}});
    ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
    EXPECT_EQ(answers.items.size(), 2u);
  }

  Sinks sinks_;  // outlives the server, whose calls hold them
  std::unique_ptr<Server> server_;
  std::unique_ptr<v1::RatingService::Stub> rating_;
};

TEST_F(LogCalls, ReadALogInAsManyPiecesAsComes) {
  Start();
  const auto context = NewContext();
  const auto stream = Begin(*context);
  for (int i = 0; i < 300; ++i) ASSERT_TRUE(Send(*stream, "logs/a.csv", "row,row\n"));
  stream->WritesDone();
  v1::CheckLineResponse response;
  int count = 0;
  while (stream->Read(&response)) ++count;
  EXPECT_TRUE(stream->Finish().ok());
  EXPECT_EQ(count, 2);
  EXPECT_EQ(sinks_.bytes, 300 * 8);
  WaitUntilAllSinksAreGone();
}

TEST_F(LogCalls, EndWithTheFaultOfAChunk) {
  Start();
  const auto context = NewContext();
  const auto stream = Begin(*context);
  ASSERT_TRUE(Send(*stream, "logs/a.csv", "row\n"));
  Send(*stream, "points/p.csv", "x");
  const grpc::Status status = stream->Finish();
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_THAT(status.error_message(), HasSubstr("logs last"));
  WaitUntilAllSinksAreGone();
}

TEST_F(LogCalls, WhatASinkThrowsBecomesAnIncident) {
  Start();
  sinks_.feed = [](std::string_view) { throw std::runtime_error("secret words"); };
  const auto context = NewContext();
  const auto stream = Begin(*context);
  Send(*stream, "logs/a.csv", "row\n");
  const grpc::Status status = stream->Finish();
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INTERNAL);
  EXPECT_THAT(status.error_message(), HasSubstr("incident "));
  sinks_.feed = [](std::string_view) {};
  CheckOnce();
}

// The caller leaves while a chunk is being read, and the reading ends later.
TEST_F(LogCalls, ACallCancelledInTheMiddleOfAChunkEndsWhenTheChunkIsRead) {
  Start({.build_workers = 1});
  std::latch reading(1);
  std::latch go_on(1);
  sinks_.feed = [&](std::string_view) {
    reading.count_down();
    go_on.wait();
  };
  const auto context = NewContext();
  const auto stream = Begin(*context);
  ASSERT_TRUE(Send(*stream, "logs/a.csv", "row\n"));
  reading.wait();
  context->TryCancel();
  EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::CANCELLED);
  EXPECT_EQ(server_->calls_in_flight(), 1) << "its sink is at work";
  go_on.count_down();
  WaitUntilAllCallsHaveEnded();
  sinks_.feed = [](std::string_view) {};
  CheckOnce();
  WaitUntilAllSinksAreGone();
}

TEST_F(LogCalls, ACallWhoseDeadlinePassesInTheMiddleOfAChunkEndsWhenTheChunkIsRead) {
  Start({.build_workers = 1});
  std::latch go_on(1);
  sinks_.feed = [&](std::string_view) { go_on.wait(); };
  const auto context = NewContext(milliseconds(50));
  const auto stream = Begin(*context);
  Send(*stream, "logs/a.csv", "row\n");
  EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
  go_on.count_down();
  WaitUntilAllCallsHaveEnded();
  sinks_.feed = [](std::string_view) {};
  CheckOnce();
}

// The caller sets no deadline and goes on sending for ever, or stops and never ends.
TEST_F(LogCalls, TheServersOwnLimitEndsALogThatDoesNotEnd) {
  Start({.longest_call = milliseconds(50)}, false);
  for (const bool sends_on : {true, false}) {
    grpc::ClientContext context;
    const auto stream = Begin(context);
    while (Send(*stream, "logs/a.csv", "row\n") && sends_on) {
    }
    v1::CheckLineResponse response;
    EXPECT_FALSE(stream->Read(&response));
    const grpc::Status status = stream->Finish();
    EXPECT_EQ(status.error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
    EXPECT_THAT(status.error_message(), HasSubstr("server's limit"));
  }
  WaitUntilAllSinksAreGone();
}

// Limits that ring at any place of a call that reads logs. Run with the address and the
// thread sanitizer (ci/sanitize) this finds what outlives its call.
TEST_F(LogCalls, TheServersOwnLimitMayRingAtAnyPlace) {
  for (const int limit_ms : {1, 2, 3, 5}) {
    Start({.builds_in_flight = 1000, .longest_call = milliseconds(limit_ms)}, false);
    std::vector<std::jthread> callers;
    for (int caller = 0; caller < 4; ++caller) {
      callers.emplace_back([this] {
        for (int i = 0; i < 25; ++i) {
          grpc::ClientContext context;
          const auto stream = Begin(context);
          while (Send(*stream, "logs/a.csv", "row\n")) {
          }
          EXPECT_EQ(stream->Finish().error_code(), grpc::StatusCode::DEADLINE_EXCEEDED);
        }
      });
    }
    callers.clear();
    WaitUntilAllSinksAreGone();
  }
}

// A call that its caller has left may reach the server after all others have ended, so
// there is room for all of them at once.
TEST_F(LogCalls, CallersMayLeaveAtAnyPlace) {
  Start({.builds_in_flight = 1000}, false);
  std::vector<std::jthread> callers;
  for (int caller = 0; caller < 4; ++caller) {
    callers.emplace_back([this, caller] {
      testing::Random random("CALLERS_MAY_LEAVE" + std::to_string(caller));
      for (int i = 0; i < 40; ++i) {
        const auto context = NewContext();
        const auto stream = Begin(*context);
        const int chunks = random.Integer(0, 8);
        for (int k = 0; k < chunks; ++k) Send(*stream, "logs/a.csv", "row\n");
        if (random.Integer(0, 1) == 1) stream->WritesDone();
        context->TryCancel();
        v1::CheckLineResponse response;
        while (stream->Read(&response)) {
        }
        const grpc::StatusCode code = stream->Finish().error_code();
        EXPECT_TRUE(code == grpc::StatusCode::CANCELLED || code == grpc::StatusCode::OK)
            << code;
      }
    });
  }
  callers.clear();
  WaitUntilAllSinksAreGone();
  CheckOnce();
}

TEST_F(LogCalls, ShutdownEndsACallInTheMiddleOfALog) {
  Start({}, false);
  std::latch reading(1);
  std::atomic<bool> first = true;
  sinks_.feed = [&](std::string_view) {
    if (first.exchange(false)) reading.count_down();
  };
  const auto context = NewContext();
  const auto stream = Begin(*context);
  ASSERT_TRUE(Send(*stream, "logs/a.csv", "row\n"));
  reading.wait();
  server_->Shutdown();
  EXPECT_EQ(server_->calls_in_flight(), 0);
  EXPECT_FALSE(stream->Finish().ok());
  EXPECT_EQ(sinks_.alive, 0);
}

TEST_F(LogCalls, CheckAnswersWithTheChainOfAPointAndKnowsTheNearestName) {
  Start();
  const auto ask = [&](const std::string& point, int64_t draws) {
    const auto context = NewContext();
    v1::CheckLineRequest options;
    options.mutable_options()->set_point(point);
    options.mutable_options()->set_monte_carlo_draws(draws);
    return CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
        rating_->CheckLine(context.get()), FakeLine(), options);
  };
  const auto answers = ask("p2", 0);
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_EQ(answers.items.size(), 3u);
  EXPECT_EQ(answers.items[1].chain().point().id(), "p2");
  ASSERT_EQ(answers.items[1].chain().findings_size(), 1);
  EXPECT_EQ(answers.items[1].chain().findings(0).message(), "balance is off");
  EXPECT_TRUE(answers.items[2].has_summary());

  struct Refused {
    std::string point;
    int64_t draws;
    std::string says;
  };
  for (const Refused& refused :
       {Refused{"p22", 0, "did you mean 'p2'"}, Refused{"", 5000, "name a point"},
        Refused{"p2", 10, "give 2000 to 1000000"},
        Refused{"p2", -1, "give 2000 to 1000000"}}) {
    const grpc::Status status = ask(refused.point, refused.draws).status;
    EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
    EXPECT_THAT(status.error_message(), HasSubstr(refused.says));
  }
}

}  // namespace
}  // namespace ratebound::service
