// Time stamps of a log, by the format that its manifest names.
//
// Example:
//   ASSIGN_OR_RETURN(StampReader reader, StampReader::Create("%m/%d %H:%M:%S", ""));
//   const std::optional<Stamp> stamp = reader.Read("08/26  00:01:00");
//   stamp->seconds;    // grows with time; only differences mean something
//
// Formats:
//   "s", "min", "h"   a decimal number of them.
//   "iso8601"         2026-03-31T10:20:30.5+02:00: T or a space between; seconds, their
//                     fraction (point or comma) and the zone (Z, +hh, +hhmm, +hh:mm) may
//                     be absent. (ISO 8601-1:2019, 5.4, the parts a logger writes.)
//   a pattern         %Y (4 digits), %m %d %H %M (1 or 2), %S (1 or 2, with or without a
//                     fraction), %% and any other characters as themselves; a run of
//                     spaces stands for any run of spaces. %H and %M must be there; %d
//                     asks for %m, and %Y for both. Days are of the Gregorian calendar.
//
// 24:00:00 is the end of its day. Where a pattern has no day, a step back by more than
// half a day is midnight; where it has no year, a step back by more than half a year is
// new year. Without a year the days are those of the year of `tested_on` or, where that
// is empty, of a leap year, so that 02/29 can be read; between 02/28 and 03/01 then lies
// a day too much.
//
// Thread-safety: immutable after Create.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_STAMP_READER_H_
#define RATEBOUND_ENGINE_POINTS_LOG_STAMP_READER_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::points {

struct Stamp {
  double seconds = 0;
  // Days since 1970-01-01 of the date as it is written; absent without a year.
  std::optional<int32_t> day;
  bool zoned = false;  // the seconds are of UTC
};

class StampReader {
 public:
  // INVALID_ARGUMENT: a format that is none of the above. `tested_on` is a day as
  // 2026-03-31 or empty.
  static absl::StatusOr<StampReader> Create(std::string_view format,
                                            std::string_view tested_on);

  // Empty where the text is not of the format, or no time of the calendar.
  std::optional<Stamp> Read(std::string_view text) const;

  // What a step back over midnight or new year is short of, in s; 0 where stamps go on
  // for ever.
  double period_s() const { return period_s_; }
  // For messages: what was expected.
  const std::string& format() const { return format_; }

 private:
  struct Item {
    enum class Kind { kField, kSpaces, kLiteral } kind;
    char character;  // of the field or the literal
  };
  struct Fields;

  StampReader() = default;
  std::optional<Stamp> ReadPattern(std::string_view text) const;
  std::optional<Stamp> Assemble(const Fields& fields) const;

  std::string format_;
  double scale_s_ = 0;  // of a number; 0 for the others
  bool iso_ = false;
  bool has_day_ = false;
  bool has_year_ = false;
  int year_ = 2000;  // where the pattern has none
  double period_s_ = 0;
  std::vector<Item> items_;
};

// "2026-03-31", for days since 1970-01-01.
std::string IsoDate(int32_t day);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_STAMP_READER_H_
