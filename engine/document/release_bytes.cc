#include "engine/document/release_bytes.h"

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/document/convert.h"
#include "engine/document/digest.h"
#include "engine/document/message_items.h"

namespace ratebound::document {
namespace {

absl::Status CheckSize(size_t byte_count) {
  if (byte_count <= kMostReleaseBytes) return absl::OkStatus();
  return absl::ResourceExhaustedError(absl::StrCat(
      "a release of ", byte_count, " bytes; at most ", kMostReleaseBytes, " are stored"));
}

absl::StatusOr<v1::Release> ParseMessage(std::string_view bytes) {
  RETURN_IF_ERROR(CheckSize(bytes.size()));
  RETURN_IF_ERROR(CheckItems(bytes, *v1::Release::descriptor(), "a release"));
  v1::Release message;
  if (!message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
    return absl::InvalidArgumentError("these bytes are no release");
  }
  return message;
}

}  // namespace

absl::StatusOr<ReleaseBytes> SerializeRelease(const Release& release) {
  const v1::Release message = ToMessage(release);
  RETURN_IF_ERROR(CheckSize(message.ByteSizeLong()));
  ReleaseBytes result;
  const auto digest = Digest(message);
  if (!digest.ok()) return absl::InternalError(digest.status().message());
  result.digest = *digest;
  {
    // The streams cut the string to its length when they end, so they end before it is
    // moved.
    google::protobuf::io::StringOutputStream stream(&result.bytes);
    google::protobuf::io::CodedOutputStream coded(&stream);
    coded.SetSerializationDeterministic(true);
    if (!message.SerializeToCodedStream(&coded)) {
      return absl::InternalError("a text of the release is not UTF-8");
    }
  }
  return result;
}

absl::StatusOr<Release> ParseRelease(std::string_view bytes) {
  ASSIGN_OR_RETURN(const v1::Release message, ParseMessage(bytes));
  return FromMessage(message);
}

absl::StatusOr<std::string> DigestOfReleaseBytes(std::string_view bytes) {
  ASSIGN_OR_RETURN(const v1::Release message, ParseMessage(bytes));
  return Digest(message);
}

}  // namespace ratebound::document
