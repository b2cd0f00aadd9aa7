// One cell of a CSV file, for the readers of whole files and of logs alike: blanks around
// it, and a number with what is wrong where it is none.
//
// Example:
//   const double value = ReadNumberCell("85.0", [&](std::string message,
//                                                   std::string remedy) { ... });
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_CSV_CELL_H_
#define RATEBOUND_ENGINE_POINTS_CSV_CELL_H_

#include <cmath>
#include <limits>
#include <string>
#include <string_view>
#include <utility>

#include "engine/points/decimal.h"

namespace ratebound::points {

inline constexpr double kNotMeasured = std::numeric_limits<double>::quiet_NaN();
inline constexpr char kCloseQuoteRemedy[] =
    "a cell that holds quotes is quoted as a whole and doubles each quote inside";

constexpr bool IsBlank(char c) { return c == ' ' || c == '\t'; }

constexpr std::string_view Trimmed(std::string_view text) {
  while (!text.empty() && IsBlank(text.front())) text.remove_prefix(1);
  while (!text.empty() && IsBlank(text.back())) text.remove_suffix(1);
  return text;
}

struct CellComplaint {
  std::string message;
  std::string remedy;
};

// What is wrong with a cell that is no number; `out_of_range` where it has the form of
// one.
CellComplaint ComplainOfNumber(std::string_view text, bool out_of_range);

// An empty cell is NaN; anything but a finite decimal is NaN, too, and is told to
// `complain(message, remedy)`.
template <typename Complain>
double ReadNumberCell(std::string_view text, Complain&& complain) {
  if (text.empty()) return kNotMeasured;
  double value = kNotMeasured;
  const DecimalEnd end = ReadDecimal(text, &value);
  if (end.next == text.data() + text.size() && end.error == std::errc() &&
      std::isfinite(value)) {
    return value;
  }
  CellComplaint complaint =
      ComplainOfNumber(text, end.error == std::errc::result_out_of_range);
  complain(std::move(complaint.message), std::move(complaint.remedy));
  return kNotMeasured;
}

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_CSV_CELL_H_
