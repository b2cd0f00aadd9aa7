#include "engine/document/message_items.h"

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/wire_format_lite.h>

#include <algorithm>
#include <cstdint>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::document {
namespace {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;
using google::protobuf::internal::WireFormatLite;
using google::protobuf::io::CodedInputStream;

constexpr int64_t kAlwaysTaken = 100'000;
constexpr int64_t kBytesOfAnItem = 8;
constexpr int kMostDepth = 100;  // protobuf's own limit

enum class Count { kDone, kTooMany, kNoMessage };

Count CountItems(CodedInputStream& in, const Descriptor& type, int depth, int64_t& left) {
  while (const uint32_t tag = in.ReadTag()) {
    const FieldDescriptor* const field =
        type.FindFieldByNumber(WireFormatLite::GetTagFieldNumber(tag));
    const bool delimited =
        WireFormatLite::GetTagWireType(tag) == WireFormatLite::WIRETYPE_LENGTH_DELIMITED;
    if (field == nullptr || !delimited || field->is_packable()) {
      if (!WireFormatLite::SkipField(&in, tag)) return Count::kNoMessage;
      continue;
    }
    if (--left < 0) return Count::kTooMany;
    if (field->message_type() == nullptr) {
      if (!WireFormatLite::SkipField(&in, tag)) return Count::kNoMessage;
      continue;
    }
    if (depth == 0) return Count::kTooMany;
    uint32_t length = 0;
    if (!in.ReadVarint32(&length)) return Count::kNoMessage;
    const CodedInputStream::Limit limit = in.PushLimit(static_cast<int>(length));
    const Count inner = CountItems(in, *field->message_type(), depth - 1, left);
    if (inner != Count::kDone) return inner;
    in.PopLimit(limit);
  }
  return in.ConsumedEntireMessage() ? Count::kDone : Count::kNoMessage;
}

}  // namespace

absl::Status CheckItems(std::string_view bytes, const Descriptor& type,
                        std::string_view what) {
  const auto size = static_cast<int64_t>(bytes.size());
  int64_t left = std::max(kAlwaysTaken, size / kBytesOfAnItem);
  CodedInputStream in(reinterpret_cast<const uint8_t*>(bytes.data()),
                      static_cast<int>(bytes.size()));
  if (CountItems(in, type, kMostDepth, left) != Count::kTooMany) {
    return absl::OkStatus();
  }
  return absl::ResourceExhaustedError(absl::StrCat(
      base::Absl(what), " of ", size,
      " bytes holds more parts than its size accounts for; none that was written here "
      "does"));
}

}  // namespace ratebound::document
