#include "service/rating_service.h"

#include <string>
#include <vector>

#include "engine/base/status_macros.h"
#include "service/call_shapes.h"
#include "service/line_answers.h"
#include "service/rate_answers.h"
#include "service/recheck_answers.h"
#include "service/verify_answers.h"

namespace ratebound::service {

using Files = std::vector<release::LineFile>;

grpc::ServerBidiReactor<v1::CheckLineRequest, v1::CheckLineResponse>*
RatingService::CheckLine(grpc::CallbackServerContext* context) {
  return new LineCall<v1::CheckLineRequest, v1::CheckLineResponse>(
      runtime_, "CheckLine", context,
      [this](const v1::CheckLineOptions& options, const Files& files,
             const StopFunction& stop) {
        return service::CheckLine(engine_, options, files, stop);
      });
}

grpc::ServerBidiReactor<v1::FitLineRequest, v1::FitLineResponse>* RatingService::FitLine(
    grpc::CallbackServerContext* context) {
  return new LineCall<v1::FitLineRequest, v1::FitLineResponse>(
      runtime_, "FitLine", context,
      [this](const v1::FitLineOptions& options, const Files& files,
             const StopFunction& stop) {
        return service::FitLine(engine_, options, files, stop);
      });
}

grpc::ServerBidiReactor<v1::RateLineRequest, v1::RateLineResponse>*
RatingService::RateLine(grpc::CallbackServerContext* context) {
  return new LineCall<v1::RateLineRequest, v1::RateLineResponse>(
      runtime_, "RateLine", context,
      [this](const v1::RateLineOptions& options, const Files& files,
             const StopFunction& stop) {
        return service::RateLine(engine_, options, files, stop);
      });
}

grpc::ServerBidiReactor<v1::VerifyLineRequest, v1::VerifyLineResponse>*
RatingService::VerifyLine(grpc::CallbackServerContext* context) {
  return new LineCall<v1::VerifyLineRequest, v1::VerifyLineResponse>(
      runtime_, "VerifyLine", context,
      [this](const v1::VerifyLineOptions& options, const Files& files,
             const std::string& baseline_bytes, const StopFunction& stop) {
        return service::VerifyLine(engine_, library_, options, files, baseline_bytes,
                                   stop);
      });
}

grpc::ServerBidiReactor<v1::RecheckCertificatesRequest, v1::RecheckCertificatesResponse>*
RatingService::RecheckCertificates(grpc::CallbackServerContext* context) {
  return new LineCall<v1::RecheckCertificatesRequest, v1::RecheckCertificatesResponse>(
      runtime_, "RecheckCertificates", context,
      [this](const v1::RecheckCertificatesOptions& options, const Files& files,
             const std::string& release_bytes, const StopFunction& stop) {
        return service::RecheckCertificates(library_, options, files, release_bytes,
                                            stop);
      });
}

grpc::ServerBidiReactor<v1::TabulateLineRequest, v1::TabulateLineResponse>*
RatingService::TabulateLine(grpc::CallbackServerContext* context) {
  return new LineCall<v1::TabulateLineRequest, v1::TabulateLineResponse>(
      runtime_, "TabulateLine", context,
      [this](const v1::TabulateLineOptions& options, const Files& files,
             const StopFunction& stop) {
        return service::TabulateLine(engine_, options, files, stop);
      });
}

grpc::ServerBidiReactor<v1::BuildLineRequest, v1::BuildLineResponse>*
RatingService::BuildLine(grpc::CallbackServerContext* context) {
  return new LineCall<v1::BuildLineRequest, v1::BuildLineResponse>(
      runtime_, "BuildLine", context,
      [this](const v1::BuildLineOptions&, const Files& files, const StopFunction& stop) {
        return service::BuildLine(engine_, files, stop);
      });
}

grpc::ServerUnaryReactor* RatingService::ListProcedures(
    grpc::CallbackServerContext* context, const v1::ListProceduresRequest*,
    v1::ListProceduresResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "ListProcedures", context,
                       [this, response](const StopFunction&) -> absl::Status {
                         ASSIGN_OR_RETURN(*response, service::ListProcedures(engine_));
                         return absl::OkStatus();
                       });
}

grpc::ServerUnaryReactor* RatingService::GetProcedure(
    grpc::CallbackServerContext* context, const v1::GetProcedureRequest* request,
    v1::GetProcedureResponse* response) {
  return new UnaryCall(runtime_, runtime_.queries, "GetProcedure", context,
                       [this, request, response](const StopFunction&) -> absl::Status {
                         ASSIGN_OR_RETURN(*response,
                                          service::GetProcedure(engine_, *request));
                         return absl::OkStatus();
                       });
}

}  // namespace ratebound::service
