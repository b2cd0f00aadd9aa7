#include "engine/base/fault.h"

#include <optional>
#include <utility>

#include "absl/strings/cord.h"
#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "absl/strings/str_split.h"

namespace ratebound::base {
namespace {

constexpr char kPayloadType[] = "ratebound/faults";
// ASCII unit and record separators; neither can stand in a message made by Printable.
constexpr char kFieldEnd = '\x1f';
constexpr char kRecordEnd = '\x1e';

std::string Encode(const std::vector<Fault>& faults) {
  std::string encoded;
  for (const Fault& fault : faults) {
    for (const std::string& part :
         {fault.file, absl::StrCat(fault.line), absl::StrCat(fault.column), fault.field,
          fault.message, fault.remedy}) {
      for (char c : part) encoded.push_back(c == kFieldEnd || c == kRecordEnd ? ' ' : c);
      encoded.push_back(kFieldEnd);
    }
    encoded.push_back(kRecordEnd);
  }
  return encoded;
}

std::vector<Fault> Decode(const std::string& encoded) {
  std::vector<Fault> faults;
  for (absl::string_view record :
       absl::StrSplit(encoded, kRecordEnd, absl::SkipEmpty())) {
    const std::vector<std::string> parts = absl::StrSplit(record, kFieldEnd);
    if (parts.size() < 6) continue;
    Fault fault{
        .file = parts[0], .field = parts[3], .message = parts[4], .remedy = parts[5]};
    if (!absl::SimpleAtoi(parts[1], &fault.line)) fault.line = 0;
    if (!absl::SimpleAtoi(parts[2], &fault.column)) fault.column = 0;
    faults.push_back(std::move(fault));
  }
  return faults;
}

}  // namespace

std::string Fault::ToString() const {
  std::string text = file;
  if (line > 0) absl::StrAppend(&text, ":", line);
  if (line > 0 && column > 0) absl::StrAppend(&text, ":", column);
  if (!text.empty()) absl::StrAppend(&text, ": ");
  if (!field.empty()) absl::StrAppend(&text, field, ": ");
  absl::StrAppend(&text, message);
  if (!remedy.empty()) absl::StrAppend(&text, "; ", remedy);
  return text;
}

void FaultList::Add(Fault fault) {
  ++total_;
  if (total_ <= kMostKept) faults_.push_back(std::move(fault));
}

void FaultList::AddStatus(const absl::Status& status) {
  if (status.ok()) return;
  std::vector<Fault> carried = FaultsOf(status);
  if (carried.empty()) carried.push_back({.message = std::string(status.message())});
  for (Fault& fault : carried) Add(std::move(fault));
}

absl::Status FaultList::ToStatus() const {
  if (faults_.empty()) return absl::OkStatus();
  std::vector<std::string> lines;
  for (const Fault& fault : faults_) lines.push_back(fault.ToString());
  const int left_out = total_ - static_cast<int>(faults_.size());
  if (left_out > 0) lines.push_back(absl::StrCat("and ", left_out, " more"));
  absl::Status status = absl::InvalidArgumentError(absl::StrJoin(lines, "\n"));
  status.SetPayload(kPayloadType, absl::Cord(Encode(faults_)));
  return status;
}

std::vector<Fault> FaultsOf(const absl::Status& status) {
  const auto payload = status.GetPayload(kPayloadType);
  return payload.has_value() ? Decode(std::string(*payload)) : std::vector<Fault>{};
}

}  // namespace ratebound::base
