// Days written as ISO 8601 writes them, "2026-03-31". Such text compares as the days do.
#ifndef RATEBOUND_ENGINE_BASE_ISO_DATE_H_
#define RATEBOUND_ENGINE_BASE_ISO_DATE_H_

#include <string_view>

namespace ratebound::base {

// Whether `text` is a day of the Gregorian calendar, in that form.
constexpr bool IsIsoDate(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  const auto number = [text](int from, int count) {
    int value = 0;
    for (int i = from; i < from + count; ++i) {
      if (text[i] < '0' || text[i] > '9') return -1;
      value = 10 * value + (text[i] - '0');
    }
    return value;
  };
  const int year = number(0, 4);
  const int month = number(5, 2);
  const int day = number(8, 2);
  if (year < 1 || month < 1 || month > 12 || day < 1) return false;
  constexpr int kDays[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return day <= kDays[month - 1] + (leap && month == 2 ? 1 : 0);
}

}  // namespace ratebound::base

#endif  // RATEBOUND_ENGINE_BASE_ISO_DATE_H_
