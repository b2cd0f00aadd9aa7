// Status matchers by the names of today's Abseil, which the packaged release lacks.
#ifndef RATEBOUND_TESTS_TESTING_MATCHERS_H_
#define RATEBOUND_TESTS_TESTING_MATCHERS_H_

#include <string>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "gmock/gmock.h"

namespace ratebound::testing {

inline const absl::Status& StatusOf(const absl::Status& status) { return status; }
template <typename T>
const absl::Status& StatusOf(const absl::StatusOr<T>& statusor) {
  return statusor.status();
}

MATCHER(IsOk, "is OK") {
  *result_listener << StatusOf(arg).ToString();
  return StatusOf(arg).ok();
}

// Matches a status by code and by a matcher over its message.
MATCHER_P2(StatusIs, code, message_matcher, "has the code and message") {
  const absl::Status& status = StatusOf(arg);
  *result_listener << status.ToString();
  return status.code() == code &&
         ::testing::Value(std::string(status.message()), message_matcher);
}

#define ASSERT_OK_AND_ASSIGN(target, expression) \
  ASSERT_OK_AND_ASSIGN_(RATEBOUND_TEST_CONCAT_(statusor_, __LINE__), target, expression)
#define RATEBOUND_TEST_CONCAT_INNER_(a, b) a##b
#define RATEBOUND_TEST_CONCAT_(a, b) RATEBOUND_TEST_CONCAT_INNER_(a, b)
#define ASSERT_OK_AND_ASSIGN_(statusor, target, expression) \
  auto statusor = (expression);                             \
  ASSERT_TRUE(statusor.ok()) << statusor.status();          \
  target = *std::move(statusor)

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_MATCHERS_H_
