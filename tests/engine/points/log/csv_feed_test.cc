#include "engine/points/log/csv_feed.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

// What a reader made of a text: its rows as text, and its faults.
struct Reading {
  std::vector<std::string> rows;
  std::vector<base::Fault> faults;
  bool opened = true;
  friend bool operator==(const Reading&, const Reading&) = default;
};

std::vector<CsvUse> UsesOf(size_t columns) {
  std::vector<CsvUse> uses;
  for (size_t j = 0; j < columns; ++j) uses.push_back(static_cast<CsvUse>(j % 3));
  return uses;
}

std::string NumberText(double value) {
  return std::isnan(value) ? "none" : absl::StrCat(value);
}

class RecordingSink : public CsvSink {
 public:
  RecordingSink(base::FaultList& faults, Reading& reading)
      : faults_(faults), reading_(reading) {}
  std::optional<std::vector<CsvUse>> OnHeader(std::string_view bytes) override {
    const auto file = CsvFile::Open("f.csv", bytes, {}, faults_);
    if (!file) return {};
    uses_ = UsesOf(file->header().size());
    return uses_;
  }
  bool Ignores(int line) override {
    return line >= first_ignored && line <= last_ignored;
  }
  void OnRow(const FedRow& row) override {
    std::string text = absl::StrCat(row.line, row.ignored ? " ignored:" : ":");
    for (size_t j = 0; row.whole && !row.ignored && j < uses_.size(); ++j) {
      if (uses_[j] == CsvUse::kNumber) {
        absl::StrAppend(&text, "|", NumberText(row.numbers[j]));
      } else if (uses_[j] == CsvUse::kText) {
        absl::StrAppend(&text, "|", std::string(row.texts[j]));
      }
    }
    reading_.rows.push_back(text);
  }
  int first_ignored = 0;
  int last_ignored = -1;

 private:
  base::FaultList& faults_;
  Reading& reading_;
  std::vector<CsvUse> uses_;
};

Reading Feed(std::string_view text, testing::Random* random, int first_ignored = 0,
             int last_ignored = -1) {
  Reading reading;
  base::FaultList faults;
  RecordingSink sink(faults, reading);
  sink.first_ignored = first_ignored;
  sink.last_ignored = last_ignored;
  CsvFeed feed("f.csv", sink, faults);
  while (!text.empty()) {
    size_t size = text.size();
    if (random != nullptr) {
      size = std::min(size, static_cast<size_t>(random->Integer(1, 9)));
    }
    const std::string chunk(text.substr(0, size));
    feed.Feed(chunk);
    text.remove_prefix(size);
  }
  feed.Finish();
  reading.faults = faults.faults();
  return reading;
}

// The same by the reader of whole files.
Reading ReadWhole(std::string_view text) {
  Reading reading;
  base::FaultList faults;
  const auto file = CsvFile::Open("f.csv", text, {}, faults);
  if (file) {
    const std::vector<CsvUse> uses = UsesOf(file->header().size());
    const CsvTable table = file->Read(uses, faults);
    for (int i = 0; i < table.row_count; ++i) {
      std::string row = absl::StrCat(table.row_lines[i], ":");
      for (size_t j = 0; j < uses.size(); ++j) {
        if (uses[j] == CsvUse::kNumber) {
          absl::StrAppend(&row, "|", NumberText(table.numbers[j][i]));
        } else if (uses[j] == CsvUse::kText) {
          absl::StrAppend(&row, "|", table.texts[j][i]);
        }
      }
      reading.rows.push_back(row);
    }
  }
  reading.faults = faults.faults();
  reading.opened = file.has_value();
  return reading;
}

void SortFaults(Reading& reading) {
  std::sort(reading.faults.begin(), reading.faults.end(),
            [](const base::Fault& a, const base::Fault& b) {
              return std::tie(a.line, a.column, a.message) <
                     std::tie(b.line, b.column, b.message);
            });
}

