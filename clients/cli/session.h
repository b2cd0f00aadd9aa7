// The calls a command makes: to a server, or to the same service hosted in this process.
//
// There is one code path: without --server the session starts the service in this
// process, with its store, and talks to it over an in-process channel. All calls have
// ended before it stops.
//
// Example:
//   ASSIGN_OR_RETURN(std::unique_ptr<Session> session, Session::Open(arguments));
//   ASSIGN_OR_RETURN(auto ratings, (session->SendLine<v1::RateLineRequest,
//   v1::RateLineResponse>(
//       folder, options, &v1::RatingService::Stub::RateLine)));
#ifndef RATEBOUND_CLIENTS_CLI_SESSION_H_
#define RATEBOUND_CLIENTS_CLI_SESSION_H_

#include <chrono>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "clients/cli/arguments.h"
#include "clients/cli/line_folder.h"
#include "engine/base/status_macros.h"
#include "ratebound/v1/query_service.grpc.pb.h"
#include "ratebound/v1/rating_service.grpc.pb.h"
#include "ratebound/v1/release_service.grpc.pb.h"

namespace ratebound::service {
class Server;
}

namespace ratebound::cli {

// The options given, such as "--monte-carlo", by the field of a call that each fills.
using OptionFields = std::map<std::string, std::string>;
OptionFields GivenFields(const Arguments& arguments);

// The status of a call as the user should read it: the faults that came back, one a line,
// each about the option that fills its field.
absl::Status FromGrpc(const grpc::Status& status, const OptionFields& fields = {});

// The store of this process where --store is not given: below XDG_DATA_HOME or
// ~/.local/share.
std::string DefaultStorePath();

// Makes the folder that a store file is to stand in.
absl::Status MakeFolderOf(const std::string& store_path);

class Session {
 public:
  static absl::StatusOr<std::unique_ptr<Session>> Open(const Arguments& arguments);
  ~Session();

  v1::RatingService::Stub& rating() { return *rating_; }
  v1::ReleaseService::Stub& release() { return *release_; }
  v1::QueryService::Stub& query() { return *query_; }

  // A context with the deadline of --timeout.
  std::unique_ptr<grpc::ClientContext> Context() const;

  // Sends options and the line folder, and collects what comes back.
  template <typename Request, typename Response, typename Options, typename Method>
  absl::StatusOr<std::vector<Response>> SendLine(const std::string& folder,
                                                 Options options, Method method,
                                                 const FolderFile* release = nullptr) {
    ASSIGN_OR_RETURN(const std::vector<FolderFile> files, ReadLineFolder(folder));
    return SendFiles<Request, Response>(files, std::move(options), method, release);
  }

  // The same with files read already. `release`, a file that holds a serialized Release,
  // goes with them where a call takes one.
  template <typename Request, typename Response, typename Options, typename Method>
  absl::StatusOr<std::vector<Response>> SendFiles(const std::vector<FolderFile>& files,
                                                  Options options, Method method,
                                                  const FolderFile* release = nullptr) {
    const auto context = Context();
    auto stream = (rating_.get()->*method)(context.get());
    const absl::Status sent =
        Upload<Request>(*stream, std::move(options), files, release);
    if (!sent.ok()) {
      context->TryCancel();
      stream->Finish();
      return sent;
    }
    stream->WritesDone();
    std::vector<Response> responses;
    Response response;
    while (stream->Read(&response)) responses.push_back(std::move(response));
    RETURN_IF_ERROR(FromGrpc(stream->Finish(), fields_));
    return responses;
  }

  // Writes until all is sent or the other side has ended the call, whose status then says
  // why. An error is a file that cannot be read, and the call is to be cancelled.
  template <typename Request, typename Stream, typename Options>
  static absl::Status Upload(Stream& stream, Options options,
                             const std::vector<FolderFile>& files,
                             const FolderFile* release = nullptr) {
    Request first;
    *first.mutable_options() = std::move(options);
    if (!stream.Write(first)) return absl::OkStatus();
    if constexpr (requires { first.mutable_release_chunk(); }) {
      Request piece;
      if (release != nullptr) {
        FileChunks chunks(*release);
        do {
          RETURN_IF_ERROR(chunks.Next(*piece.mutable_release_chunk()));
          if (!stream.Write(piece)) return absl::OkStatus();
        } while (!chunks.done());
      }
    }
    Request part;
    for (const FolderFile& file : files) {
      FileChunks chunks(file);
      part.mutable_chunk()->set_path(file.path);
      do {
        RETURN_IF_ERROR(chunks.Next(*part.mutable_chunk()->mutable_content()));
        if (!stream.Write(part)) return absl::OkStatus();
      } while (!chunks.done());
    }
    return absl::OkStatus();
  }

 private:
  Session() = default;

  std::unique_ptr<service::Server> hosted_;  // null when talking to a server
  OptionFields fields_;
  std::unique_ptr<v1::RatingService::Stub> rating_;
  std::unique_ptr<v1::ReleaseService::Stub> release_;
  std::unique_ptr<v1::QueryService::Stub> query_;
  std::chrono::milliseconds timeout_{600'000};
};

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_SESSION_H_
