// The answers of QueryService, free of gRPC: what stages of stored releases do at
// conditions.
//
// Half widths are t(1 - (1 - confidence) / 2, degrees of freedom) standard errors: the
// two-sided interval of the mean surface at one condition, without the systematic part.
//
// Errors: see service/stage_choice.h; INVALID_ARGUMENT, too, for values that are not
// finite or that no such machine meets, and for more points than a message can answer.
// Thread-safety: all functions may be called concurrently.
#ifndef RATEBOUND_SERVICE_QUERY_ANSWERS_H_
#define RATEBOUND_SERVICE_QUERY_ANSWERS_H_

#include "absl/status/status.h"
#include "ratebound/v1/query_service.pb.h"
#include "service/call.h"
#include "service/release_library.h"

namespace ratebound::service {

inline constexpr int kBatchPoints = 100'000;
inline constexpr int kStreamPoints = 8'000;
// What an answer may take: below the 4 MiB that a client receives by default.
inline constexpr int64_t kAnswerBytes = 4'000'000;
inline constexpr double kDefaultConfidence = 0.95;

absl::Status Evaluate(ReleaseLibrary& library, const v1::EvaluateRequest& request,
                      v1::EvaluateResponse* response);

absl::Status BatchEvaluate(ReleaseLibrary& library,
                           const v1::BatchEvaluateRequest& request, int most_points,
                           const StopFunction& stop, v1::BatchEvaluateResponse* response);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_QUERY_ANSWERS_H_
