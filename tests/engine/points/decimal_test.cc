#include "engine/points/decimal.h"

#include <bit>
#include <charconv>
#include <string>

#include "absl/strings/str_format.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

// Value bits, error and length must be those of std::from_chars.
void ExpectLikeFromChars(const std::string& number, std::string_view behind) {
  const std::string text = number + std::string(behind);
  SCOPED_TRACE(text);
  double ours = -7;
  double theirs = -7;
  const DecimalEnd end = ReadDecimal(text, &ours);
  const auto expected = std::from_chars(text.data(), text.data() + text.size(), theirs);
  EXPECT_EQ(end.next, expected.ptr);
  EXPECT_EQ(end.error, expected.ec);
  EXPECT_EQ(std::bit_cast<uint64_t>(ours), std::bit_cast<uint64_t>(theirs));
}

// Alone (the long way) and with more text behind (the short way).
void ExpectLikeFromChars(const std::string& number) {
  ExpectLikeFromChars(number, "");
  ExpectLikeFromChars(number, ",85.25,-7.5,1234.5,0.001,99999999\n");
  ExpectLikeFromChars(number, "\r\n0123456789012345678901234567890123456789");
}

TEST(ReadDecimalTest, HasTheBitsOfFromCharsOnHandPickedTexts) {
  for (const char* text : {"0",
                           "-0",
                           "-0.0",
                           "85.25",
                           "85.",
                           ".5",
                           "-.5",
                           "-",
                           ".",
                           "",
                           "e5",
                           "1e5",
                           "1e",
                           "1e+",
                           "1E-3x",
                           "+1",
                           " 1",
                           "0x10",
                           "nan",
                           "inf",
                           "9007199254740992",
                           "9007199254740993",
                           "9007199254740992.5",
                           "0.000000000000000001",
                           "123456789012345678",
                           "1234567890123456789",
                           "99999999999999999999",
                           "1e400",
                           "1e-400",
                           "4.9e-324",
                           "1,2",
                           "00000000000000000000001.5",
                           "0.1",
                           "0.3",
                           "2.2250738585072011e-308",
                           "8.5.1",
                           "1-2",
                           "12abc"}) {
    ExpectLikeFromChars(text);
  }
}

TEST(ReadDecimalTest, HasTheBitsOfFromCharsOnRandomDecimals) {
  testing::Random random("READ_DECIMAL_HAS_THE_BITS_OF_FROM_CHARS");
  for (int i = 0; i < 200000; ++i) {
    std::string text(random.Integer(0, 1), '-');
    for (int n = random.Integer(0, 10); n > 0; --n)
      text += char('0' + random.Integer(0, 9));
    if (random.Integer(0, 3)) text += ".";
    for (int n = random.Integer(0, 12); n > 0; --n)
      text += char('0' + random.Integer(0, 9));
    ExpectLikeFromChars(text);
  }
  for (int i = 0; i < 50000; ++i) {
    ExpectLikeFromChars(absl::StrFormat("%.*g", random.Integer(1, 17),
                                        random.Normal() * random.Uniform(0, 1e5)));
  }
}

}  // namespace
}  // namespace ratebound::points
