// The answers of RatingService, free of gRPC: options and files in, messages out.
//
// Errors: those of the engine; where a baseline is asked for, those of the store.
// Thread-safety: all functions may be called concurrently. Lifetime: an AnswerSource owns
// what it answers from.
#ifndef RATEBOUND_SERVICE_LINE_ANSWERS_H_
#define RATEBOUND_SERVICE_LINE_ANSWERS_H_

#include <vector>

#include "absl/status/statusor.h"
#include "engine/release/build.h"
#include "ratebound/v1/rating_service.pb.h"
#include "service/call_shapes.h"
#include "service/engine.h"
#include "service/release_library.h"

namespace ratebound::service {

// A request for the engine with everything on; callers switch off what they do not need.
absl::StatusOr<release::BuildRequest> RequestFor(
    const Engine& engine, const std::vector<release::LineFile>& files,
    const StopFunction& stop);

absl::StatusOr<AnswerSource<v1::CheckLineResponse>> CheckLine(
    const Engine& engine, const v1::CheckLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop);

absl::StatusOr<AnswerSource<v1::FitLineResponse>> FitLine(
    const Engine& engine, const v1::FitLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop);

absl::StatusOr<AnswerSource<v1::TabulateLineResponse>> TabulateLine(
    const Engine& engine, const v1::TabulateLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop);

absl::StatusOr<AnswerSource<v1::BuildLineResponse>> BuildLine(
    const Engine& engine, const std::vector<release::LineFile>& files,
    const StopFunction& stop);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_LINE_ANSWERS_H_
