// The answer of VerifyLine, free of gRPC: every claim with its verdict and every declared
// rating, alone or held against a baseline, and what the gate comes to.
//
// Errors: those of the engine and, for a baseline named by its digest, of the store;
// INVALID_ARGUMENT for options that contradict each other and for bytes that are no
// release; FAILED_PRECONDITION for a baseline of another line. A gate that fails is an
// answer. Thread-safety: may be called concurrently. Lifetime: the AnswerSource owns what
// it answers from.
#ifndef RATEBOUND_SERVICE_VERIFY_ANSWERS_H_
#define RATEBOUND_SERVICE_VERIFY_ANSWERS_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "ratebound/v1/rating_service.pb.h"
#include "service/call_shapes.h"
#include "service/engine.h"
#include "service/release_library.h"

namespace ratebound::service {

// The baseline is the stored release of that digest, or `baseline_bytes`, a serialized
// Release; its verdicts count the looks, too.
absl::StatusOr<AnswerSource<v1::VerifyLineResponse>> VerifyLine(
    const Engine& engine, ReleaseLibrary& library, const v1::VerifyLineOptions& options,
    const std::vector<release::LineFile>& files, const std::string& baseline_bytes,
    const StopFunction& stop);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_VERIFY_ANSWERS_H_
