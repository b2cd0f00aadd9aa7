#include "tests/service/health_client.h"

#include <google/protobuf/unknown_field_set.h>
#include <grpcpp/client_context.h>
#include <grpcpp/completion_queue.h>
#include <grpcpp/generic/generic_stub.h>
#include <grpcpp/support/byte_buffer.h>

#include <chrono>
#include <memory>

namespace ratebound::service {
namespace {

using google::protobuf::UnknownFieldSet;

constexpr int kHealthService = 1;  // HealthCheckRequest.service
constexpr int kHealthStatus = 1;   // HealthCheckResponse.status
constexpr uint64_t kServing = 1;   // ServingStatus.SERVING
constexpr int kListServices = 7;   // ServerReflectionRequest.list_services
constexpr int kListServicesResponse =
    6;                           // ServerReflectionResponse.list_services_response
constexpr int kService = 1;      // ListServiceResponse.service
constexpr int kServiceName = 1;  // ServiceResponse.name

grpc::ByteBuffer ToBuffer(const UnknownFieldSet& fields) {
  std::string bytes;
  fields.SerializeToString(&bytes);
  const grpc::Slice slice(bytes);
  return grpc::ByteBuffer(&slice, 1);
}

void Read(const grpc::ByteBuffer& buffer, UnknownFieldSet* fields) {
  grpc::Slice slice;
  if (buffer.DumpToSingleSlice(&slice).ok()) {
    fields->ParseFromArray(slice.begin(), static_cast<int>(slice.size()));
  }
}

// Waits for the one operation under way.
bool Next(grpc::CompletionQueue& queue) {
  void* tag = nullptr;
  bool ok = false;
  return queue.Next(&tag, &ok) && ok;
}

void SetDeadline(grpc::ClientContext& context) {
  context.set_deadline(std::chrono::system_clock::now() + std::chrono::seconds(60));
}

}  // namespace

Health CheckHealth(const std::shared_ptr<grpc::Channel>& channel,
                   const std::string& service) {
  UnknownFieldSet request;
  request.AddLengthDelimited(kHealthService, service);
  grpc::GenericStub stub(channel);
  grpc::ClientContext context;
  SetDeadline(context);
  grpc::CompletionQueue queue;
  const auto call = stub.PrepareUnaryCall(&context, "/grpc.health.v1.Health/Check",
                                          ToBuffer(request), &queue);
  call->StartCall();
  grpc::ByteBuffer response;
  grpc::Status status;
  call->Finish(&response, &status, nullptr);
  Next(queue);
  if (!status.ok()) return Health::kUnknown;
  UnknownFieldSet fields;
  Read(response, &fields);
  for (int i = 0; i < fields.field_count(); ++i) {
    if (fields.field(i).number() == kHealthStatus &&
        fields.field(i).varint() == kServing) {
      return Health::kServing;
    }
  }
  return Health::kNotServing;
}

std::set<std::string> ListServices(const std::shared_ptr<grpc::Channel>& channel) {
  UnknownFieldSet request;
  request.AddLengthDelimited(kListServices, "*");
  grpc::GenericStub stub(channel);
  grpc::ClientContext context;
  SetDeadline(context);
  grpc::CompletionQueue queue;
  const auto call = stub.PrepareCall(
      &context, "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo", &queue);
  std::set<std::string> names;
  grpc::ByteBuffer response;
  call->StartCall(nullptr);
  if (!Next(queue)) return names;
  call->Write(ToBuffer(request), nullptr);
  if (!Next(queue)) return names;
  call->Read(&response, nullptr);
  if (!Next(queue)) return names;
  UnknownFieldSet fields;
  Read(response, &fields);
  for (int i = 0; i < fields.field_count(); ++i) {
    if (fields.field(i).number() != kListServicesResponse) continue;
    UnknownFieldSet list;
    list.ParseFromString(fields.field(i).length_delimited());
    for (int k = 0; k < list.field_count(); ++k) {
      if (list.field(k).number() != kService) continue;
      UnknownFieldSet service;
      service.ParseFromString(list.field(k).length_delimited());
      for (int n = 0; n < service.field_count(); ++n) {
        if (service.field(n).number() == kServiceName) {
          names.insert(service.field(n).length_delimited());
        }
      }
    }
  }
  call->WritesDone(nullptr);
  Next(queue);
  grpc::Status status;
  call->Finish(&status, nullptr);
  Next(queue);
  return names;
}

}  // namespace ratebound::service
