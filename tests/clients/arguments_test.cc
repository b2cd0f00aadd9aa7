#include "clients/cli/arguments.h"

#include <string>
#include <vector>

#include "clients/cli/commands.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::cli {
namespace {

using ::testing::HasSubstr;

absl::StatusOr<Arguments> Parse(const std::vector<std::string>& words) {
  return ParseArguments(Commands(), words);
}

TEST(ParseArguments, OptionsMayStandBeforeOrAfterAndTakeEitherForm) {
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"rate", "folder", "--unit", "a", "--explain"},
        std::vector<std::string>{"rate", "--unit=a", "--explain", "folder"}}) {
    ASSERT_OK_AND_ASSIGN(const Arguments arguments, Parse(words));
    EXPECT_EQ(arguments.command, "rate");
    EXPECT_EQ(arguments.positionals, std::vector<std::string>{"folder"});
    EXPECT_EQ(arguments.Get("unit"), "a");
    EXPECT_TRUE(arguments.Has("explain"));
    EXPECT_FALSE(arguments.Has("procedure"));
  }
}

TEST(ParseArguments, DoubleDashEndsTheOptions) {
  ASSERT_OK_AND_ASSIGN(const Arguments arguments, Parse({"check", "--", "--odd-name"}));
  EXPECT_EQ(arguments.positionals, std::vector<std::string>{"--odd-name"});
}

struct Refused {
  std::vector<std::string> words;
  std::string message;
};
class ParseArgumentsRefuses : public ::testing::TestWithParam<Refused> {};
TEST_P(ParseArgumentsRefuses, AndSaysWhatWasExpected) {
  EXPECT_THAT(Parse(GetParam().words),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr(GetParam().message)));
}
INSTANTIATE_TEST_SUITE_P(
    Cases, ParseArgumentsRefuses,
    ::testing::Values(
        Refused{{"verfy", "x"}, "did you mean 'verify'? See ratebound --help"},
        Refused{{"rate"}, "takes LINE"}, Refused{{"rate", "a", "b"}, "takes LINE"},
        Refused{{"rate", "a", "--explian"},
                "did you mean '--explain'? See ratebound rate --help"},
        Refused{{"rate", "a", "--unit"}, "needs a value"},
        Refused{{"rate", "a", "--explain=yes"}, "takes no value"},
        Refused{{"rate", "a", "--unit", "b", "--unit", "c"}, "given twice"},
        Refused{{"rate", "a", "--output", "yaml"}, "none of text, json, csv"}));

TEST(HelpText, NamesEveryCommandAndEveryOption) {
  const std::string all = HelpText(Commands());
  for (const Command& command : Commands()) {
    EXPECT_THAT(all, HasSubstr("  " + command.name));
    for (const Option& option : command.options) {
      EXPECT_THAT(HelpText(command), HasSubstr("--" + option.name));
    }
  }
}

}  // namespace
}  // namespace ratebound::cli
