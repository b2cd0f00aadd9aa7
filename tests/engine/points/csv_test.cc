#include "engine/points/csv.h"

#include <cmath>
#include <string>
#include <tuple>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

struct Reading {
  std::vector<std::string> header;
  CsvTable table;
  base::FaultList faults;
};

Reading ReadAs(CsvUse use, std::string_view bytes, const CsvLimits& limits = {}) {
  Reading reading;
  const std::optional<CsvFile> file =
      CsvFile::Open("f.csv", bytes, limits, reading.faults);
  if (!file) return reading;
  for (const CsvCell& cell : file->header()) reading.header.push_back(cell.text);
  reading.table =
      file->Read(std::vector<CsvUse>(file->header().size(), use), reading.faults);
  return reading;
}

TEST(CsvTest, ReadsNumbersIntoColumns) {
  const Reading reading = ReadAs(CsvUse::kNumber, "a,b\n1,-2.5\n3e2,.5\n");
  EXPECT_THAT(reading.faults.faults(), IsEmpty());
  EXPECT_THAT(reading.header, ElementsAre("a", "b"));
  EXPECT_THAT(reading.table.numbers,
              ElementsAre(ElementsAre(1, 300), ElementsAre(-2.5, 0.5)));
  EXPECT_THAT(reading.table.row_lines, ElementsAre(2, 3));
}

// The definition of the format, rule by rule, with its own examples.
TEST(CsvTest, ReadsTheExamplesOfRfc4180) {
  const struct {
    const char* rule;
    std::string bytes;
    std::vector<std::vector<std::string>> columns;
  } cases[] = {
      {"2.1 records on lines of their own",
       "x,y,z\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
       {{"aaa", "zzz"}, {"bbb", "yyy"}, {"ccc", "xxx"}}},
      {"2.2 the last line end may be absent",
       "x,y,z\r\naaa,bbb,ccc\r\nzzz,yyy,xxx",
       {{"aaa", "zzz"}, {"bbb", "yyy"}, {"ccc", "xxx"}}},
      {"2.3 a header of as many names",
       "field_name,field_name2,field_name3\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
       {{"aaa", "zzz"}, {"bbb", "yyy"}, {"ccc", "xxx"}}},
      {"2.5 fields may be quoted",
       "x,y,z\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n",
       {{"aaa", "zzz"}, {"bbb", "yyy"}, {"ccc", "xxx"}}},
      {"2.6 line ends and commas in quotes",
       "x,y,z\r\n\"aaa\",\"b \r\nbb\",\"c,cc\"\r\nzzz,yyy,xxx\r\n",
       {{"aaa", "zzz"}, {"b \r\nbb", "yyy"}, {"c,cc", "xxx"}}},
      {"2.7 a doubled quote is a quote",
       "x,y,z\r\n\"aaa\",\"b\"\"bb\",\"ccc\"\r\n",
       {{"aaa"}, {"b\"bb"}, {"ccc"}}},
  };
  ratebound::testing::OutsideCheck check({.name = "points.rfc4180_examples",
                                          .source = "RFC 4180 (2005), section 2",
                                          .tolerance = 0});
  for (const auto& c : cases) {
    const Reading reading = ReadAs(CsvUse::kText, c.bytes);
    EXPECT_TRUE(reading.faults.empty()) << reading.faults.ToStatus();
    check.Holds(c.rule, reading.table.texts == c.columns);
  }
}

// RFC 4180 section 2 and what spreadsheets add to it.
TEST(CsvTest, TakesEveryLegalForm) {
  const struct {
    const char* what;
    std::string bytes;
    std::vector<std::string> second_column;
    std::vector<int> lines;
  } cases[] = {
      {"LF", "a,b\n1,x\n2,y\n", {"x", "y"}, {2, 3}},
      {"CRLF", "a,b\r\n1,x\r\n2,y\r\n", {"x", "y"}, {2, 3}},
      {"no end on the last line", "a,b\n1,x\n2,y", {"x", "y"}, {2, 3}},
      {"byte order mark",
       "\xEF\xBB\xBF"
       "a,b\n1,x\n",
       {"x"},
       {2}},
      {"quotes", "a,\"b\"\n1,\"x\"\n", {"x"}, {2}},
      {"comma in quotes", "a,b\n1,\"x,y\"\n", {"x,y"}, {2}},
      {"doubled quotes", "a,b\n1,\"say \"\"x\"\"\"\n", {"say \"x\""}, {2}},
      {"line end in quotes", "a,b\n1,\"x\ny\"\n2,z\n", {"x\ny", "z"}, {2, 4}},
      {"CRLF behind quotes", "a,b\r\n1,\"x\"\r\n2,\"y\"", {"x", "y"}, {2, 3}},
      {"empty cells", "a,b\n,\n1,\"\"\n", {"", ""}, {2, 3}},
      {"blank lines", "\n\r\na,b\n\n1,x\n\r\n2,y\n\n", {"x", "y"}, {5, 7}},
      {"blanks around", "a , b\n 1 ,\t x y \n2, \"z\" \n", {"x y", "z"}, {2, 3}},
      {"UTF-8", "a,b\n1,\xC2\xB0\xE2\x82\xAC\n", {"\xC2\xB0\xE2\x82\xAC"}, {2}},
  };
  for (const auto& c : cases) {
    SCOPED_TRACE(c.what);
    const Reading reading = ReadAs(CsvUse::kText, c.bytes);
    EXPECT_TRUE(reading.faults.empty()) << reading.faults.ToStatus();
    EXPECT_THAT(reading.header, ElementsAre("a", "b"));
    ASSERT_THAT(reading.table.texts, SizeIs(2));
    EXPECT_EQ(reading.table.texts[1], c.second_column);
    EXPECT_EQ(reading.table.row_lines, c.lines);
  }
}

