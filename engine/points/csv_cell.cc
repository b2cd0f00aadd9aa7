#include "engine/points/csv_cell.h"

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

bool IsWordForNoNumber(std::string_view text) {
  if (!text.empty() && (text.front() == '-' || text.front() == '+'))
    text.remove_prefix(1);
  std::string lower(text.substr(0, 12));
  for (char& c : lower) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return lower == "nan" || lower == "inf" || lower == "infinity" || lower == "na" ||
         lower == "n/a" || lower == "null";
}

}  // namespace

CellComplaint ComplainOfNumber(std::string_view text, bool out_of_range) {
  const std::string shown = absl::StrCat("'", base::Printable(text), "'");
  if (IsWordForNoNumber(text)) {
    return {absl::StrCat(shown, " is no measured value"),
            "leave the cell empty where nothing was measured"};
  }
  if (out_of_range) {
    return {absl::StrCat(shown, " is out of range"),
            "write a value that a 64-bit number can hold"};
  }
  return {absl::StrCat(shown, " is no number"),
          "write a plain decimal such as 1234.5: no unit, no thousands mark, a point for "
          "the decimals"};
}

}  // namespace ratebound::points
