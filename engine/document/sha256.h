// SHA-256 (FIPS 180-4) of bytes, in lower-case hexadecimal.
//
// Example:
//   Sha256Hex("abc") ->
//   "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
//
// Errors: none that a caller could mend; libcrypto failing to give a digest aborts.
// Thread-safety: Sha256Hex may be called concurrently; a Sha256 belongs to one thread at
// a time.
#ifndef RATEBOUND_ENGINE_DOCUMENT_SHA256_H_
#define RATEBOUND_ENGINE_DOCUMENT_SHA256_H_

#include <memory>
#include <string>
#include <string_view>

namespace ratebound::document {

std::string Sha256Hex(std::string_view bytes);

// The same for bytes that come in pieces.
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(const Sha256&) = delete;
  Sha256& operator=(const Sha256&) = delete;

  void Update(std::string_view bytes);
  // The digest of everything so far; starts again from nothing.
  std::string FinishHex();

 private:
  struct Context;
  std::unique_ptr<Context> context_;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_SHA256_H_
