// The answers of EvaluateCurve, free of gRPC.
//
// Errors: NOT_FOUND for a release, unit or curve that is not there, with the nearest
// name; INVALID_ARGUMENT for conditions, units and liquids that cannot be;
// FAILED_PRECONDITION where the curve has no answer. Thread-safety: may be called
// concurrently.
#ifndef RATEBOUND_SERVICE_CURVE_ANSWERS_H_
#define RATEBOUND_SERVICE_CURVE_ANSWERS_H_

#include "absl/status/status.h"
#include "ratebound/v1/query_service.pb.h"
#include "service/release_library.h"

namespace ratebound::service {

absl::Status EvaluateCurve(ReleaseLibrary& library,
                           const v1::EvaluateCurveRequest& request,
                           v1::EvaluateCurveResponse* response);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_CURVE_ANSWERS_H_
