#include "engine/points/csv.h"

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

using base::Absl;

bool StartsWith(std::string_view text, std::string_view prefix) {
  return text.substr(0, prefix.size()) == prefix;
}

// Reserves what the first row promises, within what the limits allow anyway.
int64_t ExpectedRows(std::string_view body, int64_t most_rows) {
  const size_t first_end = body.find('\n');
  const auto row_bytes = static_cast<int64_t>(std::min(first_end, body.size())) + 1;
  return std::min(most_rows, static_cast<int64_t>(body.size()) / row_bytes + 1);
}

}  // namespace

// Takes rows apart cell by cell with all of RFC 4180: for the header, for rows with
// quotes and for the places of cells.
class CsvFile::RowReader {
 public:
  enum class End { kRow, kFaultInRow, kFaultOfFile };

  RowReader(const CsvFile& file, base::FaultList& faults)
      : file_(file), faults_(faults) {}

  // Reads the row at `offset`, which is on line `line`. After kRow and kFaultInRow,
  // next_offset() and next_line() tell where the next row starts.
  End Read(int64_t offset, int line) {
    cells_.clear();
    offset_ = offset;
    row_offset_ = offset;
    line_ = line;
    line_offset_ = offset;
    for (;;) {
      const End end = AtQuote() ? ReadQuotedCell() : ReadPlainCell();
      if (end == End::kFaultInRow) SkipToNextLine();
      if (end != End::kRow) return end;
      if (offset_ >= Size()) return End::kRow;
      if (file_.bytes_[offset_++] == '\n') {
        ++line_;
        return End::kRow;
      }
    }
  }

  std::vector<CsvCell>& cells() { return cells_; }
  int64_t next_offset() const { return offset_; }
  int next_line() const { return line_; }

 private:
  int64_t Size() const { return static_cast<int64_t>(file_.bytes_.size()); }
  CsvPlace Here() const { return {line_, static_cast<int>(offset_ - line_offset_) + 1}; }

  // Past blanks, a quote opens a quoted cell.
  bool AtQuote() const {
    int64_t i = offset_;
    while (i < Size() && IsBlank(file_.bytes_[i])) ++i;
    return i < Size() && file_.bytes_[i] == '"';
  }

  End Fault(CsvPlace place, std::string message, std::string remedy, End end) {
    file_.AddFault(faults_, place, std::move(message), std::move(remedy));
    return end;
  }

  End RowTooLong() {
    return Fault({line_, 0},
                 absl::StrCat("row is longer than ", file_.limits_.line_bytes, " bytes"),
                 "check for a quote never closed or for missing line ends",
                 End::kFaultOfFile);
  }

  bool TooLong() const { return offset_ - row_offset_ > file_.limits_.line_bytes; }

  void SkipToNextLine() {
    const size_t next = file_.bytes_.find('\n', offset_);
    offset_ = next == std::string_view::npos ? Size() : static_cast<int64_t>(next) + 1;
    ++line_;
  }

  // Leaves offset_ at the comma, LF or end behind the cell.
  End ReadPlainCell() {
    const CsvPlace place = Here();
    const int64_t begin = offset_;
    const int64_t last = std::min(Size(), row_offset_ + file_.limits_.line_bytes + 1);
    while (offset_ < last) {
      const char c = file_.bytes_[offset_];
      if (c == ',' || c == '\n') break;
      if (c == '"') {
        return Fault(Here(), "quote inside an unquoted cell", kCloseQuoteRemedy,
                     End::kFaultInRow);
      }
      if (c == '\r' && offset_ + 1 < Size() && file_.bytes_[offset_ + 1] != '\n') {
        return Fault(Here(), "carriage return alone", "end lines in LF or CRLF",
                     End::kFaultInRow);
      }
      ++offset_;
    }
    if (TooLong()) return RowTooLong();
    std::string_view text = file_.bytes_.substr(begin, offset_ - begin);
    if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
    cells_.push_back({std::string(Trimmed(text)), place});
    return End::kRow;
  }

  End ReadQuotedCell() {
    while (file_.bytes_[offset_] != '"') ++offset_;
    const CsvPlace place = Here();
    ++offset_;
    std::string text;
    for (;;) {
      if (TooLong()) return RowTooLong();
      if (offset_ >= Size()) {
        return Fault(place, "quote never closed", kCloseQuoteRemedy, End::kFaultOfFile);
      }
      const char c = file_.bytes_[offset_++];
      if (c == '"') {
        if (offset_ >= Size() || file_.bytes_[offset_] != '"') break;
        ++offset_;
      } else if (c == '\n') {
        ++line_;
        line_offset_ = offset_;
      }
      text.push_back(c);
    }
    while (offset_ < Size() && IsBlank(file_.bytes_[offset_])) ++offset_;
    const bool crlf = file_.bytes_.substr(offset_, 2) == "\r\n";
    if (crlf || file_.bytes_.substr(offset_) == "\r") ++offset_;
    if (offset_ < Size() && file_.bytes_[offset_] != ',' &&
        file_.bytes_[offset_] != '\n') {
      return Fault(Here(), "text behind a closing quote", kCloseQuoteRemedy,
                   End::kFaultInRow);
    }
    cells_.push_back({std::move(text), place});
    return End::kRow;
  }