TEST(CsvTest, FindsEveryFaultWithItsPlace) {
  const struct {
    const char* what;
    std::string bytes;
    std::vector<std::string> faults;  // the start of each
  } cases[] = {
      {"nothing", "", {"f.csv: file is empty"}},
      {"mark alone", "\xEF\xBB\xBF", {"f.csv: file is empty"}},
      {"blank lines alone", "\n\r\n", {"f.csv: file is empty"}},
      {"header alone", "a,b\n", {"f.csv:2: file has a header and no rows"}},
      {"UTF-16",
       std::string("\xFF\xFE"
                   "a\0",
                   4),
       {"f.csv:1:1: file is UTF-16"}},
      {"NUL", std::string("a,b\n1,\0 2\n", 10), {"f.csv:2:3: NUL byte"}},
      {"Latin-1",
       "a,b\n1,2\xB0\n3,\xB0 and \xB1\n",
       {"f.csv:2:4: byte \\xb0 is not UTF-8", "f.csv:3:3: byte \\xb0 is not UTF-8",
        "f.csv:2:3: '2\\xb0' is no number", "f.csv:3:3: '\\xb0 and \\xb1' is no number"}},
      {"cut-off character",
       "a\n1\n2\xE2\x82",
       {"f.csv:3:2: byte \\xe2 is not UTF-8", "f.csv:3:1: '2\\xe2\\x82' is no number"}},
      {"ragged",
       "a,b\n1\n1,2,3\n4,5\n",
       {"f.csv:2: row has 1 cells where the header has 2",
        "f.csv:3: row has 3 cells where the header has 2"}},
      {"trailing comma", "a,b\n1,2,\n", {"f.csv:2: row has 3 cells"}},
      {"open quote", "a,b\n1,\"2\n3,4\n", {"f.csv:2:3: quote never closed"}},
      {"open quote in header", "a,\"b\n1,2\n", {"f.csv:1:3: quote never closed"}},
      {"quote inside",
       "a,b\n1,2\"3\n4,x\n",
       {"f.csv:2:4: quote inside an unquoted cell", "f.csv:3:3: 'x' is no number"}},
      {"text behind quote",
       "a,b\n\"1\"x,2\n",
       {"f.csv:2:4: text behind a closing quote"}},
      {"carriage return", "a,b\n1\r2,3\n", {"f.csv:2:2: carriage return alone"}},
      {"text in a number",
       "a,b\nabc,1\n2,1.5e\n3,0x10\n4,+5\n5,1 2\n",
       {"f.csv:2:1: 'abc' is no number", "f.csv:3:3: '1.5e' is no number",
        "f.csv:4:3: '0x10' is no number", "f.csv:5:3: '+5' is no number",
        "f.csv:6:3: '1 2' is no number"}},
      {"decimal comma", "a,b\n1,\"2,5\"\n", {"f.csv:2:3: '2,5' is no number"}},
      {"not a number",
       "a,b\nNaN,inf\n-Infinity,N/A\n",
       {"f.csv:2:1: 'NaN' is no measured value", "f.csv:2:5: 'inf' is no measured value",
        "f.csv:3:1: '-Infinity' is no measured value",
        "f.csv:3:11: 'N/A' is no measured value"}},
      {"out of range",
       "a,b\n1e400,-1e999\n",
       {"f.csv:2:1: '1e400' is out of range", "f.csv:2:7: '-1e999' is out of range"}},
      {"place behind a quoted line end",
       "a,b\n\"1\n\",x\n",
       {"f.csv:2:1: '1\\x0a' is no number", "f.csv:3:3: 'x' is no number"}},
      {"place behind a byte order mark",
       "\xEF\xBB\xBF\"a\"x,b\n",
       {"f.csv:1:4: text behind a closing quote"}},
  };
  for (const auto& c : cases) {
    SCOPED_TRACE(c.what);
    const Reading reading = ReadAs(CsvUse::kNumber, c.bytes);
    std::vector<std::string> faults;
    for (const base::Fault& fault : reading.faults.faults()) {
      faults.push_back(fault.ToString());
    }
    ASSERT_THAT(faults, SizeIs(c.faults.size())) << ::testing::PrintToString(faults);
    for (size_t i = 0; i < faults.size(); ++i) {
      EXPECT_THAT(faults[i], ::testing::StartsWith(c.faults[i]));
    }
  }
}

