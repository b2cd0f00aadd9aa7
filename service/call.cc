#include "service/call.h"

#include <new>
#include <random>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"

namespace ratebound::service {
namespace {

// Told apart between servers by chance, within one by counting.
std::string NewIncidentId() {
  static const uint32_t server = std::random_device()();
  static std::atomic<uint32_t> count = 0;
  return absl::StrFormat("%08x-%u", server, ++count);
}

}  // namespace

Runtime::Runtime(const Limits& limits)
    : longest_call(limits.longest_call),
      log(limits.log),
      open_log(limits.open_log),
      uploads(std::make_shared<UploadBudget>(limits.upload_bytes)),
      builds(limits.builds_in_flight, limits.build_workers),
      queries(limits.queries_in_flight, limits.query_workers) {}

absl::Status Runtime::Incident(std::string_view call, std::string_view what) const {
  const std::string id = NewIncidentId();
  if (log) {
    log(absl::StrCat("incident ", id, " in ", base::Absl(call), ": ",
                     base::Printable(what, 2000)));
  }
  return WithReason(absl::InternalError(absl::StrCat(
                        "the server failed on its own account; report incident ", id,
                        " to whoever runs it")),
                    "INCIDENT");
}

CallControl::CallControl(const Runtime& runtime,
                         std::chrono::system_clock::time_point client_deadline)
    : runtime_(runtime), deadline_(client_deadline) {
  const auto limit = std::chrono::system_clock::now() + runtime.longest_call;
  if (limit < client_deadline) {
    deadline_ = limit;
    server_limits_ = true;
  }
}

bool CallControl::Stopped() const {
  return cancelled_ || expired_ || runtime_.stopping ||
         std::chrono::system_clock::now() >= deadline_;
}

absl::Status CallControl::WhyStopped() const {
  if (runtime_.stopping) {
    return WithReason(absl::UnavailableError("the server is shutting down; try again"),
                      "SHUTTING_DOWN");
  }
  if (!expired_ && std::chrono::system_clock::now() < deadline_) {
    return absl::CancelledError("the caller cancelled the call");
  }
  if (!server_limits_)
    return absl::DeadlineExceededError("the caller's deadline has passed");
  return WithReason(absl::DeadlineExceededError(absl::StrCat(
                        "the call took longer than the server's limit of ",
                        runtime_.longest_call.count() / 1000.0,
                        " s; ask for less at once, or raise the limit of the server")),
                    "SERVER_TIME_LIMIT");
}

absl::Status Guard(const Runtime& runtime, std::string_view call,
                   const std::function<absl::Status()>& work) {
  try {
    absl::Status status = work();
    if (!absl::IsInternal(status)) return status;
    return runtime.Incident(call, base::Std(status.message()));
  } catch (const std::bad_alloc&) {
    return runtime.Incident(call, "out of memory");
  } catch (const std::exception& error) {
    return runtime.Incident(call, error.what());
  } catch (...) {
    return runtime.Incident(call, "an exception of unknown type");
  }
}

}  // namespace ratebound::service
