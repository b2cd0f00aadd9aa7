// What every call has in common, whatever its shape: admission, one finish, deadline and
// cancellation that reach the work, and no exception that reaches gRPC.
//
// gRPC's reactions (OnReadDone and the like) only pass messages on; work runs on the pool
// of the call's lane. There are two lanes, so that people who build lines do not keep
// those waiting who ask for one figure.
//
// Life of a call: the reactor is made, takes a ticket of its lane or finishes at once;
// reads; computes on the pool; writes; finishes exactly once. gRPC calls OnDone after the
// last reaction, and there it deletes itself. A job of the pool may use the call until it
// finishes it or starts a write, and not after.
//
// The server's own time limit holds for every call: while reading it finishes the call,
// while computing the work is told to stop, while writing (a reader who never reads) the
// call is cancelled.
#ifndef RATEBOUND_SERVICE_CALL_H_
#define RATEBOUND_SERVICE_CALL_H_

#include <grpcpp/alarm.h>
#include <grpcpp/server_context.h>

#include <atomic>
#include <chrono>
#include <exception>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <utility>

#include "absl/status/status.h"
#include "service/line_upload.h"
#include "service/status.h"
#include "service/worker_pool.h"

namespace ratebound::service {

// Asked now and then by long work; true = give up.
using StopFunction = std::function<bool()>;

struct Lane {
  Lane(int most_in_flight, int thread_count) : gate(most_in_flight), pool(thread_count) {}
  AdmissionGate gate;
  WorkerPool pool;  // after the gate: its jobs hold tickets
};

// What calls share. Thread-safety: all members may be used concurrently.
struct Runtime {
  struct Limits {
    int builds_in_flight = 8;
    int build_workers = 2;
    int queries_in_flight = 256;
    int query_workers = 2;
    int64_t upload_bytes = int64_t{512} << 20;
    std::chrono::milliseconds longest_call = std::chrono::minutes(10);
    std::function<void(std::string_view line)> log;  // may be empty
    LogOpener open_log;                              // of line folders; may be empty
  };
  explicit Runtime(const Limits& limits);

  // A fault of ours as the caller may see it: INTERNAL and an id that the log repeats
  // beside what really happened.
  absl::Status Incident(std::string_view call, std::string_view what) const;

  const std::chrono::milliseconds longest_call;
  const std::function<void(std::string_view)> log;
  const LogOpener open_log;
  const std::shared_ptr<UploadBudget> uploads;
  std::atomic<bool> stopping = false;
  Lane builds;
  Lane queries;
};

// Whether a call is still wanted. Shared with its work, which may outlive gRPC's interest
// in it.
class CallControl {
 public:
  CallControl(const Runtime& runtime,
              std::chrono::system_clock::time_point client_deadline);

  void Cancel() { cancelled_ = true; }
  // The alarm of the deadline rang; it may do so a little ahead of the clock asked here.
  void Expire() { expired_ = true; }
  bool Stopped() const;
  // CANCELLED, DEADLINE_EXCEEDED or UNAVAILABLE; ask only after Stopped().
  absl::Status WhyStopped() const;
  // Set where the server's limit comes before the client's deadline.
  bool server_limits() const { return server_limits_; }
  std::chrono::system_clock::time_point deadline() const { return deadline_; }

 private:
  const Runtime& runtime_;
  std::chrono::system_clock::time_point deadline_;
  bool server_limits_ = false;
  std::atomic<bool> cancelled_ = false;
  std::atomic<bool> expired_ = false;
};

// Runs `work`; what it throws, or calls an internal error, becomes an incident.
absl::Status Guard(const Runtime& runtime, std::string_view call,
                   const std::function<absl::Status()>& work);

// Reactor is one of gRPC's server reactors.
template <typename Reactor>
class Call : public Reactor {
 public:
  void OnCancel() override { control_->Cancel(); }

  void OnDone() override {
    {
      std::scoped_lock lock(life_->mutex);
      life_->call = nullptr;
    }
    delete this;
  }

