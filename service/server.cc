#include "service/server.h"

#include <grpc/grpc.h>
#include <grpcpp/ext/proto_server_reflection_plugin.h>
#include <grpcpp/health_check_service_interface.h>
#include <grpcpp/security/server_credentials.h>
#include <grpcpp/server_builder.h>

#include <fstream>
#include <iterator>
#include <optional>
#include <utility>

#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

// Answers come from ourselves and may be large tables, so clients in this process take
// more than gRPC's 4 MiB.
constexpr int kInProcessAnswerBytes = 64 << 20;

// How long the last answers of a drained server may take to leave it.
constexpr std::chrono::milliseconds kLastAnswers = std::chrono::seconds(1);

// gRPC's own end waits up to ten seconds for a poller of its own where a large message
// was refused, so the library stays up for the life of the process once a server has
// started.
void KeepGrpcUp() {
  static const bool kept = [] {
    grpc_init();
    return true;
  }();
  (void)kept;
}

// The port of "host:port", where the host may be a bracketed IPv6 address.
std::optional<int> PortOf(const std::string& listen) {
  const size_t colon = listen.rfind(':');
  int port = -1;
  if (colon == std::string::npos || colon == 0 ||
      !absl::SimpleAtoi(listen.substr(colon + 1), &port) || port < 0 || port > 65535) {
    return std::nullopt;
  }
  return port;
}

absl::StatusOr<std::string> ReadPem(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(file),
                    std::istreambuf_iterator<char>()};
  if (!file || bytes.find("-----BEGIN") == std::string::npos) {
    return absl::InvalidArgumentError(absl::StrCat(
        "'", path,
        "' cannot be read as a PEM file; see that it exists, that this user may read "
        "it, and that it holds a -----BEGIN line"));
  }
  return bytes;
}

absl::StatusOr<std::shared_ptr<grpc::ServerCredentials>> CredentialsOf(
    const ServerOptions& options) {
  if (options.tls_certificate_file.empty()) return grpc::InsecureServerCredentials();
  grpc::SslServerCredentialsOptions ssl;
  ASSIGN_OR_RETURN(std::string certificate, ReadPem(options.tls_certificate_file));
  ASSIGN_OR_RETURN(std::string key, ReadPem(options.tls_key_file));
  ssl.pem_key_cert_pairs.push_back(
      {.private_key = std::move(key), .cert_chain = std::move(certificate)});
  return grpc::SslServerCredentials(ssl);
}

class OptionFaults {
 public:
  template <typename Number>
  void InRange(const char* option, Number value, Number least, Number greatest) {
    if (value >= least && value <= greatest) return;
    Add(option, absl::StrCat("is ", value),
        absl::StrCat("give ", least, " to ", greatest));
  }
  void Add(const char* option, std::string message, std::string remedy) {
    faults_.Add(
        {.field = option, .message = std::move(message), .remedy = std::move(remedy)});
  }
  absl::Status ToStatus() const { return faults_.ToStatus(); }

 private:
  base::FaultList faults_;
};

Runtime::Limits LimitsOf(const ServerOptions& options, LogOpener open_log) {
  return {.builds_in_flight = options.builds_in_flight,
          .build_workers = options.build_workers,
          .queries_in_flight = options.queries_in_flight,
          .query_workers = options.query_workers,
          .upload_bytes = options.upload_bytes,
          .longest_call = options.longest_call,
          .log = options.log,
          .open_log = std::move(open_log)};
}

sigset_t StopSignals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGINT);
  return signals;
}

}  // namespace

