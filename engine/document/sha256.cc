#include "engine/document/sha256.h"

#include <openssl/evp.h>

#include <cstdlib>

#include "absl/strings/escaping.h"

namespace ratebound::document {
namespace {

// SHA-256 takes any input, so a failure here is a broken libcrypto or no memory: a digest
// that might be wrong must not leave this file.
void Require(int result) {
  if (result != 1) std::abort();
}

}  // namespace

struct Sha256::Context {
  EVP_MD_CTX* evp = EVP_MD_CTX_new();
  ~Context() { EVP_MD_CTX_free(evp); }
};

Sha256::Sha256() : context_(std::make_unique<Context>()) {
  Require(context_->evp == nullptr ? 0 : 1);
  Require(EVP_DigestInit_ex(context_->evp, EVP_sha256(), nullptr));
}

Sha256::~Sha256() = default;

void Sha256::Update(std::string_view bytes) {
  Require(EVP_DigestUpdate(context_->evp, bytes.data(), bytes.size()));
}

std::string Sha256::FinishHex() {
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  Require(EVP_DigestFinal_ex(context_->evp, digest, &size));
  Require(EVP_DigestInit_ex(context_->evp, EVP_sha256(), nullptr));
  return absl::BytesToHexString(
      absl::string_view(reinterpret_cast<const char*>(digest), size));
}

std::string Sha256Hex(std::string_view bytes) {
  Sha256 hash;
  hash.Update(bytes);
  return hash.FinishHex();
}

}  // namespace ratebound::document
