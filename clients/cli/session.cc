#include "clients/cli/session.h"

#include <cstdlib>
#include <filesystem>
#include <system_error>

#include <grpcpp/grpcpp.h>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/commands.h"
#include "engine/base/text.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"
#include "service/real_engine.h"
#include "service/server.h"

namespace ratebound::cli {
namespace {

constexpr double kLongestTimeoutS = 86'400;

std::string Environment(const char* name) {
  const char* const value = std::getenv(name);
  return value == nullptr ? "" : value;
}

// Computing on a folder keeps nothing, so it needs no place to write.
bool UsesStore(const Arguments& arguments) {
  for (const char* command : {"check", "fit", "rate", "table", "build", "procedures"}) {
    if (arguments.command == command) return false;
  }
  return arguments.command != "verify" || arguments.Has("baseline");
}

absl::StatusOr<std::unique_ptr<service::Server>> Host(const Arguments& arguments) {
  const std::string path =
      arguments.Get("store", UsesStore(arguments) ? DefaultStorePath() : ":memory:");
  RETURN_IF_ERROR(MakeFolderOf(path));
  service::ServerOptions options;
  options.listen = "";  // in this process only
  options.store_path = path;
  options.reflection = false;
  ASSIGN_OR_RETURN(service::Engine engine, service::RealEngine());
  return service::Server::Start(std::move(engine), options);
}

}  // namespace

std::string DefaultStorePath() {
  std::string data = Environment("XDG_DATA_HOME");
  if (data.empty()) {
    const std::string home = Environment("HOME");
    if (home.empty()) return "ratebound-releases.sqlite";
    data = home + "/.local/share";
  }
  return data + "/ratebound/releases.sqlite";
}

absl::Status MakeFolderOf(const std::string& store_path) {
  const std::filesystem::path folder = std::filesystem::path(store_path).parent_path();
  std::error_code error;
  if (!folder.empty()) std::filesystem::create_directories(folder, error);
  if (!error) return absl::OkStatus();
  return absl::UnavailableError(absl::StrCat(folder.string(), ": ", error.message(),
                                             "; name another place with --store FILE"));
}

OptionFields GivenFields(const Arguments& arguments) {
  OptionFields fields;
  for (const Command& command : Commands()) {
    if (command.name != arguments.command) continue;
    for (const Option& option : command.options) {
      if (option.field.empty() || !arguments.Has(option.name)) continue;
      fields[option.field] = absl::StrCat("--", option.name);
    }
  }
  return fields;
}

absl::Status FromGrpc(const grpc::Status& status, const OptionFields& fields) {
  if (status.ok()) return absl::OkStatus();
  std::vector<std::string> lines;
  google::rpc::Status details;
  if (details.ParseFromString(status.error_details())) {
    for (const auto& any : details.details()) {
      google::rpc::BadRequest bad;
      if (!any.UnpackTo(&bad)) continue;
      for (const auto& violation : bad.field_violations()) {
        const auto option = fields.find(violation.field());
        const std::string& place =
            option == fields.end() ? violation.field() : option->second;
        lines.push_back(
            absl::StrCat(place, place.empty() ? "" : ": ", violation.description()));
      }
    }
  }
  if (lines.empty()) lines.push_back(status.error_message());
  if (status.error_code() == grpc::StatusCode::UNAVAILABLE) {
    lines.push_back("is the server running, and is --server HOST:PORT right?");
  }
  return absl::Status(static_cast<absl::StatusCode>(status.error_code()),
                      absl::StrJoin(lines, "\n"));
}

Session::~Session() {
  query_.reset();
  release_.reset();
  rating_.reset();
}

std::unique_ptr<grpc::ClientContext> Session::Context() const {
  auto context = std::make_unique<grpc::ClientContext>();
  context->set_deadline(std::chrono::system_clock::now() + timeout_);
  return context;
}

absl::StatusOr<std::unique_ptr<Session>> Session::Open(const Arguments& arguments) {
  auto session = std::unique_ptr<Session>(new Session);
  session->fields_ = GivenFields(arguments);
  if (arguments.Has("timeout")) {
    const auto seconds = base::ParseFiniteNumber(arguments.Get("timeout"));
    if (!seconds || *seconds <= 0 || *seconds > kLongestTimeoutS) {
      return absl::InvalidArgumentError(absl::StrCat(
          "'--timeout ", base::Printable(arguments.Get("timeout")),
          "' is no number of seconds above 0 and at most ", kLongestTimeoutS));
    }
    session->timeout_ = std::chrono::milliseconds(static_cast<int64_t>(1000 * *seconds));
  }
  std::shared_ptr<grpc::Channel> channel;
  if (arguments.Has("server")) {
    channel =
        grpc::CreateChannel(arguments.Get("server"), grpc::InsecureChannelCredentials());
  } else {
    ASSIGN_OR_RETURN(session->hosted_, Host(arguments));
    channel = session->hosted_->InProcessChannel();
  }
  session->rating_ = v1::RatingService::NewStub(channel);
  session->release_ = v1::ReleaseService::NewStub(channel);
  session->query_ = v1::QueryService::NewStub(channel);
  return session;
}

}  // namespace ratebound::cli
