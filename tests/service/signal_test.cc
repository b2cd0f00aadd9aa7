// A program of its own: threads that other tests left behind would take the signal.
#include <gtest/gtest.h>
#include <signal.h>
#include <unistd.h>

#include <thread>

#include "service/server.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

TEST(RunUntilSignal, EndsOnATermination) {
  SignalGuard signals;
  ASSERT_OK_AND_ASSIGN(const auto server,
                       Server::Start(FakeEngine(), {.listen = "127.0.0.1:0"}));
  std::jthread killer([] { kill(getpid(), SIGTERM); });
  EXPECT_EQ(server->RunUntilSignal(), SIGTERM);
}

}  // namespace
}  // namespace ratebound::service