 protected:
  enum class State { kReading, kComputing, kWriting, kFinished };

  Call(Runtime& runtime, Lane& lane, const char* name,
       grpc::CallbackServerContext* context)
      : runtime_(runtime),
        lane_(lane),
        name_(name),
        context_(context),
        control_(std::make_shared<CallControl>(runtime, context->deadline())),
        life_(std::make_shared<Life>()) {
    life_->call = this;
  }

  // Whether the call may go on; otherwise it is finished already. Constructors of the
  // last classes call it before they start anything.
  bool Admit() {
    absl::StatusOr<AdmissionGate::Ticket> ticket = lane_.gate.Enter();
    if (!ticket.ok()) {
      FinishOnce(ticket.status());
      return false;
    }
    ticket_ = *std::move(ticket);
    if (control_->server_limits()) {
      alarm_.Set(control_->deadline(), [life = life_](bool expired) {
        std::scoped_lock lock(life->mutex);
        if (expired && life->call != nullptr) life->call->TimeIsUp();
      });
    }
    return true;
  }

  void FinishOnce(const absl::Status& status) {
    if (state_.exchange(State::kFinished) == State::kFinished) return;
    FinishNow(status);
  }

  // The end of the request: `work` runs on the pool, then `done` with what became of it.
  template <typename Done>
  void Compute(std::function<absl::Status()> work, Done done) {
    State reading = State::kReading;
    if (!state_.compare_exchange_strong(reading, State::kComputing)) return;
    lane_.pool.Submit([this, work = std::move(work), done = std::move(done)] {
      absl::Status status =
          control_->Stopped() ? control_->WhyStopped() : Guard(runtime_, name_, work);
      // Work that was told to stop may have ended in its own words.
      if (!status.ok() && control_->Stopped()) status = control_->WhyStopped();
      done(status);
    });
  }

  // `work` on a message of the request, too long for gRPC's own threads: it runs on the
  // pool, then `done` goes on reading. No read may be under way.
  template <typename Done>
  void ComputeBetweenReads(std::function<absl::Status()> work, Done done) {
    State reading = State::kReading;
    if (!state_.compare_exchange_strong(reading, State::kComputing)) return;
    lane_.pool.Submit([this, work = std::move(work), done = std::move(done)] {
      const absl::Status status = Guard(runtime_, name_, work);
      // Until the next read is under way, nothing but the lock keeps an alarm from ending
      // the call, and with it this object. What `done` starts may come back inside of it.
      const std::shared_ptr<Life> life = life_;
      std::scoped_lock lock(life->mutex);
      if (control_->Stopped()) return FinishOnce(control_->WhyStopped());
      if (!status.ok()) return FinishOnce(status);
      state_ = State::kReading;
      done();
    });
  }

  StopFunction Stop() const {
    return [control = control_] { return control->Stopped(); };
  }

  Runtime& runtime_;
  Lane& lane_;
  const char* const name_;
  grpc::CallbackServerContext* const context_;
  const std::shared_ptr<CallControl> control_;
  std::atomic<State> state_ = State::kReading;

 private:
  // The alarm may ring after the call is gone.
  struct Life {
    std::recursive_mutex mutex;
    Call* call = nullptr;
  };

  // The place goes back first: a caller who has his answer finds it free for the next
  // call.
  void FinishNow(const absl::Status& status) {
    { const AdmissionGate::Ticket returned = std::move(ticket_); }
    this->Finish(ToGrpcStatus(status));
  }

  void TimeIsUp() {
    control_->Expire();
    State reading = State::kReading;
    if (state_.compare_exchange_strong(reading, State::kFinished)) {
      FinishNow(control_->WhyStopped());
    } else if (reading == State::kWriting) {
      context_->TryCancel();
    }
  }

  const std::shared_ptr<Life> life_;
  AdmissionGate::Ticket ticket_;
  grpc::Alarm alarm_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_CALL_H_
