#include "engine/document/sha256.h"

#include <string>

#include "gtest/gtest.h"
#include "tests/testing/outside.h"

namespace ratebound::document {
namespace {

struct Vector {
  std::string name;
  std::string bytes;
  std::string digest;
};

// FIPS 180-4 refers to the examples of NIST's Cryptographic Standards and Guidelines,
// SHA-256: one block, two blocks, and the million letters of FIPS 180-2 appendix B.3.
// From memory, and the same in coreutils' sha256sum.
TEST(Sha256, ReproducesPublishedVectors) {
  const Vector kVectors[] = {
      {"Empty", "", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
      {"OneBlock", "abc",
       "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
      {"TwoBlocks", "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
       "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
      {"MillionLetters", std::string(1000000, 'a'),
       "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"}};
  ratebound::testing::OutsideCheck check(
      {.name = "document.sha256_vectors",
       .source =
           "FIPS 180-4, examples of NIST's Cryptographic Standards and Guidelines; FIPS "
           "180-2, B.3 (from memory)",
       .tolerance = 0});
  for (const Vector& c : kVectors) {
    check.Holds(c.name, Sha256Hex(c.bytes) == c.digest);
    EXPECT_EQ(Sha256Hex(c.bytes), c.digest) << c.name;
  }
}

TEST(Sha256, PiecesGiveTheDigestOfTheWhole) {
  const std::string bytes(1000, 'x');
  for (size_t cut : {size_t{0}, size_t{1}, size_t{63}, size_t{64}, size_t{1000}}) {
    Sha256 hash;
    hash.Update(std::string_view(bytes).substr(0, cut));
    hash.Update(std::string_view(bytes).substr(cut));
    EXPECT_EQ(hash.FinishHex(), Sha256Hex(bytes)) << cut;
  }
}

TEST(Sha256, StartsAgainAfterFinishing) {
  Sha256 hash;
  hash.Update("something else");
  hash.FinishHex();
  hash.Update("abc");
  EXPECT_EQ(hash.FinishHex(), Sha256Hex("abc"));
}

}  // namespace
}  // namespace ratebound::document