TEST(CsvTest, GoesOnBehindAFaultAndKeepsTheGoodRows) {
  const Reading reading = ReadAs(CsvUse::kNumber, "a,b\n1,2\n3\n4,\"5\n\n6,7\n");
  EXPECT_EQ(reading.faults.total(), 2);  // ragged, and a quote never closed
  EXPECT_THAT(reading.table.numbers, ElementsAre(ElementsAre(1), ElementsAre(2)));
}

TEST(CsvTest, AnEmptyNumberIsNotMeasured) {
  const Reading reading = ReadAs(CsvUse::kNumber, "a,b,c\n, ,\n1,\"\",3\n");
  EXPECT_TRUE(reading.faults.empty()) << reading.faults.ToStatus();
  for (const auto& [column, row] : {std::tuple(0, 0), {1, 0}, {2, 0}, {1, 1}}) {
    EXPECT_TRUE(std::isnan(reading.table.numbers[column][row])) << column << ' ' << row;
  }
  EXPECT_EQ(reading.table.numbers[2][1], 3);
}

TEST(CsvTest, HoldsItsLimits) {
  const CsvLimits limits{.file_bytes = 100, .line_bytes = 20, .columns = 4, .cells = 6};
  const std::string long_cell(30, '1');
  const struct {
    std::string bytes;
    const char* fault;
  } cases[] = {
      {std::string(101, 'a'), "f.csv: file has 101 bytes, more than the 100"},
      {"a\n" + long_cell + "\n", "f.csv:2: row is longer than 20 bytes"},
      {"a\n\"" + long_cell + "\"\n", "f.csv:2: row is longer than 20 bytes"},
      {"a\n\"1\n2\n3\n4\n5\n6\n7\n8\n9\n0\n1\n2\n\"\n", "row is longer than 20 bytes"},
      {long_cell + "\n1\n", "f.csv:1: row is longer than 20 bytes"},
      {"a,b,c,d,e\n1,2,3,4,5\n", "f.csv:1: header has 5 cells, more than the 4"},
      {"a,b\n1,2\n3,4\n5,6\n7,8\n", "f.csv:5: file has more than the 6 cells"},
  };
  for (const auto& c : cases) {
    const Reading reading = ReadAs(CsvUse::kNumber, c.bytes, limits);
    ASSERT_THAT(reading.faults.faults(), SizeIs(1)) << c.bytes;
    EXPECT_THAT(reading.faults.faults()[0].ToString(), HasSubstr(c.fault));
  }
  EXPECT_EQ(
      ReadAs(CsvUse::kNumber, "a\n" + std::string(20, '1') + "\n", limits).faults.total(),
      0);
}

TEST(CsvTest, FindsPlacesOfCells) {
  base::FaultList faults;
  const auto file =
      CsvFile::Open("f.csv", "a,b,c\n1,2,3\n\"x\ny\",22,\"z\"\n10,200,3\n", {}, faults);
  ASSERT_TRUE(file.has_value());
  const CsvUse uses[] = {CsvUse::kText, CsvUse::kSkip, CsvUse::kText};
  const CsvTable table = file->Read(uses, faults);
  ASSERT_TRUE(faults.empty());
  const auto place = [&](int row, int column) {
    const CsvPlace p = file->PlaceOf(table, row, column);
    return std::pair(p.line, p.column);
  };
  EXPECT_EQ(place(0, 2), std::pair(2, 5));
  EXPECT_EQ(place(1, 0), std::pair(3, 1));
  EXPECT_EQ(place(1, 1), std::pair(4, 4));
  EXPECT_EQ(place(2, 2), std::pair(5, 8));
}

// A quoted copy of a file must read as the plain one does, through the other way in.
TEST(CsvTest, QuotedAndPlainCellsReadAlike) {
  testing::Random random("QUOTED_AND_PLAIN_CELLS_READ_ALIKE");
  std::string plain = "a,b,c\n";
  std::string quoted = plain;
  for (int row = 0; row < 2000; ++row) {
    for (int column = 0; column < 3; ++column) {
      const std::string cell = std::to_string(random.Uniform(-1e3, 1e3));
      plain += cell + (column == 2 ? "\r\n" : ",");
      quoted += "\"" + cell + (column == 2 ? "\"\n" : "\",");
    }
  }
  const Reading a = ReadAs(CsvUse::kNumber, plain);
  const Reading b = ReadAs(CsvUse::kNumber, quoted);
  EXPECT_EQ(a.table.row_count, 2000);
  EXPECT_EQ(a.table.numbers, b.table.numbers);
}

}  // namespace
}  // namespace ratebound::points
