// RatingService: what was computed of a line folder that the caller sends. See
// proto/ratebound/v1/rating_service.proto for what each call answers.
#ifndef RATEBOUND_SERVICE_RATING_SERVICE_H_
#define RATEBOUND_SERVICE_RATING_SERVICE_H_

#include "ratebound/v1/rating_service.grpc.pb.h"
#include "service/call.h"
#include "service/engine.h"
#include "service/release_library.h"

namespace ratebound::service {

// Everything given must outlive the service. Thread-safety: as gRPC needs it.
class RatingService final : public v1::RatingService::CallbackService {
 public:
  RatingService(Runtime& runtime, const Engine& engine, ReleaseLibrary& library)
      : runtime_(runtime), engine_(engine), library_(library) {}

  grpc::ServerBidiReactor<v1::CheckLineRequest, v1::CheckLineResponse>* CheckLine(
      grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::FitLineRequest, v1::FitLineResponse>* FitLine(
      grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::RateLineRequest, v1::RateLineResponse>* RateLine(
      grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::VerifyLineRequest, v1::VerifyLineResponse>* VerifyLine(
      grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::RecheckCertificatesRequest,
                          v1::RecheckCertificatesResponse>*
  RecheckCertificates(grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::TabulateLineRequest, v1::TabulateLineResponse>*
  TabulateLine(grpc::CallbackServerContext* context) override;
  grpc::ServerBidiReactor<v1::BuildLineRequest, v1::BuildLineResponse>* BuildLine(
      grpc::CallbackServerContext* context) override;
  grpc::ServerUnaryReactor* ListProcedures(grpc::CallbackServerContext* context,
                                           const v1::ListProceduresRequest* request,
                                           v1::ListProceduresResponse* response) override;
  grpc::ServerUnaryReactor* GetProcedure(grpc::CallbackServerContext* context,
                                         const v1::GetProcedureRequest* request,
                                         v1::GetProcedureResponse* response) override;

 private:
  Runtime& runtime_;
  const Engine& engine_;
  ReleaseLibrary& library_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_RATING_SERVICE_H_