  const CsvFile& file_;
  base::FaultList& faults_;
  std::vector<CsvCell> cells_;
  int64_t offset_ = 0;
  int64_t row_offset_ = 0;
  int64_t line_offset_ = 0;
  int line_ = 1;
};

void CsvFile::AddFault(base::FaultList& faults, CsvPlace place, std::string message,
                       std::string remedy) const {
  faults.Add({.file = name_,
              .line = place.line,
              .column = place.column,
              .message = std::move(message),
              .remedy = std::move(remedy)});
}

std::optional<CsvFile> CsvFile::Open(std::string_view name, std::string_view bytes,
                                     const CsvLimits& limits, base::FaultList& faults) {
  CsvFile file;
  file.name_ = std::string(name);
  file.limits_ = limits;
  const auto refuse = [&](CsvPlace place, std::string message, std::string remedy) {
    file.AddFault(faults, place, std::move(message), std::move(remedy));
    return std::nullopt;
  };
  if (static_cast<int64_t>(bytes.size()) > limits.file_bytes) {
    return refuse({},
                  absl::StrCat("file has ", bytes.size(), " bytes, more than the ",
                               limits.file_bytes, " that are taken"),
                  "split it into several files");
  }
  if (StartsWith(bytes, "\xFF\xFE") || StartsWith(bytes, "\xFE\xFF")) {
    return refuse({1, 1}, "file is UTF-16", "save it as UTF-8");
  }
  if (StartsWith(bytes, "\xEF\xBB\xBF")) bytes.remove_prefix(3);
  file.bytes_ = bytes;

  int line = 1;
  size_t counted = 0;
  for (size_t i = 0; (i = FindMalformed(bytes, i)) < bytes.size();) {
    line +=
        static_cast<int>(std::count(bytes.begin() + counted, bytes.begin() + i, '\n'));
    counted = i;
    const size_t before = i == 0 ? std::string_view::npos : bytes.rfind('\n', i - 1);
    const size_t line_offset = before == std::string_view::npos ? 0 : before + 1;
    const CsvPlace place{line, static_cast<int>(i - line_offset) + 1};
    if (bytes[i] == '\0') return refuse(place, "NUL byte", "give a text file");
    file.AddFault(
        faults, place,
        absl::StrCat("byte ", Absl(base::Printable(bytes.substr(i, 1))), " is not UTF-8"),
        "save the file as UTF-8");
    i = std::min(bytes.find('\n', i), bytes.size());
  }

  // Blank lines above the header are skipped like any others.
  int64_t offset = 0;
  line = 1;
  for (;;) {
    if (StartsWith(bytes.substr(offset), "\n")) {
      offset += 1;
    } else if (StartsWith(bytes.substr(offset), "\r\n")) {
      offset += 2;
    } else {
      break;
    }
    ++line;
  }
  if (offset == static_cast<int64_t>(bytes.size())) {
    return refuse({}, "file is empty", "start it with a row of headings");
  }
  RowReader reader(file, faults);
  if (reader.Read(offset, line) != RowReader::End::kRow) return std::nullopt;
  file.header_ = std::move(reader.cells());
  file.body_offset_ = reader.next_offset();
  file.body_line_ = reader.next_line();
  if (static_cast<int64_t>(file.header_.size()) > limits.columns) {
    return refuse(
        {line, 0},
        absl::StrCat("header has ", file.header_.size(), " cells, more than the ",
                     limits.columns, " that are taken"),
        "split the file");
  }
  return file;
}

void CsvFile::AddRaggedFault(base::FaultList& faults, int line,
                             int64_t cell_count) const {
  AddFault(faults, {line, 0},
           absl::StrCat("row has ", cell_count, " cells where the header has ",
                        header_.size()),
           "give every row one cell for each heading; quote a cell that holds a comma");
}

double CsvFile::ReadNumber(std::string_view text, CsvPlace place,
                           base::FaultList& faults) const {
  return ReadNumberCell(text, [&](std::string message, std::string remedy) {
    AddFault(faults, place, std::move(message), std::move(remedy));
  });
}

