#include "clients/cli/text_table.h"

#include "gtest/gtest.h"

namespace ratebound::cli {
namespace {

TEST(TextTable, ColumnsAreAsWideAsTheirWidestCell) {
  TextTable table({"unit", "value"}, {Align::kLeft, Align::kRight});
  table.AddRow({"a", "1.5"});
  table.AddRow({"longer", "10"});
  EXPECT_EQ(table.ToString(1), " unit    value\n a         1.5\n longer     10\n");
}

TEST(TextTable, CountsCharactersAndNotBytes) {
  TextTable table({"x", "y"}, {Align::kLeft, Align::kLeft});
  table.AddRow({"\xC2\xB5", "1"});  // one character, two bytes
  EXPECT_EQ(table.ToString(), "x  y\n\xC2\xB5  1\n");
}

TEST(CsvField, QuotesOnlyWhatNeedsIt) {
  EXPECT_EQ(CsvField("plain"), "plain");
  EXPECT_EQ(CsvField("a,b"), "\"a,b\"");
  EXPECT_EQ(CsvField("say \"so\""), "\"say \"\"so\"\"\"");
  EXPECT_EQ(CsvField("two\nlines"), "\"two\nlines\"");
}

}  // namespace
}  // namespace ratebound::cli
