#include "service/query_service.h"

#include "service/call_shapes.h"
#include "service/curve_answers.h"
#include "service/query_answers.h"

namespace ratebound::service {

grpc::ServerUnaryReactor* QueryService::Evaluate(grpc::CallbackServerContext* context,
                                                 const v1::EvaluateRequest* request,
                                                 v1::EvaluateResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "Evaluate", context,
                       [this, request, response](const StopFunction&) {
                         return service::Evaluate(library_, *request, response);
                       });
}

grpc::ServerUnaryReactor* QueryService::EvaluateCurve(
    grpc::CallbackServerContext* context, const v1::EvaluateCurveRequest* request,
    v1::EvaluateCurveResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "EvaluateCurve", context,
                       [this, request, response](const StopFunction&) {
                         return service::EvaluateCurve(library_, *request, response);
                       });
}

grpc::ServerUnaryReactor* QueryService::BatchEvaluate(
    grpc::CallbackServerContext* context, const v1::BatchEvaluateRequest* request,
    v1::BatchEvaluateResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "BatchEvaluate", context,
                       [this, request, response](const StopFunction& stop) {
                         return service::BatchEvaluate(library_, *request, kBatchPoints,
                                                       stop, response);
                       });
}

grpc::ServerBidiReactor<v1::StreamEvaluateRequest, v1::StreamEvaluateResponse>*
QueryService::StreamEvaluate(grpc::CallbackServerContext* context) {
  return new TurnsCall<v1::StreamEvaluateRequest, v1::StreamEvaluateResponse>(
      runtime_, runtime_.queries, "StreamEvaluate", context,
      [this](const v1::StreamEvaluateRequest& request,
             v1::StreamEvaluateResponse* response, const StopFunction& stop) {
        return service::BatchEvaluate(library_, request.batch(), kStreamPoints, stop,
                                      response->mutable_batch());
      });
}

}  // namespace ratebound::service
