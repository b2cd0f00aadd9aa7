#include "engine/points/log/csv_feed.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/points/csv_cell.h"
#include "engine/points/decimal.h"
#include "engine/points/plain_row.h"
#include "engine/points/utf8_scan.h"

namespace ratebound::points {
namespace {

// Empty lines above the header that are counted for the places of its faults.
constexpr int kMostLinesAboveHeader = 10000;

bool StartsWith(std::string_view text, std::string_view prefix) {
  return text.substr(0, prefix.size()) == prefix;
}

std::string_view WithoutReturn(std::string_view line) {
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  return line;
}

}  // namespace

CsvFeed::CsvFeed(std::string name, CsvSink& sink, base::FaultList& faults)
    : name_(std::move(name)), sink_(sink), faults_(faults) {}

void CsvFeed::AddFault(base::FaultList& faults, CsvPlace place, std::string message,
                       std::string remedy) const {
  faults.Add({.file = name_,
              .line = place.line,
              .column = place.column,
              .message = std::move(message),
              .remedy = std::move(remedy)});
}

void CsvFeed::Stop(CsvPlace place, std::string message, std::string remedy) {
  AddFault(faults_, place, std::move(message), std::move(remedy));
  stopped_ = true;
}

void CsvFeed::Feed(std::string_view chunk) {
  while (!stopped_ && !chunk.empty()) {
    const auto* end =
        static_cast<const char*>(std::memchr(chunk.data(), '\n', chunk.size()));
    if (end == nullptr) {
      // One byte too many is enough to know that the row is too long.
      const auto room = static_cast<size_t>(limits_.line_bytes) + 1;
      carry_.append(chunk.substr(0, room - std::min(room, carry_.size())));
      if (carry_.size() == room) Line(carry_, true);
      return;
    }
    const auto size = static_cast<size_t>(end - chunk.data());
    if (carry_.empty()) {
      Line(chunk.substr(0, size), true);
    } else if (static_cast<int64_t>(carry_.size() + size) > limits_.line_bytes) {
      carry_.resize(static_cast<size_t>(limits_.line_bytes) + 1);
      Line(carry_, true);
    } else {
      carry_.append(chunk.substr(0, size));
      Line(carry_, true);
      carry_.clear();
    }
    chunk.remove_prefix(size + 1);
  }
}

void CsvFeed::Finish() {
  if (stopped_) return;
  if (!carry_.empty() || machine_.inside_row()) Line(carry_, false);
  if (stopped_) return;
  if (!header_done_) {
    Stop({}, "file is empty", "start it with a row of headings");
  } else if (!any_row_ && faults_.empty()) {
    AddFault(faults_, {body_line_, 0}, "file has a header and no rows",
             "add the measured rows or leave the file out");
  }
}

void CsvFeed::Line(std::string_view line, bool has_end) {
  ++line_;
  if (line_ == 1) {
    if (StartsWith(line, "\xFF\xFE") || StartsWith(line, "\xFE\xFF")) {
      return Stop({1, 1}, "file is UTF-16", "save it as UTF-8");
    }
    if (StartsWith(line, "\xEF\xBB\xBF")) line.remove_prefix(3);
  }
  if (!machine_.inside_row()) row_bytes_ = 0;
  row_bytes_ += static_cast<int64_t>(line.size());
  if (row_bytes_ > limits_.line_bytes) {
    return Stop({line_, 0},
                absl::StrCat("row is longer than ", limits_.line_bytes, " bytes"),
                "check for a quote never closed or for missing line ends");
  }
  ++row_bytes_;  // the line end
  if (!header_done_) {
    HeaderLine(line, has_end);
  } else if (CheckText(line)) {
    RowLine(line, has_end);
  }
}

// The header's bytes go to CsvFile as a whole, which finds what is wrong with them; here
// only its end is looked for.
void CsvFeed::HeaderLine(std::string_view line, bool has_end) {
  if (header_.empty() && !machine_.inside_row()) {
    if (WithoutReturn(line).empty() && (has_end || line.empty())) return;
    header_.assign(static_cast<size_t>(std::min(line_ - 1, kMostLinesAboveHeader)), '\n');
  }
  header_.append(line);
  if (has_end) header_.push_back('\n');
  if (machine_.Read(line, has_end, line_) == CsvRowMachine::End::kGoesOn) return;
  header_done_ = true;
  body_line_ = line_ + 1;
  std::optional<std::vector<CsvUse>> uses = sink_.OnHeader(header_);
  header_ = {};
  if (!uses) {
    stopped_ = true;
    return;
  }
  uses_ = *std::move(uses);
  numbers_.resize(uses_.size());
  texts_.resize(uses_.size());
  text_columns_.resize(uses_.size());
}

bool CsvFeed::CheckText(std::string_view line) {
  const size_t bad = FindMalformed(line, 0);
  if (bad == line.size()) return true;
  const CsvPlace place{line_, static_cast<int>(bad) + 1};
  if (line[bad] == '\0') {
    Stop(place, "NUL byte", "give a text file");
    return false;
  }
  if (!sink_.Ignores(line_)) {
    AddFault(faults_, place,
             absl::StrCat("byte ", base::Printable(line.substr(bad, 1)), " is not UTF-8"),
             "save the file as UTF-8");
  }
  return true;
}

void CsvFeed::RowLine(std::string_view line, bool has_end) {
  if (machine_.inside_row()) return SlowLine(line, has_end);
  const std::string_view row = WithoutReturn(line);
  if (row.empty()) return;
  row_line_ = line_;
  ignored_ = sink_.Ignores(line_);
  // Faults of single cells are told once: by the fast way or, where it gives up, by the
  // slow.
  base::FaultList row_faults;
  if (!ReadFastRow(row, row_faults)) return SlowLine(line, has_end);
  if (!row_faults.empty() && !ignored_) {
    for (const base::Fault& fault : row_faults.faults()) faults_.Add(fault);
  }
  Deliver(true);
}

// A row without quotes; false where it needs the machine or has another length than the
// header.
bool CsvFeed::ReadFastRow(std::string_view row, base::FaultList& faults) {
  return ReadPlainRow(
      row, row.data() + row.size(), uses_,
      PlainRowSink{
          [&](size_t j, double value) { numbers_[j] = value; },
          [&](size_t j, std::string_view text, int column) {
            texts_[j] = text;
            text_columns_[j] = column;
          },
          [&](int column, std::string message, std::string remedy) {
            AddFault(faults, {line_, column}, std::move(message), std::move(remedy));
          }});
}

void CsvFeed::SlowLine(std::string_view line, bool has_end) {
  const CsvRowMachine::End end = machine_.Read(line, has_end, line_);
  switch (end) {
    case CsvRowMachine::End::kGoesOn:
      return;
    case CsvRowMachine::End::kFaultOfFile:
      return Stop(machine_.fault_place(), machine_.fault_message(),
                  machine_.fault_remedy());
    case CsvRowMachine::End::kFaultInRow:
      if (ignored_) return Deliver(false);
      AddFault(faults_, machine_.fault_place(), machine_.fault_message(),
               machine_.fault_remedy());
      return;
    case CsvRowMachine::End::kRow:
      break;
  }
  const std::vector<CsvCell>& cells = machine_.cells();
  if (cells.size() != uses_.size()) {
    if (ignored_) return Deliver(false);
    AddFault(faults_, {row_line_, 0},
             absl::StrCat("row has ", cells.size(), " cells where the header has ",
                          uses_.size()),
             "give every row one cell for each heading; quote a cell that holds a comma");
    return;
  }
  for (size_t j = 0; j < cells.size(); ++j) {
    if (uses_[j] == CsvUse::kNumber) {
      numbers_[j] =
          ReadNumberCell(cells[j].text, [&](std::string message, std::string remedy) {
            if (ignored_) return;
            AddFault(faults_, cells[j].place, std::move(message), std::move(remedy));
          });
    } else if (uses_[j] == CsvUse::kText) {
      texts_[j] = cells[j].text;
      text_columns_[j] = cells[j].place.column;
    }
  }
  Deliver(true);
}

void CsvFeed::Deliver(bool whole) {
  any_row_ = true;
  sink_.OnRow({.line = row_line_,
               .ignored = ignored_,
               .whole = whole,
               .numbers = numbers_.data(),
               .texts = texts_.data(),
               .text_columns = text_columns_.data()});
}

}  // namespace ratebound::points