absl::Status Validate(const ServerOptions& options) {
  OptionFaults faults;
  if (!options.listen.empty() && !PortOf(options.listen).has_value()) {
    faults.Add("listen",
               absl::StrCat("'", options.listen, "' is no address to listen on"),
               "write host:port such as 127.0.0.1:50071, or port 0 for a free one");
  }
  if (options.store_path.empty()) {
    faults.Add("store_path", "is empty", "give a file, or :memory: to keep nothing");
  }
  if (options.tls_certificate_file.empty() != options.tls_key_file.empty()) {
    faults.Add("tls_certificate_file", "certificate and key go together",
               "give both or neither");
  }
  faults.InRange("builds_in_flight", options.builds_in_flight, 1, 10'000);
  faults.InRange("build_workers", options.build_workers, 1, 1024);
  faults.InRange("queries_in_flight", options.queries_in_flight, 1, 1'000'000);
  faults.InRange("query_workers", options.query_workers, 1, 1024);
  faults.InRange("upload_bytes", options.upload_bytes, kFolderBytes, int64_t{1} << 40);
  faults.InRange("request_bytes", options.request_bytes, 1 << 17, 1 << 28);
  faults.InRange<int64_t>("longest_call (ms)", options.longest_call.count(), 1,
                          86'400'000);
  faults.InRange<int64_t>("drain (ms)", options.drain.count(), 0, 3'600'000);
  return faults.ToStatus();
}

SignalGuard::SignalGuard() {
  const sigset_t signals = StopSignals();
  pthread_sigmask(SIG_BLOCK, &signals, &before_);
}

SignalGuard::~SignalGuard() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

absl::StatusOr<std::unique_ptr<Server>> Server::Start(Engine engine,
                                                      const ServerOptions& options) {
  RETURN_IF_ERROR(Validate(options));
  ASSIGN_OR_RETURN(
      std::unique_ptr<Store> store,
      Store::Open(options.store_path, {.read_only = options.store_read_only}));
  std::unique_ptr<Server> server(
      new Server(std::move(engine), options, std::move(store)));
  RETURN_IF_ERROR(server->Listen());
  return server;
}

Server::Server(Engine engine, const ServerOptions& options, std::unique_ptr<Store> store)
    : options_(options),
      engine_(std::move(engine)),
      store_(std::move(store)),
      library_(*store_),
      runtime_(LimitsOf(options, engine_.open_log)),
      rating_service_(runtime_, engine_, library_),
      release_service_(runtime_, engine_, library_),
      query_service_(runtime_, library_) {}

absl::Status Server::Listen() {
  KeepGrpcUp();
  // Both switches are the process's, and take effect on builders made after them.
  grpc::EnableDefaultHealthCheckService(true);
  if (options_.reflection) grpc::reflection::InitProtoReflectionServerBuilderPlugin();
  grpc::ServerBuilder builder;
  ASSIGN_OR_RETURN(const std::shared_ptr<grpc::ServerCredentials> credentials,
                   CredentialsOf(options_));
  // By default a second server shares a taken port and gets every other connection.
  builder.AddChannelArgument(GRPC_ARG_ALLOW_REUSEPORT, 0);
  builder.SetMaxReceiveMessageSize(options_.request_bytes);
  if (!options_.listen.empty())
    builder.AddListeningPort(options_.listen, credentials, &port_);
  builder.RegisterService(&rating_service_);
  builder.RegisterService(&release_service_);
  builder.RegisterService(&query_service_);
  server_ = builder.BuildAndStart();
  if (server_ == nullptr || (!options_.listen.empty() && port_ <= 0)) {
    return WithReason(absl::UnavailableError(
                          absl::StrCat("cannot listen on ", options_.listen,
                                       "; see that no other program has the port, that "
                                       "the host is one of this machine, "
                                       "and that certificate and key belong together")),
                      "CANNOT_LISTEN");
  }
  server_->GetHealthCheckService()->SetServingStatus(true);
  for (const char* name :
       {v1::RatingService::service_full_name(), v1::ReleaseService::service_full_name(),
        v1::QueryService::service_full_name()}) {
    server_->GetHealthCheckService()->SetServingStatus(name, true);
  }
  return absl::OkStatus();
}

Server::~Server() { Shutdown(); }

std::shared_ptr<grpc::Channel> Server::InProcessChannel() {
  grpc::ChannelArguments arguments;
  arguments.SetMaxReceiveMessageSize(kInProcessAnswerBytes);
  return server_->InProcessChannel(arguments);
}

void Server::Shutdown() {
  std::call_once(shut_down_, [this] {
    if (server_ == nullptr) return;
    // Health first, so that balancers look elsewhere before calls are refused.
    if (server_->GetHealthCheckService() != nullptr) {
      server_->GetHealthCheckService()->Shutdown();
    }
    const auto end = std::chrono::steady_clock::now() + options_.drain;
    for (Lane* lane : {&runtime_.builds, &runtime_.queries}) lane->gate.Close();
    bool drained = true;
    for (Lane* lane : {&runtime_.builds, &runtime_.queries}) {
      drained &= lane->gate.WaitUntilEmpty(end);
    }
    // Where the drain is over, what still runs is cancelled, and its work stops at its
    // next question. Otherwise the last answers are on their way.
    runtime_.stopping = true;
    server_->Shutdown(std::chrono::system_clock::now() +
                      (drained ? kLastAnswers : std::chrono::milliseconds(0)));
    for (Lane* lane : {&runtime_.builds, &runtime_.queries}) lane->gate.WaitUntilEmpty();
    server_->Wait();
  });
}

int Server::RunUntilSignal() {
  const sigset_t signals = StopSignals();
  int signal = 0;
  sigwait(&signals, &signal);
  Shutdown();
  return signal;
}

}  // namespace ratebound::service
