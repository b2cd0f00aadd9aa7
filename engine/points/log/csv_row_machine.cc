#include "engine/points/log/csv_row_machine.h"

#include <utility>

#include "engine/points/csv_cell.h"

namespace ratebound::points {

CsvRowMachine::End CsvRowMachine::Fault(End end, CsvPlace place, const char* message,
                                        const char* remedy) {
  open_ = false;
  fault_place_ = place;
  fault_message_ = message;
  fault_remedy_ = remedy;
  return end;
}

CsvRowMachine::End CsvRowMachine::Read(std::string_view line, bool has_end,
                                       int line_number) {
  const auto at = [&](size_t i) {
    return CsvPlace{line_number, static_cast<int>(i) + 1};
  };
  size_t i = 0;
  if (!open_) cells_.clear();
  for (;;) {
    if (!open_) {
      size_t quote = i;
      while (quote < line.size() && IsBlank(line[quote])) ++quote;
      if (quote < line.size() && line[quote] == '"') {
        open_ = true;
        quoted_ = {"", at(quote)};
        i = quote + 1;
      } else {
        const size_t begin = i;
        for (; i < line.size() && line[i] != ','; ++i) {
          if (line[i] == '"') {
            return Fault(End::kFaultInRow, at(i), "quote inside an unquoted cell",
                         kCloseQuoteRemedy);
          }
          if (line[i] == '\r' && i + 1 < line.size()) {
            return Fault(End::kFaultInRow, at(i), "carriage return alone",
                         "end lines in LF or CRLF");
          }
        }
        std::string_view text = line.substr(begin, i - begin);
        if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
        cells_.push_back({std::string(Trimmed(text)), at(begin)});
      }
    }
    if (open_) {
      for (;; ++i) {
        if (i >= line.size()) {
          if (!has_end) {
            return Fault(End::kFaultOfFile, quoted_.place, "quote never closed",
                         kCloseQuoteRemedy);
          }
          quoted_.text.push_back('\n');
          return End::kGoesOn;
        }
        if (line[i] == '"') {
          if (i + 1 >= line.size() || line[i + 1] != '"') break;
          ++i;
        }
        quoted_.text.push_back(line[i]);
      }
      open_ = false;
      ++i;
      while (i < line.size() && IsBlank(line[i])) ++i;
      if (line.substr(i) == "\r") ++i;
      if (i < line.size() && line[i] != ',') {
        return Fault(End::kFaultInRow, at(i), "text behind a closing quote",
                     kCloseQuoteRemedy);
      }
      cells_.push_back(std::move(quoted_));
    }
    if (i >= line.size()) return End::kRow;
    ++i;  // the comma
  }
}

}  // namespace ratebound::points
