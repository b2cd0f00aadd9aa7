#include "service/status.h"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "absl/strings/cord.h"
#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_split.h"
#include "engine/base/fault.h"
#include "engine/base/text.h"
#include "google/rpc/error_details.pb.h"
#include "google/rpc/status.pb.h"

namespace ratebound::service {
namespace {

constexpr char kReasonPayload[] = "ratebound/reason";
constexpr char kRetryPayload[] = "ratebound/retry_ms";
constexpr int kDefaultRetryMs = 1000;
// A fault's own text may be long; the rest of it is in the file anyway.
constexpr int kViolationBytes = 300;

// gRPC percent-encodes all but printable ASCII, and '%' itself.
int EncodedSize(std::string_view text) {
  int size = 0;
  for (char c : text) size += c >= 0x20 && c <= 0x7e && c != '%' ? 1 : 3;
  return size;
}

// Line by line, because Printable shows a line end as \x0a.
std::string PrintableLines(std::string_view text) {
  std::string printable;
  for (absl::string_view line : absl::StrSplit(base::Absl(text), '\n')) {
    if (!printable.empty()) printable.push_back('\n');
    printable += base::Printable(base::Std(line), kMessageBytes);
    if (static_cast<int>(printable.size()) > kMessageBytes) break;
  }
  return printable;
}

std::string CutMessage(std::string_view text) {
  std::string message = PrintableLines(text);
  if (EncodedSize(message) <= kMessageBytes) return message;
  constexpr char kCut[] = " ...";
  while (EncodedSize(message) > kMessageBytes - EncodedSize(kCut)) {
    message.pop_back();
    while (!message.empty() && !base::IsUtf8(message)) message.pop_back();
  }
  return message + kCut;
}

std::optional<std::string> Payload(const absl::Status& status, const char* type) {
  const absl::optional<absl::Cord> payload = status.GetPayload(type);
  if (!payload.has_value()) return std::nullopt;
  return std::string(*payload);
}

void AddRetry(const absl::Status& status, google::rpc::Status* wire) {
  const std::optional<std::string> text = Payload(status, kRetryPayload);
  if (!text.has_value() && status.code() != absl::StatusCode::kResourceExhausted) return;
  int retry_ms = kDefaultRetryMs;
  if (text.has_value() && !absl::SimpleAtoi(*text, &retry_ms)) retry_ms = kDefaultRetryMs;
  google::rpc::RetryInfo retry;
  retry.mutable_retry_delay()->set_seconds(retry_ms / 1000);
  retry.mutable_retry_delay()->set_nanos(retry_ms % 1000 * 1'000'000);
  wire->add_details()->PackFrom(retry);
}

std::string PlaceOf(const base::Fault& fault) {
  std::string place = fault.file;
  if (fault.line > 0) absl::StrAppend(&place, ":", fault.line);
  if (fault.line > 0 && fault.column > 0) absl::StrAppend(&place, ":", fault.column);
  if (!fault.field.empty())
    absl::StrAppend(&place, place.empty() ? "" : ": ", fault.field);
  return base::Printable(place, kViolationBytes);
}

void AddViolation(const base::Fault& fault, google::rpc::BadRequest* bad_request) {
  google::rpc::BadRequest::FieldViolation* violation =
      bad_request->add_field_violations();
  violation->set_field(PlaceOf(fault));
  std::string description = fault.message;
  if (!fault.remedy.empty()) absl::StrAppend(&description, "; ", fault.remedy);
  violation->set_description(base::Printable(description, kViolationBytes));
}

void AddMore(int count, google::rpc::BadRequest* bad_request) {
  if (count > 0) {
    bad_request->add_field_violations()->set_description(
        absl::StrCat("and ", count, " more"));
  }
}

// A list that kept only its first faults says how many it left out in the last line.
int LeftOutCount(const absl::Status& status) {
  const std::string message(status.message());
  const std::vector<std::string> words =
      absl::StrSplit(message.substr(message.rfind('\n') + 1), ' ');
  int count = 0;
  const bool says_so = words.size() == 3 && words[0] == "and" && words[2] == "more" &&
                       absl::SimpleAtoi(words[1], &count);
  return says_so ? count : 0;
}

// The most faults that fit `room` bytes, at most kViolationCount. An Any around the
// message adds its type name and a few bytes of lengths.
void AddFaults(const std::vector<base::Fault>& faults, int left_out, int room,
               google::rpc::Status* wire) {
  constexpr int kAnyBytes = 64;
  constexpr int kMoreBytes = 40;
  google::rpc::BadRequest bad_request;
  int shown = 0;
  for (const base::Fault& fault : faults) {
    if (shown == kViolationCount) break;
    AddViolation(fault, &bad_request);
    if (static_cast<int>(bad_request.ByteSizeLong()) + kAnyBytes + kMoreBytes > room) {
      bad_request.mutable_field_violations()->RemoveLast();
      break;
    }
    ++shown;
  }
  AddMore(static_cast<int>(faults.size()) - shown + left_out, &bad_request);
  wire->add_details()->PackFrom(bad_request);
}

base::Fault FaultOf(const google::rpc::BadRequest::FieldViolation& violation) {
  return {.field = violation.field(), .message = violation.description()};
}

}  // namespace

std::string CodeName(absl::StatusCode code) { return absl::StatusCodeToString(code); }

absl::Status WithReason(absl::Status status, std::string_view reason) {
  status.SetPayload(kReasonPayload, absl::Cord(base::Absl(reason)));
  return status;
}

absl::Status WithRetryAfter(absl::Status status, std::chrono::milliseconds delay) {
  status.SetPayload(kRetryPayload, absl::Cord(absl::StrCat(delay.count())));
  return status;
}

grpc::Status ToGrpcStatus(const absl::Status& status) {
  if (status.ok()) return grpc::Status::OK;
  const std::string message = CutMessage(base::Std(status.message()));
  google::rpc::Status wire;
  wire.set_code(static_cast<int>(status.code()));
  google::rpc::ErrorInfo info;
  info.set_domain(kErrorDomain);
  info.set_reason(base::Printable(
      Payload(status, kReasonPayload).value_or(CodeName(status.code())), 63));
  wire.add_details()->PackFrom(info);
  AddRetry(status, &wire);
  const std::vector<base::Fault> faults = base::FaultsOf(status);
  if (faults.empty()) {
    wire.set_message(message);
  } else {
    AddFaults(faults, LeftOutCount(status),
              kDetailBytes - static_cast<int>(wire.ByteSizeLong()), &wire);
  }
  return grpc::Status(static_cast<grpc::StatusCode>(status.code()), message,
                      wire.SerializeAsString());
}

absl::Status FromGrpcStatus(const grpc::Status& status) {
  if (status.ok()) return absl::OkStatus();
  google::rpc::Status wire;
  base::FaultList faults;
  if (wire.ParseFromString(status.error_details())) {
    for (const google::protobuf::Any& detail : wire.details()) {
      google::rpc::BadRequest bad_request;
      if (!detail.UnpackTo(&bad_request)) continue;
      for (const auto& violation : bad_request.field_violations()) {
        faults.Add(FaultOf(violation));
      }
    }
  }
  if (!faults.empty() && status.error_code() == grpc::StatusCode::INVALID_ARGUMENT) {
    return faults.ToStatus();
  }
  return absl::Status(static_cast<absl::StatusCode>(status.error_code()),
                      status.error_message());
}

}  // namespace ratebound::service