// Reads a row without quotes into the table's columns; false, with columns perhaps partly
// grown, where the row needs RowReader or has another length than the header.
bool CsvFile::ReadFastRow(std::string_view row, int line, std::span<const CsvUse> uses,
                          CsvTable& table, base::FaultList& faults) const {
  return ReadPlainRow(
      row, bytes_.data() + bytes_.size(), uses,
      PlainRowSink{
          [&](size_t j, double value) { table.numbers[j].push_back(value); },
          [&](size_t j, std::string_view text, int) {
            table.texts[j].emplace_back(text);
          },
          [&](int column, std::string message, std::string remedy) {
            AddFault(faults, {line, column}, std::move(message), std::move(remedy));
          }});
}

CsvTable CsvFile::Read(std::span<const CsvUse> uses, base::FaultList& faults) const {
  const size_t columns = header_.size();
  CsvTable table;
  table.numbers.resize(columns);
  table.texts.resize(columns);
  const int64_t most_rows = limits_.cells / static_cast<int64_t>(columns);
  const int64_t expected = ExpectedRows(bytes_.substr(body_offset_), most_rows);
  for (size_t j = 0; j < columns; ++j) {
    if (uses[j] == CsvUse::kNumber) table.numbers[j].reserve(expected);
    if (uses[j] == CsvUse::kText) table.texts[j].reserve(expected);
  }
  table.row_lines.reserve(expected);
  table.row_offsets.reserve(expected);
  const auto cut_columns = [&] {
    const auto rows = static_cast<size_t>(table.row_count);
    for (std::vector<double>& column : table.numbers) {
      if (column.size() > rows) column.resize(rows);
    }
    for (std::vector<std::string>& column : table.texts) {
      if (column.size() > rows) column.resize(rows);
    }
  };

  RowReader reader(*this, faults);
  const auto size = static_cast<int64_t>(bytes_.size());
  int64_t offset = body_offset_;
  int line = body_line_;
  while (offset < size) {
    const int64_t reach = std::min(size - offset, limits_.line_bytes + 1);
    const char* const begin = bytes_.data() + offset;
    const auto* lf =
        static_cast<const char*>(std::memchr(begin, '\n', static_cast<size_t>(reach)));
    if (lf == nullptr && reach > limits_.line_bytes) {
      AddFault(faults, {line, 0},
               absl::StrCat("row is longer than ", limits_.line_bytes, " bytes"),
               "check for a quote never closed or for missing line ends");
      break;
    }
    std::string_view row(begin, lf != nullptr ? lf - begin : reach);
    if (!row.empty() && row.back() == '\r') row.remove_suffix(1);
    int64_t next = lf != nullptr ? lf - bytes_.data() + 1 : size;
    int next_line = line + 1;
    if (row.empty()) {
      offset = next;
      line = next_line;
      continue;
    }
    if (table.row_count == most_rows) {
      AddFault(
          faults, {line, 0},
          absl::StrCat("file has more than the ", limits_.cells, " cells that are taken"),
          "split it into several files");
      break;
    }
    // Faults of single cells are told once: by the fast way or, where it gives up, by the
    // slow.
    base::FaultList row_faults;
    bool whole = ReadFastRow(row, line, uses, table, row_faults);
    if (!whole) {
      row_faults = {};
      cut_columns();
      const RowReader::End end = reader.Read(offset, line);
      if (end == RowReader::End::kFaultOfFile) break;
      next = reader.next_offset();
      next_line = reader.next_line();
      if (end == RowReader::End::kRow) {
        const std::vector<CsvCell>& cells = reader.cells();
        whole = cells.size() == columns;
        if (!whole) AddRaggedFault(faults, line, static_cast<int64_t>(cells.size()));
        for (size_t j = 0; whole && j < columns; ++j) {
          if (uses[j] == CsvUse::kNumber) {
            table.numbers[j].push_back(
                ReadNumber(cells[j].text, cells[j].place, row_faults));
          } else if (uses[j] == CsvUse::kText) {
            table.texts[j].push_back(cells[j].text);
          }
        }
      }
    }
    if (!row_faults.empty()) {
      for (const base::Fault& fault : row_faults.faults()) faults.Add(fault);
    }
    if (whole) {
      table.row_lines.push_back(line);
      table.row_offsets.push_back(offset);
      ++table.row_count;
    }
    offset = next;
    line = next_line;
  }
  if (table.row_count == 0 && faults.empty()) {
    AddFault(faults, {body_line_, 0}, "file has a header and no rows",
             "add the measured points or leave the file out");
  }
  return table;
}

CsvPlace CsvFile::PlaceOf(const CsvTable& table, int row, int column) const {
  base::FaultList unused;
  RowReader reader(*this, unused);
  reader.Read(table.row_offsets[row], table.row_lines[row]);
  const std::vector<CsvCell>& cells = reader.cells();
  if (column >= static_cast<int>(cells.size())) return {table.row_lines[row], 0};
  return cells[column].place;
}

}  // namespace ratebound::points
