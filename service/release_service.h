// ReleaseService: releases kept in the store. See
// proto/ratebound/v1/release_service.proto.
#ifndef RATEBOUND_SERVICE_RELEASE_SERVICE_H_
#define RATEBOUND_SERVICE_RELEASE_SERVICE_H_

#include "ratebound/v1/release_service.grpc.pb.h"
#include "service/call.h"
#include "service/engine.h"
#include "service/release_library.h"

namespace ratebound::service {

// Everything given must outlive the service. Thread-safety: as gRPC needs it.
class ReleaseService final : public v1::ReleaseService::CallbackService {
 public:
  ReleaseService(Runtime& runtime, const Engine& engine, ReleaseLibrary& library)
      : runtime_(runtime), engine_(engine), library_(library) {}

  grpc::ServerReadReactor<v1::PublishReleaseRequest>* PublishRelease(
      grpc::CallbackServerContext* context,
      v1::PublishReleaseResponse* response) override;
  grpc::ServerWriteReactor<v1::GetReleaseResponse>* GetRelease(
      grpc::CallbackServerContext* context,
      const v1::GetReleaseRequest* request) override;
  grpc::ServerUnaryReactor* ListReleases(grpc::CallbackServerContext* context,
                                         const v1::ListReleasesRequest* request,
                                         v1::ListReleasesResponse* response) override;
  grpc::ServerUnaryReactor* CompareReleases(
      grpc::CallbackServerContext* context, const v1::CompareReleasesRequest* request,
      v1::CompareReleasesResponse* response) override;

 private:
  Runtime& runtime_;
  const Engine& engine_;
  ReleaseLibrary& library_;
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_RELEASE_SERVICE_H_
