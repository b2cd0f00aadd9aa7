#include "service/worker_pool.h"

#include <gtest/gtest.h>

#include <atomic>
#include <latch>
#include <numeric>

#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::HasSubstr;

TEST(WorkerPool, RunsEveryJobBeforeItGoes) {
  std::atomic<int> sum = 0;
  {
    WorkerPool pool(3);
    for (int i = 1; i <= 1000; ++i) pool.Submit([&sum, i] { sum += i; });
  }
  EXPECT_EQ(sum, 500'500);
}

TEST(WorkerPool, OneThreadKeepsTheOrder) {
  std::vector<int> order;
  {
    WorkerPool pool(1);
    for (int i = 0; i < 100; ++i) pool.Submit([&order, i] { order.push_back(i); });
  }
  std::vector<int> expected(100);
  std::iota(expected.begin(), expected.end(), 0);
  EXPECT_EQ(order, expected);
}

TEST(WorkerPool, ThreadsWorkAtTheSameTime) {
  // Each job waits for the other: with one thread this would never end.
  std::latch both(2);
  WorkerPool pool(2);
  pool.Submit([&both] { both.arrive_and_wait(); });
  pool.Submit([&both] { both.arrive_and_wait(); });
  both.wait();
}

TEST(AdmissionGate, RefusesPastItsLimitAndLetsInAgain) {
  AdmissionGate gate(2);
  ASSERT_OK_AND_ASSIGN(AdmissionGate::Ticket first, gate.Enter());
  {
    ASSERT_OK_AND_ASSIGN(AdmissionGate::Ticket second, gate.Enter());
    EXPECT_THAT(gate.Enter(), testing::StatusIs(absl::StatusCode::kResourceExhausted,
                                                HasSubstr("2 calls")));
    EXPECT_EQ(gate.in_flight(), 2);
  }
  EXPECT_THAT(gate.Enter(), testing::IsOk());
}

TEST(AdmissionGate, AMovedTicketCountsOnce) {
  AdmissionGate gate(5);
  ASSERT_OK_AND_ASSIGN(AdmissionGate::Ticket first, gate.Enter());
  AdmissionGate::Ticket second = std::move(first);
  AdmissionGate::Ticket third;
  third = std::move(second);
  EXPECT_EQ(gate.in_flight(), 1);
}

TEST(AdmissionGate, ClosedLetsNobodyInAndWaitsForThoseInside) {
  AdmissionGate gate(2);
  ASSERT_OK_AND_ASSIGN(AdmissionGate::Ticket ticket, gate.Enter());
  gate.Close();
  EXPECT_THAT(gate.Enter(), testing::StatusIs(absl::StatusCode::kUnavailable,
                                              HasSubstr("shutting down")));
  EXPECT_FALSE(gate.WaitUntilEmpty(std::chrono::steady_clock::now()));
  std::jthread leaver([held = std::move(ticket)] {});
  gate.WaitUntilEmpty();
  EXPECT_EQ(gate.in_flight(), 0);
}

}  // namespace
}  // namespace ratebound::service
