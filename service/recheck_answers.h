// The answer of RecheckCertificates, free of gRPC: each certificate followed without the
// prover and held against the verdicts of a release.
//
// Errors: INVALID_ARGUMENT where no release or no certificate came, or bytes are no
// release; those of the store for a release named by its digest. A certificate that is
// refused, or cannot be read, is an answer. Thread-safety: may be called concurrently.
// Lifetime: the AnswerSource owns what it answers from.
#ifndef RATEBOUND_SERVICE_RECHECK_ANSWERS_H_
#define RATEBOUND_SERVICE_RECHECK_ANSWERS_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/release/build.h"
#include "ratebound/v1/rating_service.pb.h"
#include "service/call_shapes.h"
#include "service/release_library.h"

namespace ratebound::service {

// `files` are the certificates; the release is the stored one of the options' digest, or
// `release_bytes`.
absl::StatusOr<AnswerSource<v1::RecheckCertificatesResponse>> RecheckCertificates(
    ReleaseLibrary& library, const v1::RecheckCertificatesOptions& options,
    const std::vector<release::LineFile>& files, const std::string& release_bytes,
    const StopFunction& stop);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_RECHECK_ANSWERS_H_
