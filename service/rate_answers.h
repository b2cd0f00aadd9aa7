// Answers of RateLine, ListProcedures and GetProcedure.
//
// Thread-safety: pure.
#ifndef RATEBOUND_SERVICE_RATE_ANSWERS_H_
#define RATEBOUND_SERVICE_RATE_ANSWERS_H_

#include <vector>

#include "absl/status/statusor.h"
#include "ratebound/v1/rating_service.pb.h"
#include "service/engine.h"
#include "service/line_answers.h"

namespace ratebound::service {

// One rating a message, each with that under the other procedure where one was asked for.
// INVALID_ARGUMENT for options that contradict each other or are out of range.
absl::StatusOr<AnswerSource<v1::RateLineResponse>> RateLine(
    const Engine& engine, const v1::RateLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop);

absl::StatusOr<v1::ListProceduresResponse> ListProcedures(const Engine& engine);

// NOT_FOUND, with the nearest id, where there is none.
absl::StatusOr<v1::GetProcedureResponse> GetProcedure(
    const Engine& engine, const v1::GetProcedureRequest& request);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_RATE_ANSWERS_H_
