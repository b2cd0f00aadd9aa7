// Whole calls over channels: what each answers.
#include <string>

#include "absl/strings/str_cat.h"
#include "engine/document/release_bytes.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/service/server_fixture.h"

namespace ratebound::service {
namespace {

using ::testing::HasSubstr;

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

}  // namespace
}  // namespace ratebound::service
