#include "service/worker_pool.h"

#include "absl/strings/str_cat.h"
#include "service/status.h"

namespace ratebound::service {

WorkerPool::WorkerPool(int thread_count) {
  threads_.reserve(thread_count);
  for (int i = 0; i < thread_count; ++i) threads_.emplace_back([this] { Work(); });
}

WorkerPool::~WorkerPool() {
  {
    std::scoped_lock lock(mutex_);
    closing_ = true;
  }
  changed_.notify_all();
  threads_.clear();
}

void WorkerPool::Submit(std::function<void()> job) {
  {
    std::scoped_lock lock(mutex_);
    jobs_.push_back(std::move(job));
  }
  changed_.notify_one();
}

void WorkerPool::Work() {
  std::unique_lock lock(mutex_);
  for (;;) {
    changed_.wait(lock, [this] { return closing_ || !jobs_.empty(); });
    if (jobs_.empty()) return;
    std::function<void()> job = std::move(jobs_.front());
    jobs_.pop_front();
    lock.unlock();
    job();
    job = nullptr;  // what it holds goes before the lock is taken again
    lock.lock();
  }
}

absl::StatusOr<AdmissionGate::Ticket> AdmissionGate::Enter() {
  std::scoped_lock lock(mutex_);
  if (closed_) {
    return WithReason(
        absl::UnavailableError("the server is shutting down; try another, or "
                               "again when it is back"),
        "SHUTTING_DOWN");
  }
  if (in_flight_ == most_in_flight_) {
    return WithReason(absl::ResourceExhaustedError(
                          absl::StrCat("the server works on ", most_in_flight_,
                                       " calls of this kind already; try again soon")),
                      "TOO_MANY_CALLS");
  }
  ++in_flight_;
  return Ticket(this);
}

void AdmissionGate::Close() {
  std::scoped_lock lock(mutex_);
  closed_ = true;
}

bool AdmissionGate::WaitUntilEmpty(std::chrono::steady_clock::time_point deadline) {
  std::unique_lock lock(mutex_);
  return emptied_.wait_until(lock, deadline, [this] { return in_flight_ == 0; });
}

void AdmissionGate::WaitUntilEmpty() {
  std::unique_lock lock(mutex_);
  emptied_.wait(lock, [this] { return in_flight_ == 0; });
}

int AdmissionGate::in_flight() const {
  std::scoped_lock lock(mutex_);
  return in_flight_;
}

// Notifies under the lock: the one who waits may destroy the gate as soon as it has it.
void AdmissionGate::Leave() {
  std::scoped_lock lock(mutex_);
  --in_flight_;
  if (in_flight_ == 0) emptied_.notify_all();
}

}  // namespace ratebound::service
