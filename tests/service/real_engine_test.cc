// The real engine behind the service, on a line of this repository.
#include "service/real_engine.h"

#include <gtest/gtest.h>

#include <atomic>

#include "service/server.h"
#include "tests/service/client.h"
#include "tests/testing/line_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

TEST(RealEngine, KnowsItsProcedures) {
  ASSERT_OK_AND_ASSIGN(const Engine engine, RealEngine(1));
  ASSERT_OK_AND_ASSIGN(const PublishedFiles* const published, engine.published());
  EXPECT_FALSE(published->procedures.empty());
  EXPECT_FALSE(published->methods.empty());
  EXPECT_FALSE(published->minimums.empty());
  EXPECT_EQ(published->files.size(), published->procedures.size() +
                                         published->methods.size() +
                                         published->minimums.size());
  // Read once.
  EXPECT_EQ(engine.published().value(), published);
}

TEST(RealEngine, PublishesALineOnceAndVerifiesItAgainstItself) {
  ASSERT_OK_AND_ASSIGN(Engine engine, RealEngine());
  ASSERT_OK_AND_ASSIGN(const auto server,
                       Server::Start(std::move(engine), {.listen = ""}));
  const auto channel = server->InProcessChannel();
  const auto releases = v1::ReleaseService::NewStub(channel);
  const std::vector<release::LineFile> files =
      testing::ReadLineFiles("ratings/lines/canal-halls");
  std::string digest;
  for (bool again : {false, true}) {
    v1::PublishReleaseResponse response;
    const auto context = NewContext();
    const auto stream = releases->PublishRelease(context.get(), &response);
    v1::PublishReleaseRequest options;
    options.mutable_options();
    SendFiles(*stream, options, files);
    const grpc::Status status = stream->Finish();
    ASSERT_TRUE(status.ok()) << status.error_message();
    EXPECT_EQ(response.already_stored(), again);
    digest = response.release().digest();
    EXPECT_GT(response.release().point_count(), 0);
  }
  const auto rating = v1::RatingService::NewStub(channel);
  const auto context = NewContext();
  v1::VerifyLineRequest options;
  options.mutable_options()->set_baseline(digest);
  const auto answers = CallLine<v1::VerifyLineRequest, v1::VerifyLineResponse>(
      rating->VerifyLine(context.get()), files, options);
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  ASSERT_FALSE(answers.items.empty());
  ASSERT_TRUE(answers.items.back().has_summary());
  int declared = 0;
  for (const v1::VerifyLineResponse& item : answers.items) {
    if (item.has_summary()) continue;
    declared += item.has_declared_rating();
    EXPECT_EQ(item.change(), v1::VERDICT_CHANGE_SAME) << item.verdict().claim();
    EXPECT_EQ(item.differences_size(), 0) << item.ShortDebugString();
  }
  EXPECT_GT(declared, 0);
}

// A build told to stop half-way ends with CANCELLED, wherever half-way is.
TEST(RealEngine, StopsWhereItIsToldTo) {
  ASSERT_OK_AND_ASSIGN(const Engine engine, RealEngine(1));
  const std::vector<release::LineFile> files =
      testing::ReadLineFiles("ratings/lines/canal-halls");
  std::atomic<int> asked = 0;
  ASSERT_OK_AND_ASSIGN(const PublishedFiles* const published, engine.published());
  release::BuildRequest request{
      .files = files, .procedures = published->procedures, .methods = published->methods};
  request.stop = [&asked] { return ++asked < 0; };
  ASSERT_THAT(engine.build(request), testing::IsOk());
  const int questions = asked;
  ASSERT_GT(questions, 2);
  for (int last : {1, questions / 2, questions}) {
    asked = 0;
    request.stop = [&asked, last] { return ++asked >= last; };
    EXPECT_THAT(engine.build(request),
                testing::StatusIs(absl::StatusCode::kCancelled, ::testing::_))
        << "at question " << last << " of " << questions;
  }
}

}  // namespace
}  // namespace ratebound::service
