#include "engine/document/sha256.h"

#include <string>

#include "gtest/gtest.h"

namespace ratebound::document {
namespace {

struct Vector {
  std::string name;
  std::string bytes;
  std::string digest;
};

class Sha256Vector : public ::testing::TestWithParam<Vector> {};

TEST_P(Sha256Vector, IsReproduced) {
  EXPECT_EQ(Sha256Hex(GetParam().bytes), GetParam().digest);
}

// FIPS 180-4 refers to the examples of NIST's Cryptographic Standards and Guidelines,
// SHA-256: one block, two blocks, and the million letters of FIPS 180-2 appendix B.3.
// From memory, and the same in coreutils' sha256sum.
INSTANTIATE_TEST_SUITE_P(
    Published, Sha256Vector,
    ::testing::Values(
        Vector{"Empty", "",
               "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
        Vector{"OneBlock", "abc",
               "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
        Vector{"TwoBlocks", "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
               "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
        Vector{"MillionLetters", std::string(1000000, 'a'),
               "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"}),
    [](const ::testing::TestParamInfo<Vector>& test) { return test.param.name; });

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
