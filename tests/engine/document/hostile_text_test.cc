// Files that nobody writes in good faith give an error, neither a crash nor a long wait.
#include <algorithm>
#include <string>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::HasSubstr;

std::string Repeated(std::string_view text, int count) {
  std::string all;
  all.reserve(text.size() * static_cast<size_t>(count));
  for (int i = 0; i < count; ++i) all.append(text);
  return all;
}

struct HostileFile {
  std::string name;
  std::string bytes;
  std::string want;
};

class HostileText : public ::testing::TestWithParam<HostileFile> {};

TEST_P(HostileText, IsRefused) {
  const auto& file = GetParam();
  const auto want = StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(file.want));
  EXPECT_THAT(ParseLineManifest("f", file.bytes), want);
  EXPECT_THAT(ParseClaims("f", file.bytes), want);
  EXPECT_THAT(ParseProcedure("f", file.bytes), want);
  EXPECT_THAT(ParseMethod("f", file.bytes), want);
}

INSTANTIATE_TEST_SUITE_P(
    Files, HostileText,
    ::testing::Values(
        HostileFile{"Empty", "", "f: the file is empty"},
        HostileFile{"OnlyComments", " \n# nothing\n\t\n", "f: the file is empty"},
        HostileFile{"TooLarge", std::string(size_t{9} << 20, ' '),
                    "f: the file has 9437184 bytes; at most 8388608 are read"},
        HostileFile{"NotUtf8", "# fine\nid: \"\xff\"\n", "f:2: not UTF-8 text"},
        HostileFile{"Utf16", std::string("i\0d\0", 4), "f:1:2: syntax: "},
        HostileFile{"DeepMessages", Repeated("units {", 200000),
                    "nested more than 64 deep"},
        HostileFile{"DeepUnknownMessages", Repeated("a {", 200000),
                    "nested more than 64 deep"},
        HostileFile{"DeepUnknownLists", absl::StrCat("a: ", Repeated("[", 200000)),
                    "nested more than 64 deep"},
        HostileFile{"Extension", "[ratebound.v1.nothing]: 3", "f:1:"},
        HostileFile{"FieldNumber", "1: \"x\"", "unknown field '1'"},
        HostileFile{"LongName", Repeated("x", 100000), "f:1:"},
        HostileFile{"NulByte", std::string("id: \"\0\"", 7), "f:1:"}),
    [](const ::testing::TestParamInfo<HostileFile>& test) { return test.param.name; });

TEST(HostileText, FaultsPastTheLimitAreCounted) {
  const absl::Status status =
      ParseLineManifest("f", Repeated("unknown_name: 1\n", 100000)).status();
  EXPECT_EQ(base::FaultsOf(status).size(), 1000u);
  EXPECT_THAT(status, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("and 99")));
}

TEST(HostileText, UnknownEnumerationValuesPastTheRepairsEndTheFile) {
  const auto claims = ParseClaims("f", Repeated("claims { relation: MAYBE }\n", 1000));
  EXPECT_THAT(claims, StatusIs(absl::StatusCode::kInvalidArgument,
                               AllOf(HasSubstr("f:1:20: relation: unknown value 'MAYBE'"),
                                     HasSubstr("f:20:20: "))));
}

TEST(HostileText, TooManyPartsAreRefused) {
  EXPECT_THAT(ParseLineManifest("f", Repeated("units { machines {} }\n", 100000)),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       HasSubstr("has more than 20000 parts")));
}

TEST(HostileText, ManyWrongNamesTakeNoLongTime) {
  std::string text = "units { id: \"u\" ";
  for (int i = 0; i < 5000; ++i) {
    absl::StrAppend(&text, "machines { id: \"machine-", i, "\" } ");
  }
  absl::StrAppend(&text, "modes { stages { machines: [ ",
                  Repeated("\"machine-x\", ", 200000), "\"x\" ] } } }");
  EXPECT_THAT(ParseLineManifest("f", text).status().message(),
              AllOf(HasSubstr("unknown machine 'machine-x'"), HasSubstr("more")));
}

TEST(HostileText, ManyReadingsTakeNoLongTime) {
  std::string text = "instruments { id: \"i\" ";
  for (int i = 0; i < 5000; ++i) {
    absl::StrAppend(&text, "accuracies { name: \"", i, "\" absolute: 1 unit: \"K\" } ");
  }
  absl::StrAppend(&text, "reads: [ ", Repeated("\"entering_air_db\", ", 20000),
                  "\"x\" ] }");
  EXPECT_THAT(
      ParseLineManifest("f", text).status().message(),
      AllOf(HasSubstr("'entering_air_db' is read by 'i' already"), HasSubstr("more")));
  text = absl::StrCat(
      "log_files { ",
      Repeated("columns { header: \"h\" label: COLUMN_LABEL_STAGE } ", 5000),
      "off_stages: [ ", Repeated("\"off\", ", 20000), "\"x\" ] may_stand_still: [ ",
      Repeated("\"no\", ", 20000), "\"x\" ] }");
  EXPECT_THAT(ParseLineManifest("f", text).status().message(),
              AllOf(HasSubstr("the header 'h' is given twice"), HasSubstr("more")));
}

// Places are the same however long the line is, tabs and all.
TEST(HostileText, PlacesInALongLineAreFound) {
  std::string text = "id: \"a\" title: \"t\" data_source: \"d\" ";
  for (int i = 0; i < 3000; ++i) absl::StrAppend(&text, "\tcautions: \"", i, "\"");
  text += " procedures: \"P\"\nunits {";
  const size_t at = text.find("procedures");
  text += " id: \"u\" }";
  const auto faults = base::FaultsOf(ParseLineManifest("f", text).status());
  ASSERT_FALSE(faults.empty());
  EXPECT_EQ(faults[0].line, 1);
  EXPECT_EQ(faults[0].column, static_cast<int>(at) + 1) << faults[0].ToString();
}

// Damage at any byte is a fault or harmless, and every fault has a place inside the file.
TEST(HostileText, NoChangedByteCrashes) {
  testing::Random random("CHANGED_BYTE");
  for (const std::string_view sound :
       {kManifest, kLabManifest, kClaims, kProcedure, kMethod}) {
    const int line_count =
        static_cast<int>(std::count(sound.begin(), sound.end(), '\n')) + 1;
    for (int i = 0; i < 300; ++i) {
      std::string text(sound);
      for (int j = 0; j <= i % 3; ++j) {
        const int at = random.Integer(0, static_cast<int>(text.size()) - 1);
        text[static_cast<size_t>(at)] = "{}[]:\"'\n#,<>-0a\t\\"[random.Integer(0, 16)];
      }
      for (const absl::Status& status :
           {ParseLineManifest("f", text).status(), ParseClaims("f", text).status(),
            ParseProcedure("f", text).status(), ParseMethod("f", text).status()}) {
        for (const base::Fault& fault : base::FaultsOf(status)) {
          EXPECT_GE(fault.line, 0);
          EXPECT_LE(fault.line, line_count + 3) << fault.ToString();
        }
      }
    }
  }
}

}  // namespace
}  // namespace ratebound::document
