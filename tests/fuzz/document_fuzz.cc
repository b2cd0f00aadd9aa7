// Any bytes as a manifest, claims, a procedure and a stored release: reading must neither
// crash nor hang, refuse only with a reason, and what it accepts must come back equal
// from a message.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "engine/base/fault.h"
#include "engine/document/convert.h"
#include "engine/document/digest.h"
#include "engine/document/release_bytes.h"
#include "engine/document/text.h"

namespace ratebound::document {
namespace {

void Require(bool holds) {
  if (!holds) std::abort();
}

template <typename Plain>
void RequireSameAgain(const absl::StatusOr<Plain>& read) {
  if (!read.ok()) {
    Require(!base::FaultsOf(read.status()).empty());
    return;
  }
  const auto message = ToMessage(*read);
  const auto again = FromMessage(message);
  Require(again.ok() && *again == *read);
  Require(Digest(message).ok());
}

void ReadAll(std::string_view bytes) {
  const auto manifest = ParseLineManifest("f", bytes);
  RequireSameAgain(manifest);
  RequireSameAgain(ParseProcedure("f", bytes));
  const auto claims = ParseClaims("f", bytes);
  Require(claims.ok() || !base::FaultsOf(claims.status()).empty());
  if (claims.ok()) Require(claims->claims.size() == claims->places.size());

  const auto release = ParseRelease(bytes);
  if (!release.ok()) return;
  const auto stored = SerializeRelease(*release);
  Require(stored.ok());
  const auto again = ParseRelease(stored->bytes);
  Require(again.ok() && *again == *release);
}

}  // namespace
}  // namespace ratebound::document

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  ratebound::document::ReadAll({reinterpret_cast<const char*>(data), size});
  return 0;
}
