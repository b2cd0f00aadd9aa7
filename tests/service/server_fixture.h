// A server over the fake engine, and calls on it as a client makes them.
#ifndef RATEBOUND_TESTS_SERVICE_SERVER_FIXTURE_H_
#define RATEBOUND_TESTS_SERVICE_SERVER_FIXTURE_H_

#include <grpcpp/create_channel.h>
#include <grpcpp/security/credentials.h>

#include <chrono>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gtest/gtest.h"
#include "service/server.h"
#include "tests/service/client.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {

inline ServerOptions Quiet() {
  return {.listen = "", .drain = std::chrono::milliseconds(0)};
}
inline ServerOptions OnAnyPort() {
  return {.listen = "127.0.0.1:0", .drain = std::chrono::milliseconds(0)};
}

inline std::shared_ptr<grpc::Channel> ChannelTo(const Server& server) {
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

}  // namespace ratebound::service

#endif  // RATEBOUND_TESTS_SERVICE_SERVER_FIXTURE_H_
