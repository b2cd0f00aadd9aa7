// A release as bytes: what a store keeps and GetRelease sends.
//
// Example:
//   ASSIGN_OR_RETURN(ReleaseBytes stored, SerializeRelease(release));
//   ASSIGN_OR_RETURN(Release again, ParseRelease(stored.bytes));
//
// The same release gives the same bytes and the same digest. The digest is that of the
// canonical form (engine/document/digest.h) and not of the bytes, which another version
// of protobuf may write otherwise. Thread-safety: both functions may be called
// concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_RELEASE_BYTES_H_
#define RATEBOUND_ENGINE_DOCUMENT_RELEASE_BYTES_H_

#include <string>
#include <string_view>

#include "absl/status/statusor.h"
#include "engine/document/release.h"

namespace ratebound::document {

inline constexpr size_t kMostReleaseBytes = size_t{256} << 20;

struct ReleaseBytes {
  std::string bytes;
  std::string digest;  // SHA-256 of the canonical form, 64 hexadecimal digits
};

// RESOURCE_EXHAUSTED over kMostReleaseBytes; INTERNAL where a value is not finite.
absl::StatusOr<ReleaseBytes> SerializeRelease(const Release& release);

// INVALID_ARGUMENT for bytes that are no release, or one that FromMessage refuses;
// RESOURCE_EXHAUSTED over kMostReleaseBytes.
absl::StatusOr<Release> ParseRelease(std::string_view bytes);

// The digest of a release that came as bytes, to hold it against the one it was stored
// under.
absl::StatusOr<std::string> DigestOfReleaseBytes(std::string_view bytes);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_RELEASE_BYTES_H_
