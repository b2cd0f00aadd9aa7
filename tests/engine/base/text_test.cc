#include "engine/base/text.h"

#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::base {
namespace {

TEST(ShortestText, ReadsBackToTheSameBits) {
  testing::Random random("SHORTEST_TEXT_ROUND_TRIP");
  for (int i = 0; i < 2000; ++i) {
    const double value = random.Uniform(-1e6, 1e6) * random.Uniform(0, 1e-3);
    EXPECT_EQ(ParseFiniteNumber(ShortestText(value)), value);
  }
}

struct NumberCase {
  const char* text;
  std::optional<double> want;
};
class ParseFiniteNumberTest : public ::testing::TestWithParam<NumberCase> {};
TEST_P(ParseFiniteNumberTest, ReadsDecimalsAndRefusesTheRest) {
  EXPECT_EQ(ParseFiniteNumber(GetParam().text), GetParam().want) << GetParam().text;
}
INSTANTIATE_TEST_SUITE_P(
    Cases, ParseFiniteNumberTest,
    ::testing::Values(NumberCase{"85", 85.0}, NumberCase{"-0.5e1", -5.0},
                      NumberCase{".5", 0.5}, NumberCase{"", {}}, NumberCase{"nan", {}},
                      NumberCase{"inf", {}}, NumberCase{"1e999", {}},
                      NumberCase{"1.0x", {}}, NumberCase{" 1", {}}, NumberCase{"+1", {}},
                      NumberCase{"0x10", {}}, NumberCase{"1,5", {}}));

TEST(IsUtf8, AcceptsWellFormedAndRefusesTheRest) {
  for (const char* good : {"", "plain", "\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x98\x80"}) {
    EXPECT_TRUE(IsUtf8(good)) << good;
  }
  // Overlong slash, surrogate, past U+10FFFF, lone continuation, cut character.
  for (const char* bad :
       {"\xC0\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\x80", "\xE2\x82"}) {
    EXPECT_FALSE(IsUtf8(bad));
  }
}

TEST(Printable, EscapesControlBytesAndCutsLongText) {
  EXPECT_EQ(Printable("a\nb\xFF"), "a\\x0ab\\xff");
  EXPECT_EQ(Printable(std::string(100, 'x'), 5), "xxxxx...");
}

}  // namespace
}  // namespace ratebound::base
