// The server: store, engine and services behind a port or an in-process channel.
//
// Example:
//   ASSIGN_OR_RETURN(std::unique_ptr<Server> server,
//                    Server::Start(std::move(engine), {.store_path = "releases.db"}));
//   auto stub = v1::QueryService::NewStub(server->InProcessChannel());
//   ...
//   server->Shutdown();
//
// A server that people reach over a network:
//   SignalGuard signals;   // before any thread starts
//   ASSIGN_OR_RETURN(..., Server::Start(engine, {.listen = "0.0.0.0:7443",
//                                                .tls_certificate_file = ...}));
//   server->RunUntilSignal();
//
// Shutdown: health says NOT_SERVING and new calls are refused; calls under way have
// `drain` to end; then the engine is told to stop and streams are cancelled. It returns
// when no call is left.
//
// There is no authentication: whoever reaches the port may publish and read. Listen on
// the machine itself, or put the port behind what your network already uses.
//
// Errors of Start: INVALID_ARGUMENT with every option that is wrong; UNAVAILABLE for a
// port that is taken; those of Store::Open. Thread-safety: all methods may be called
// concurrently.
#ifndef RATEBOUND_SERVICE_SERVER_H_
#define RATEBOUND_SERVICE_SERVER_H_

#include <grpcpp/channel.h>
#include <grpcpp/server.h>
#include <signal.h>

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "service/call.h"
#include "service/engine.h"
#include "service/query_service.h"
#include "service/rating_service.h"
#include "service/release_library.h"
#include "service/release_service.h"
#include "service/store.h"

namespace ratebound::service {

struct ServerOptions {
  // "host:port"; port 0 takes a free one; empty serves the in-process channel alone.
  std::string listen = "127.0.0.1:50071";
  // ":memory:" keeps nothing after the end.
  std::string store_path = ":memory:";
  bool store_read_only = false;
  // PEM files; both or neither. Without them the port speaks plain text.
  std::string tls_certificate_file;
  std::string tls_key_file;
  // Calls that compute a line folder: how many at once, before others are told to come
  // back, and how many of them compute; the rest wait.
  int builds_in_flight = 8;
  int build_workers = 2;
  // Questions to stored releases.
  int queries_in_flight = 256;
  int query_workers = 2;
  // Bytes that all line folders under way may hold together.
  int64_t upload_bytes = int64_t{512} << 20;
  // One message of a request.
  int request_bytes = 4 << 20;
  // The longest a call may take, also where the caller sets no deadline.
  std::chrono::milliseconds longest_call = std::chrono::minutes(10);
  // How long calls may go on after Shutdown is asked for.
  std::chrono::milliseconds drain = std::chrono::seconds(10);
  // Lets generic clients list the services and their messages.
  bool reflection = true;
  // One line for each incident; nothing where empty.
  std::function<void(std::string_view line)> log;
};

// OK, or INVALID_ARGUMENT with one fault for each option that is wrong.
absl::Status Validate(const ServerOptions& options);

// Keeps SIGTERM and SIGINT from ending the process, so that RunUntilSignal can wait for
// them. Threads inherit it: make one before the first thread starts.
class SignalGuard {
 public:
  SignalGuard();
  ~SignalGuard();
  SignalGuard(const SignalGuard&) = delete;
  SignalGuard& operator=(const SignalGuard&) = delete;

 private:
  sigset_t before_;
};

class Server {
 public:
  static absl::StatusOr<std::unique_ptr<Server>> Start(Engine engine,
                                                       const ServerOptions& options);
  // Shuts down first.
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  // The port that was taken; 0 without one.
  int port() const { return port_; }
  // Finish its calls before Shutdown, and begin none after it: the packaged gRPC (1.51)
  // does not survive a new call on the in-process channel of a server that was shut down.
  std::shared_ptr<grpc::Channel> InProcessChannel();

  void Shutdown();
  // Waits for SIGTERM or SIGINT (see SignalGuard), then shuts down. Returns the signal.
  int RunUntilSignal();

  // How many calls are under way, for tests and reports.
  int calls_in_flight() const {
    return runtime_.builds.gate.in_flight() + runtime_.queries.gate.in_flight();
  }

 private:
  Server(Engine engine, const ServerOptions& options, std::unique_ptr<Store> store);
  absl::Status Listen();

  const ServerOptions options_;
  const Engine engine_;
  const std::unique_ptr<Store> store_;
  ReleaseLibrary library_;
  Runtime runtime_;
  RatingService rating_service_;
  ReleaseService release_service_;
  QueryService query_service_;
  std::unique_ptr<grpc::Server> server_;
  int port_ = 0;
  std::once_flag shut_down_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_SERVER_H_
