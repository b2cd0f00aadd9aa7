// A line of this repository with a log, through a server and the real engine.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "service/real_engine.h"
#include "service/server.h"
#include "tests/service/client.h"
#include "tests/testing/line_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::HasSubstr;

class LogAnswers : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(Engine engine, RealEngine(1));
    ASSERT_OK_AND_ASSIGN(server_, Server::Start(std::move(engine), {.listen = ""}));
    rating_ = v1::RatingService::NewStub(server_->InProcessChannel());
    files_ = testing::ReadLineFiles("ratings/lines/nist-chamber-ashp");
    for (release::LineFile& file : files_) {
      if (IsLogPath(file.path)) log_ = &file;
    }
    ASSERT_NE(log_, nullptr);
  }

  Answers<v1::CheckLineResponse> Check(size_t chunk_bytes = kChunkBytes,
                                       const std::string& point = "") {
    const auto context = NewContext();
    v1::CheckLineRequest options;
    options.mutable_options()->set_point(point);
    return CallLine<v1::CheckLineRequest, v1::CheckLineResponse>(
        rating_->CheckLine(context.get()), files_, options, chunk_bytes);
  }

  std::unique_ptr<Server> server_;
  std::unique_ptr<v1::RatingService::Stub> rating_;
  std::vector<release::LineFile> files_;
  release::LineFile* log_ = nullptr;
};

std::vector<std::string> BytesOf(const std::vector<v1::CheckLineResponse>& items) {
  std::vector<std::string> bytes;
  for (const v1::CheckLineResponse& item : items) {
    bytes.push_back(item.SerializeAsString());
  }
  return bytes;
}

TEST_F(LogAnswers, AreTheSameHoweverTheLogWasCutIntoChunks) {
  const auto whole = Check();
  ASSERT_TRUE(whole.status.ok()) << whole.status.error_message();
  int reports = 0;
  for (const v1::CheckLineResponse& item : whole.items) {
    if (!item.has_log()) continue;
    ++reports;
    EXPECT_EQ(item.log().path(), log_->path);
    EXPECT_GT(item.log().row_count(), 100);
    EXPECT_GT(item.log().spans_size(), 0);
  }
  EXPECT_EQ(reports, 1);
  for (const size_t chunk_bytes : {size_t{997}, size_t{4096}}) {
    const auto pieces = Check(chunk_bytes);
    ASSERT_TRUE(pieces.status.ok()) << pieces.status.error_message();
    EXPECT_EQ(BytesOf(pieces.items), BytesOf(whole.items)) << chunk_bytes;
  }
}

TEST_F(LogAnswers, AFaultyLogIsABadRequestWithThePlacesOfItsFaults) {
  // The first cell of the third and of the fifth line.
  size_t at = 0;
  for (int line = 1; line <= 4; ++line) {
    at = log_->bytes.find('\n', at) + 1;
    if (line % 2 == 0) log_->bytes.insert(at, 1, 'x');
  }
  const grpc::Status status = Check(1000).status;
  ASSERT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT)
      << status.error_message();
  google::rpc::Status details;
  ASSERT_TRUE(details.ParseFromString(status.error_details()));
  std::vector<std::string> fields;
  for (const auto& any : details.details()) {
    google::rpc::BadRequest bad;
    if (!any.UnpackTo(&bad)) continue;
    for (const auto& violation : bad.field_violations()) {
      fields.push_back(violation.field());
    }
  }
  EXPECT_THAT(fields, ::testing::Contains(absl::StrCat(log_->path, ":3:1")));
  EXPECT_THAT(fields, ::testing::Contains(absl::StrCat(log_->path, ":5:1")));
}

TEST_F(LogAnswers, ALogThatNoEntryNamesIsRefusedByName) {
  files_.push_back({"logs/other.csv", "t\n1\n"});
  const grpc::Status status = Check().status;
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_THAT(status.error_message(), HasSubstr("logs/other.csv"));
}

TEST_F(LogAnswers, TheChainOfAWindowSaysWhereItStoodInTheLog) {
  const auto all = Check();
  std::string window;
  for (const v1::CheckLineResponse& item : all.items) {
    for (const v1::LogSpan& span : item.log().spans()) {
      if (!span.point().empty()) window = span.point();
    }
  }
  ASSERT_FALSE(window.empty());
  const auto answers = Check(kChunkBytes, window);
  ASSERT_TRUE(answers.status.ok()) << answers.status.error_message();
  const v1::PointChain& chain = answers.items[answers.items.size() - 2].chain();
  EXPECT_EQ(chain.point().id(), window);
  EXPECT_EQ(chain.point().file(), log_->path);
  EXPECT_GT(chain.point().last_line(), chain.point().line());
}

}  // namespace
}  // namespace ratebound::service
