// Where calls compute: a fixed number of threads and a bounded queue, and a gate before
// them.
//
// gRPC's own threads only pass messages on; one that computed would hold up every other
// call. The gate bounds how many calls are under way, so that a crowd is told to come
// back rather than left to fill memory.
//
// Example:
//   AdmissionGate gate(8);
//   WorkerPool pool(2);
//   ASSIGN_OR_RETURN(AdmissionGate::Ticket ticket, gate.Enter());
//   pool.Submit([ticket = std::move(ticket)] { ... });  // the ticket goes back at the
//   end
//
// Errors: RESOURCE_EXHAUSTED with a time to come back when the gate is full; UNAVAILABLE
// when it is closed. Thread-safety: all methods may be called concurrently. Lifetime: a
// gate outlives its tickets.
#ifndef RATEBOUND_SERVICE_WORKER_POOL_H_
#define RATEBOUND_SERVICE_WORKER_POOL_H_

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"

namespace ratebound::service {

class WorkerPool {
 public:
  // `thread_count` at least 1.
  explicit WorkerPool(int thread_count);
  // Runs what was submitted, then stops.
  ~WorkerPool();
  WorkerPool(const WorkerPool&) = delete;
  WorkerPool& operator=(const WorkerPool&) = delete;

  // Jobs start in the order of their submission. A job must not throw, and must not wait
  // for another job of the same pool. The queue is as long as the gate before it lets it
  // be.
  void Submit(std::function<void()> job);

 private:
  void Work();

  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> jobs_;
  bool closing_ = false;
  std::vector<std::jthread> threads_;
};

class AdmissionGate {
 public:
  // Leaving the scope of its ticket ends a call.
  class Ticket {
   public:
    Ticket() = default;
    Ticket(Ticket&& other) noexcept : gate_(std::exchange(other.gate_, nullptr)) {}
    Ticket& operator=(Ticket&& other) noexcept {
      std::swap(gate_, other.gate_);
      return *this;
    }
    ~Ticket() {
      if (gate_ != nullptr) gate_->Leave();
    }

   private:
    friend class AdmissionGate;
    explicit Ticket(AdmissionGate* gate) : gate_(gate) {}
    AdmissionGate* gate_ = nullptr;
  };

  explicit AdmissionGate(int most_in_flight) : most_in_flight_(most_in_flight) {}

  absl::StatusOr<Ticket> Enter();
  // Lets nobody in any more.
  void Close();
  // Whether nobody was inside at `deadline` or before it.
  bool WaitUntilEmpty(std::chrono::steady_clock::time_point deadline);
  void WaitUntilEmpty();
  int in_flight() const;

 private:
  void Leave();

  const int most_in_flight_;
  mutable std::mutex mutex_;
  std::condition_variable emptied_;
  int in_flight_ = 0;
  bool closed_ = false;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_WORKER_POOL_H_
