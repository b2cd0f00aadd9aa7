// A row of a CSV file that holds no quotes, cell by cell: the fast way of the readers of
// whole files and of logs alike.
//
// Example:
//   const bool plain = ReadPlainRow(row, row.data() + row.size(), uses, {
//       [&](size_t j, double value) { ... },
//       [&](size_t j, std::string_view text, int column) { ... },
//       [&](int column, std::string message, std::string remedy) { ... }});
//
// Thread-safety: as the functions given.
#ifndef RATEBOUND_ENGINE_POINTS_PLAIN_ROW_H_
#define RATEBOUND_ENGINE_POINTS_PLAIN_ROW_H_

#include <cmath>
#include <cstring>
#include <span>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include "engine/points/csv.h"
#include "engine/points/csv_cell.h"
#include "engine/points/decimal.h"

namespace ratebound::points {

template <typename TakeNumber, typename TakeText, typename Complain>
struct PlainRowSink {
  TakeNumber take_number;
  TakeText take_text;
  Complain complain;  // of the cell that starts at a column, counted from 1
};
// clang 14 deduces none for an aggregate.
template <typename TakeNumber, typename TakeText, typename Complain>
PlainRowSink(TakeNumber, TakeText, Complain)
    -> PlainRowSink<TakeNumber, TakeText, Complain>;

// False, with cells perhaps taken already, where the row needs the reader that knows
// quotes, or has not one cell for each use. Bytes up to `readable_end`, which is not
// before the end of the row, may be looked at.
template <typename TakeNumber, typename TakeText, typename Complain>
bool ReadPlainRow(std::string_view row, const char* readable_end,
                  std::span<const CsvUse> uses,
                  PlainRowSink<TakeNumber, TakeText, Complain> sink) {
  const char* const first = row.data();
  const char* const last = first + row.size();
  const char* p = first;
  const size_t columns = uses.size();
  for (size_t j = 0; j < columns; ++j) {
    const bool is_last = j + 1 == columns;
    if (uses[j] == CsvUse::kNumber) {
      double value;
      const DecimalEnd end =
          ReadDecimal({p, static_cast<size_t>(readable_end - p)}, &value);
      const bool ends_cell = end.next == last ? is_last : *end.next == ',' && !is_last;
      if (ends_cell && end.next != p && end.error == std::errc() &&
          std::isfinite(value)) {
        sink.take_number(j, value);
        p = end.next + 1;
        continue;
      }
    }
    const auto* comma = static_cast<const char*>(
        p < last ? std::memchr(p, ',', static_cast<size_t>(last - p)) : nullptr);
    if (is_last ? comma != nullptr : comma == nullptr) return false;
    const char* const cell_end = is_last ? last : comma;
    const std::string_view cell(p, static_cast<size_t>(cell_end - p));
    if (cell.find('"') != cell.npos || cell.find('\r') != cell.npos) return false;
    const std::string_view text = Trimmed(cell);
    const int column = static_cast<int>(p - first) + 1;
    if (uses[j] == CsvUse::kNumber) {
      sink.take_number(j,
                       ReadNumberCell(text, [&](std::string message, std::string remedy) {
                         sink.complain(column, std::move(message), std::move(remedy));
                       }));
    } else if (uses[j] == CsvUse::kText) {
      sink.take_text(j, text, column);
    }
    p = cell_end + 1;
  }
  return true;
}

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PLAIN_ROW_H_
