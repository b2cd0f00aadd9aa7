// Health and reflection asked by hand: the packaged gRPC has no stubs for them, so the
// messages, which are few and small, are written and read as wire format.
#ifndef RATEBOUND_TESTS_SERVICE_HEALTH_CLIENT_H_
#define RATEBOUND_TESTS_SERVICE_HEALTH_CLIENT_H_

#include <grpcpp/channel.h>

#include <memory>
#include <set>
#include <string>

namespace ratebound::service {

enum class Health { kServing, kNotServing, kUnknown };

// grpc.health.v1.Health/Check (grpc/doc/health-checking.md). kUnknown for NOT_FOUND.
Health CheckHealth(const std::shared_ptr<grpc::Channel>& channel,
                   const std::string& service);

// grpc.reflection.v1alpha.ServerReflection, list_services: the full names.
std::set<std::string> ListServices(const std::shared_ptr<grpc::Channel>& channel);

}  // namespace ratebound::service

#endif  // RATEBOUND_TESTS_SERVICE_HEALTH_CLIENT_H_
