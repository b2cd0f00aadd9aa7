// Comma-separated values (RFC 4180) from bytes that anybody may have sent: numbers
// straight into columns of doubles, every fault with its line and column.
//
// Example:
//   base::FaultList faults;
//   std::optional<CsvFile> file = CsvFile::Open("points/day1.csv", bytes, {}, faults);
//   if (!file) return faults.ToStatus();
//   std::vector<CsvUse> uses(file->header().size(), CsvUse::kNumber);
//   CsvTable table = file->Read(uses, faults);
//   table.numbers[2][0];                       // row 0 of the third column
//   file->PlaceOf(table, 0, 2);                // where that cell stands
//
// What is taken: lines end in LF or CRLF, the last one may end in neither; cells may be
// quoted, with "" for a quote and line ends inside; a UTF-8 byte order mark is skipped;
// blank lines are skipped; spaces and tabs around an unquoted cell are no part of it. An
// empty cell of a number column is NaN: "not measured".
//
// What is a fault: a file, line or table above its limit; an empty file, or a header
// without rows; NUL bytes or text that is not UTF-8; rows of another length than the
// header; a quote inside an unquoted cell, text behind a closing quote, a quote never
// closed; a carriage return alone; in a number column anything but a finite decimal
// ("nan" and "1e400" included). Reading goes on behind a fault wherever the next row can
// still be found.
//
// Bytes are viewed, never copied as a whole; `bytes` must outlive the file.
// Thread-safety: immutable after Open.
#ifndef RATEBOUND_ENGINE_POINTS_CSV_H_
#define RATEBOUND_ENGINE_POINTS_CSV_H_

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/fault.h"

namespace ratebound::points {

struct CsvLimits {
  int64_t file_bytes = int64_t{64} << 20;
  // Of one row, quoted line ends included.
  int64_t line_bytes = int64_t{1} << 20;
  int64_t columns = 4096;
  int64_t cells = int64_t{16} << 20;
};

// From 1; columns in bytes, behind the byte order mark on the first line.
struct CsvPlace {
  int line = 0;
  int column = 0;
};

struct CsvCell {
  std::string text;
  CsvPlace place;
};

enum class CsvUse { kNumber, kText, kSkip };

// One entry for each column of the header; a column is empty unless it is read that way.
struct CsvTable {
  int row_count = 0;
  std::vector<std::vector<double>> numbers;
  std::vector<std::vector<std::string>> texts;
  std::vector<int> row_lines;
  std::vector<int64_t> row_offsets;
};

class CsvFile {
 public:
  // Checks size and encoding and reads the header. Empty when nothing further can be
  // read; faults are then not empty.
  static std::optional<CsvFile> Open(std::string_view name, std::string_view bytes,
                                     const CsvLimits& limits, base::FaultList& faults);

  const std::string& name() const { return name_; }
  // At least one cell.
  const std::vector<CsvCell>& header() const { return header_; }

  // `uses` has one entry for each header cell.
  CsvTable Read(std::span<const CsvUse> uses, base::FaultList& faults) const;

  // The place of a cell of a table that Read returned. Scans the row again: for faults.
  CsvPlace PlaceOf(const CsvTable& table, int row, int column) const;

 private:
  class RowReader;

  CsvFile() = default;
  void AddFault(base::FaultList& faults, CsvPlace place, std::string message,
                std::string remedy) const;
  bool ReadFastRow(std::string_view row, int line, std::span<const CsvUse> uses,
                   CsvTable& table, base::FaultList& faults) const;
  double ReadNumber(std::string_view text, CsvPlace place, base::FaultList& faults) const;
  void AddRaggedFault(base::FaultList& faults, int line, int64_t cell_count) const;

  std::string name_;
  std::string_view bytes_;  // behind the byte order mark
  CsvLimits limits_;
  std::vector<CsvCell> header_;
  int64_t body_offset_ = 0;  // of the first row behind the header
  int body_line_ = 1;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_CSV_H_