// Wild pieces now and then, so that many texts have few faults.
std::string RandomText(testing::Random& random) {
  constexpr std::string_view kCells[] = {"1",    "-2.5",  "3e2",  "",
                                         " 7\t", "\"5\"", "0.125"};
  constexpr std::string_view kWild[] = {",",   "\n",       "\"",       "\"\"",
                                        "nan", "x",        "\xC3\xA9", "\xFF",
                                        "\r",  "\"a\nb\"", "\r\r\n"};
  std::string text = random.Integer(0, 3) == 0 ? "\xEF\xBB\xBF" : "";
  if (random.Integer(0, 9) > 0) text += "a,b,c\n";
  const int wildness = random.Integer(0, 2) == 0 ? 0 : random.Integer(1, 40);
  for (int row = random.Integer(0, 12); row > 0; --row) {
    for (int j = 0; j < 3; ++j) {
      if (random.Integer(0, 99) < wildness) {
        text += kWild[random.Integer(0, std::size(kWild) - 1)];
      } else {
        text += kCells[random.Integer(0, std::size(kCells) - 1)];
      }
      if (j < 2) text += ",";
    }
    if (row > 1 || random.Integer(0, 1) == 0) {
      text += random.Integer(0, 3) == 0 ? "\r\n" : "\n";
    }
    if (random.Integer(0, 9) == 0) text += "\n";
  }
  return text;
}

// Two readers of one form: rows and faults are the same, whatever the chunks.
TEST(CsvFeed, ReadsWhatTheReaderOfWholeFilesReadsForAnyChunks) {
  testing::Random random("CSV_FEED_READS_WHAT_CSV_FILE_READS");
  int without_faults = 0;
  for (int i = 0; i < 20000; ++i) {
    const std::string text = RandomText(random);
    Reading fed = Feed(text, nullptr);
    const Reading in_chunks = Feed(text, &random);
    ASSERT_EQ(fed.rows, in_chunks.rows) << text;
    ASSERT_EQ(fed.faults, in_chunks.faults) << text;
    Reading whole = ReadWhole(text);
    without_faults += whole.faults.empty();
    SortFaults(fed);
    SortFaults(whole);
    ASSERT_EQ(fed.rows, whole.rows) << text;
    // Where the header is at fault, only the reader of whole files looks at the rest.
    if (!whole.opened) {
      ASSERT_FALSE(fed.faults.empty()) << text;
      continue;
    }
    ASSERT_EQ(fed.faults.size(), whole.faults.size()) << text;
    for (size_t k = 0; k < fed.faults.size(); ++k) {
      const base::Fault& a = fed.faults[k];
      const base::Fault& b = whole.faults[k];
      // A log is said to lack rows, a file of points to lack points.
      if (a.message == "file has a header and no rows") continue;
      ASSERT_EQ(a, b) << text << "\n" << a.ToString() << "\n" << b.ToString();
    }
  }
  EXPECT_GT(without_faults, 1000);
}

TEST(CsvFeed, TellsNoFaultsOfIgnoredRowsAndGoesOnBehindThem) {
  const std::string text = "a,b,c\n1,2,3\nnan,2\n\"x\" y,2,3\nnan,\xFF,1\n4,5,6\n";
  const Reading reading = Feed(text, nullptr, 3, 5);
  EXPECT_TRUE(reading.faults.empty());
  EXPECT_EQ(reading.rows, (std::vector<std::string>{"2:|1|2", "3 ignored:", "4 ignored:",
                                                    "5 ignored:", "6:|4|5"}));
}

TEST(CsvFeed, StopsAtALineThatHasNoEnd) {
  Reading reading;
  base::FaultList faults;
  RecordingSink sink(faults, reading);
  CsvFeed feed("f.csv", sink, faults);
  feed.Feed("a,b\n1,2\n");
  const std::string piece(1000, '1');
  int fed = 0;
  for (; fed < 3000 && !feed.stopped(); ++fed) feed.Feed(piece);
  EXPECT_NEAR(fed, (1 << 20) / 1000, 2);
  ASSERT_EQ(faults.total(), 1);
  EXPECT_EQ(faults.faults()[0].line, 3);
  EXPECT_EQ(faults.faults()[0].message, "row is longer than 1048576 bytes");
}

// A quoted cell with a million line ends must not be read again from its start each time.
TEST(CsvFeed, ReadsALongQuotedCellOnce) {
  std::string text = "a,b\n1,\"";
  for (int i = 0; i < 300000; ++i) text += "x\"\"\n";
  text += "\"\n2,y\n";
  text.resize(text.size());
  const Reading reading = Feed(text, nullptr);
  // 1.2 MB: longer than a row may be, and told so on the line that passes the limit.
  ASSERT_EQ(reading.faults.size(), 1u);
  EXPECT_EQ(reading.faults[0].message, "row is longer than 1048576 bytes");
  EXPECT_NEAR(reading.faults[0].line, (1 << 20) / 4, 10);
}

}  // namespace
}  // namespace ratebound::points
