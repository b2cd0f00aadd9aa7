#include "service/release_service.h"

#include <cstdint>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/text.h"
#include "service/call_shapes.h"
#include "service/comparison.h"
#include "service/line_answers.h"

namespace ratebound::service {
namespace {

constexpr int kDefaultPage = 100;
constexpr int kLargestPage = 1000;

// The verdicts that this line's looks are counted from. A manifest that cannot be read
// has none: the build reports its faults.
absl::StatusOr<std::vector<document::Verdict>> EarlierVerdicts(
    const std::vector<release::LineFile>& files, ReleaseLibrary& library) {
  for (const release::LineFile& file : files) {
    if (file.path != "line.textproto") continue;
    const auto manifest = document::ParseLineManifest(file.path, file.bytes);
    if (manifest.ok()) return library.LatestVerdicts(manifest->id);
  }
  return std::vector<document::Verdict>{};
}

absl::Status Publish(const Engine& engine, ReleaseLibrary& library,
                     const std::vector<release::LineFile>& files,
                     const StopFunction& stop, v1::PublishReleaseResponse* response) {
  ASSIGN_OR_RETURN(const std::vector<document::Verdict> earlier,
                   EarlierVerdicts(files, library));
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.earlier_verdicts = earlier;
  ASSIGN_OR_RETURN(const document::Release release, engine.build(request));
  ASSIGN_OR_RETURN(Published published, library.Publish(release));
  *response->mutable_release() = std::move(published.summary);
  response->set_already_stored(published.already_stored);
  return absl::OkStatus();
}

absl::StatusOr<int64_t> ReadPageToken(const std::string& token) {
  int64_t before = std::numeric_limits<int64_t>::max();
  if (token.empty()) return before;
  if (absl::SimpleAtoi(token, &before) && before > 0) return before;
  base::FaultList faults;
  faults.Add({.field = "page_token",
              .message = absl::StrCat("'", base::Printable(token), "' is no page token"),
              .remedy = "give the next_page_token of an answer, or nothing"});
  return faults.ToStatus();
}

absl::StatusOr<int> ReadPageSize(int page_size) {
  if (page_size == 0) return kDefaultPage;
  if (page_size >= 1 && page_size <= kLargestPage) return page_size;
  base::FaultList faults;
  faults.Add(
      {.field = "page_size",
       .message = absl::StrCat(page_size, " is no page size"),
       .remedy = absl::StrCat("give 1 to ", kLargestPage, ", or 0 for ", kDefaultPage)});
  return faults.ToStatus();
}

absl::Status List(Store& store, const v1::ListReleasesRequest& request,
                  v1::ListReleasesResponse* response) {
  ASSIGN_OR_RETURN(const int page_size, ReadPageSize(request.page_size()));
  ASSIGN_OR_RETURN(const int64_t before, ReadPageToken(request.page_token()));
  ASSIGN_OR_RETURN(std::vector<StoreRow> rows,
                   store.List(request.line(), before, page_size + 1));
  if (static_cast<int>(rows.size()) > page_size) {
    rows.resize(page_size);
    response->set_next_page_token(absl::StrCat(rows.back().sequence));
  }
  for (const StoreRow& row : rows) {
    v1::StoredRelease* stored = response->add_releases();
    stored->set_sequence(row.sequence);
    if (!stored->mutable_release()->ParseFromString(row.summary)) {
      return absl::DataLossError(
          absl::StrCat("the summary of release number ", row.sequence, " in '",
                       store.path(), "' is damaged; restore the store from a copy"));
    }
  }
  return absl::OkStatus();
}

absl::Status Compare(ReleaseLibrary& library, const v1::CompareReleasesRequest& request,
                     v1::CompareReleasesResponse* response) {
  ASSIGN_OR_RETURN(const auto from, library.Open(request.from_release()));
  ASSIGN_OR_RETURN(const auto to, library.Open(request.to_release()));
  for (v1::ReleaseChange& change : CompareReleases(from->release, to->release)) {
    *response->add_changes() = std::move(change);
  }
  return absl::OkStatus();
}

}  // namespace

grpc::ServerReadReactor<v1::PublishReleaseRequest>* ReleaseService::PublishRelease(
    grpc::CallbackServerContext* context, v1::PublishReleaseResponse* response) {
  return new LineUnaryCall<v1::PublishReleaseRequest>(
      runtime_, "PublishRelease", context,
      [this, response](const v1::PublishReleaseOptions&,
                       const std::vector<release::LineFile>& files,
                       const StopFunction& stop) {
        return Publish(engine_, library_, files, stop, response);
      });
}

grpc::ServerWriteReactor<v1::GetReleaseResponse>* ReleaseService::GetRelease(
    grpc::CallbackServerContext* context, const v1::GetReleaseRequest* request) {
  return new AnswerStreamCall<v1::GetReleaseResponse>(
      runtime_, runtime_.queries, "GetRelease", context,
      [this, request](
          const StopFunction&) -> absl::StatusOr<AnswerSource<v1::GetReleaseResponse>> {
        ASSIGN_OR_RETURN(std::string bytes, library_.Bytes(request->release()));
        return ChunksOf<v1::GetReleaseResponse>(std::move(bytes));
      });
}

grpc::ServerUnaryReactor* ReleaseService::ListReleases(
    grpc::CallbackServerContext* context, const v1::ListReleasesRequest* request,
    v1::ListReleasesResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "ListReleases", context,
                       [this, request, response](const StopFunction&) {
                         return List(library_.store(), *request, response);
                       });
}

grpc::ServerUnaryReactor* ReleaseService::CompareReleases(
    grpc::CallbackServerContext* context, const v1::CompareReleasesRequest* request,
    v1::CompareReleasesResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "CompareReleases", context,
                       [this, request, response](const StopFunction&) {
                         return Compare(library_, *request, response);
                       });
}

}  // namespace ratebound::service
