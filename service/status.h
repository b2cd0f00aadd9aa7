// A Status of the engine as a Status of the wire: the same code, a short message, and
// details that a program can read.
//
// Example:
//   return ToGrpcStatus(faults.ToStatus());
//   // INVALID_ARGUMENT with BadRequest (one violation a fault, "points/day1.csv:7:12")
//   and
//   // ErrorInfo{reason: "INVALID_ARGUMENT", domain: "ratebound"}
//
// Errors travel in response metadata, which peers limit to 8 KiB in all; past it a caller
// would see RESOURCE_EXHAUSTED instead of the error. So the message is at most
// kMessageBytes as it travels (percent-encoded), and the details at most kDetailBytes:
// faults that do not fit are counted in a last violation.
//
// Thread-safety: all functions may be called concurrently.
#ifndef RATEBOUND_SERVICE_STATUS_H_
#define RATEBOUND_SERVICE_STATUS_H_

#include <grpcpp/support/status.h>

#include <chrono>
#include <string>
#include <string_view>

#include "absl/status/status.h"

namespace ratebound::service {

inline constexpr int kMessageBytes = 1024;
inline constexpr int kDetailBytes = 4096;
inline constexpr int kViolationCount = 50;
inline constexpr char kErrorDomain[] = "ratebound";

grpc::Status ToGrpcStatus(const absl::Status& status);

// What a client makes of it: code and message; violations come back as faults
// (engine/base/fault.h), so that a tool can print them as if it had found them itself.
absl::Status FromGrpcStatus(const grpc::Status& status);

// Gives a status the reason that ErrorInfo carries instead of the code's name:
// UPPER_SNAKE_CASE, at most 63 characters, never reused for something else.
absl::Status WithReason(absl::Status status, std::string_view reason);

// Says when a caller may come back; RESOURCE_EXHAUSTED says one second where nothing is
// set.
absl::Status WithRetryAfter(absl::Status status, std::chrono::milliseconds delay);

// The name of a code, such as "INVALID_ARGUMENT".
std::string CodeName(absl::StatusCode code);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_STATUS_H_
