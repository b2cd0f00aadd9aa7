// QueryService: what a unit does at given conditions, out of stored releases. See
// proto/ratebound/v1/query_service.proto.
#ifndef RATEBOUND_SERVICE_QUERY_SERVICE_H_
#define RATEBOUND_SERVICE_QUERY_SERVICE_H_

#include "ratebound/v1/query_service.grpc.pb.h"
#include "service/call.h"
#include "service/release_library.h"

namespace ratebound::service {

// Everything given must outlive the service. Thread-safety: as gRPC needs it.
class QueryService final : public v1::QueryService::CallbackService {
 public:
  QueryService(Runtime& runtime, ReleaseLibrary& library)
      : runtime_(runtime), library_(library) {}

  grpc::ServerUnaryReactor* Evaluate(grpc::CallbackServerContext* context,
                                     const v1::EvaluateRequest* request,
                                     v1::EvaluateResponse* response) override;
  grpc::ServerUnaryReactor* EvaluateCurve(grpc::CallbackServerContext* context,
                                          const v1::EvaluateCurveRequest* request,
                                          v1::EvaluateCurveResponse* response) override;
  grpc::ServerUnaryReactor* BatchEvaluate(grpc::CallbackServerContext* context,
                                          const v1::BatchEvaluateRequest* request,
                                          v1::BatchEvaluateResponse* response) override;
  grpc::ServerBidiReactor<v1::StreamEvaluateRequest, v1::StreamEvaluateResponse>*
  StreamEvaluate(grpc::CallbackServerContext* context) override;

 private:
  Runtime& runtime_;
  ReleaseLibrary& library_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_QUERY_SERVICE_H_
