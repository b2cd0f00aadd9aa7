// Takes one row apart cell by cell with all of RFC 4180, line by line: a quoted cell may
// go on in lines that have not come yet.
//
// Inside of CsvFeed; the faults are those of csv.h. Thread-safety: none.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_CSV_ROW_MACHINE_H_
#define RATEBOUND_ENGINE_POINTS_LOG_CSV_ROW_MACHINE_H_

#include <string>
#include <string_view>
#include <vector>

#include "engine/points/csv.h"

namespace ratebound::points {

class CsvRowMachine {
 public:
  enum class End {
    kRow,          // cells() has it
    kGoesOn,       // inside a quoted cell
    kFaultInRow,   // the row ends with this line
    kFaultOfFile,  // nothing behind can be read
  };

  // `line` without its LF; a CR before that may be in it.
  End Read(std::string_view line, bool has_end, int line_number);

  bool inside_row() const { return open_; }
  std::vector<CsvCell>& cells() { return cells_; }
  // Of the two faults.
  CsvPlace fault_place() const { return fault_place_; }
  const char* fault_message() const { return fault_message_; }
  const char* fault_remedy() const { return fault_remedy_; }

 private:
  End Fault(End end, CsvPlace place, const char* message, const char* remedy);

  std::vector<CsvCell> cells_;
  bool open_ = false;
  CsvCell quoted_;
  CsvPlace fault_place_;
  const char* fault_message_ = "";
  const char* fault_remedy_ = "";
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_CSV_ROW_MACHINE_H_
