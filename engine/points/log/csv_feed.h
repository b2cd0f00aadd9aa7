// Rows of a CSV text that comes in chunks of any size: the form and the faults of csv.h,
// without ever holding more than the row being read.
//
// Example:
//   CsvFeed feed("logs/day1.csv", sink, faults);
//   feed.Feed(chunk);     // as often as there is something
//   feed.Finish();        // the last row may end without a line end
//
// What the sink is told, and in which order, does not depend on how the text was split.
// Faults of rows that the sink ignores are not told, but for those behind which nothing
// can be read: NUL bytes, rows that are too long, quotes never closed.
//
// Memory: at most one row, 1 MiB. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_CSV_FEED_H_
#define RATEBOUND_ENGINE_POINTS_LOG_CSV_FEED_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/fault.h"
#include "engine/points/csv.h"
#include "engine/points/log/csv_row_machine.h"

namespace ratebound::points {

// A row; entries of columns that are read otherwise have no meaning.
struct FedRow {
  int line = 0;
  bool ignored = false;
  // False only for an ignored row that has not one cell for each heading.
  bool whole = true;
  const double* numbers = nullptr;          // by column; NaN where nothing was measured
  const std::string_view* texts = nullptr;  // by column
  const int* text_columns = nullptr;        // where in its line each text starts, from 1
};

class CsvSink {
 public:
  virtual ~CsvSink() = default;
  // The header with its line ends, behind as many empty lines as stand above it. Returns
  // how each column is read; empty where the rest is of no use, with a fault told.
  virtual std::optional<std::vector<CsvUse>> OnHeader(std::string_view bytes) = 0;
  // Lines come in ascending order.
  virtual bool Ignores(int line) = 0;
  virtual void OnRow(const FedRow& row) = 0;
};

class CsvFeed {
 public:
  // Both must outlive the feed.
  CsvFeed(std::string name, CsvSink& sink, base::FaultList& faults);

  void Feed(std::string_view chunk);
  void Finish();
  // Nothing further can be read; a fault says why.
  bool stopped() const { return stopped_; }

 private:
  void Line(std::string_view line, bool has_end);
  void HeaderLine(std::string_view line, bool has_end);
  void RowLine(std::string_view line, bool has_end);
  void SlowLine(std::string_view line, bool has_end);
  bool CheckText(std::string_view line);
  bool ReadFastRow(std::string_view row, base::FaultList& faults);
  void Deliver(bool whole);
  void AddFault(base::FaultList& faults, CsvPlace place, std::string message,
                std::string remedy) const;
  void Stop(CsvPlace place, std::string message, std::string remedy);

  std::string name_;
  CsvSink& sink_;
  base::FaultList& faults_;
  CsvLimits limits_;
  bool stopped_ = false;
  bool header_done_ = false;
  bool any_row_ = false;
  int line_ = 0;       // being read, from 1
  int body_line_ = 0;  // behind the header
  std::string carry_;  // the start of a line whose end has not come yet
  std::string header_;
  std::vector<CsvUse> uses_;
  // Of the row being read.
  CsvRowMachine machine_;
  int row_line_ = 0;
  int64_t row_bytes_ = 0;  // of its lines before this one
  bool ignored_ = false;
  std::vector<double> numbers_;
  std::vector<std::string_view> texts_;
  std::vector<int> text_columns_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_CSV_FEED_H_
