#include "engine/points/log/stamp_reader.h"

#include <cmath>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/iso_date.h"
#include "engine/base/text.h"
#include "engine/points/decimal.h"

namespace ratebound::points {
namespace {

constexpr double kDayS = 86400;

bool IsLeap(int year) { return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0; }

int DaysOfMonth(int year, int month) {
  constexpr int kDays[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  return kDays[month - 1] + (month == 2 && IsLeap(year) ? 1 : 0);
}

// Days since 1970-01-01 of a day of the Gregorian calendar, by counting years from March
// on, so that the leap day is the last of its year.
int32_t DayNumber(int year, int month, int day) {
  const int shifted = month <= 2 ? year - 1 : year;
  const int era = shifted / 400;  // years are not negative
  const int year_of_era = shifted - era * 400;
  const int day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
  const int day_of_era =
      year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * 146097 + day_of_era - 719468;
}

// Takes text from the front.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}

  bool done() const { return at_ == text_.size(); }
  char next() const { return done() ? '\0' : text_[at_]; }
  bool Take(char c) {
    if (next() != c || done()) return false;
    ++at_;
    return true;
  }
  bool TakeSpaces() {
    const size_t before = at_;
    while (Take(' ')) {
    }
    return at_ > before;
  }
  // Between `least` and `most` digits.
  bool TakeDigits(int least, int most, int* value) {
    int count = 0;
    *value = 0;
    while (count < most && IsDigit()) {
      *value = 10 * *value + (text_[at_++] - '0');
      ++count;
    }
    return count >= least;
  }
  // ".25", where there is one; digits behind the fifteenth change nothing.
  bool TakeFraction(bool comma_too, double* fraction) {
    *fraction = 0;
    if (!Take('.') && !(comma_too && Take(','))) return true;
    int64_t digits = 0;
    double power = 1;
    int count = 0;
    for (; IsDigit(); ++at_, ++count) {
      if (count >= 15) continue;
      digits = 10 * digits + (text_[at_] - '0');
      power *= 10;
    }
    *fraction = static_cast<double>(digits) / power;
    return count > 0;
  }

 private:
  bool IsDigit() const { return !done() && text_[at_] >= '0' && text_[at_] <= '9'; }

  std::string_view text_;
  size_t at_ = 0;
};

}  // namespace

struct StampReader::Fields {
  int year = 0;
  int month = 1;
  int day = 1;
  int hour = 0;
  int minute = 0;
  int second = 0;
  double fraction = 0;
  int zone_s = 0;
  bool zoned = false;
};

absl::StatusOr<StampReader> StampReader::Create(std::string_view format,
                                                std::string_view tested_on) {
  StampReader reader;
  reader.format_ = std::string(format);
  if (format == "s" || format == "min" || format == "h") {
    reader.scale_s_ = format == "s" ? 1 : format == "min" ? 60 : 3600;
    return reader;
  }
  if (format == "iso8601") {
    reader.iso_ = true;
    reader.has_day_ = true;
    reader.has_year_ = true;
    return reader;
  }
  const auto refuse = [&](std::string_view why) {
    return absl::InvalidArgumentError(absl::StrCat(
        "time format '", base::Printable(format), "' ", base::Absl(why),
        "; write s, min, h, iso8601 or a pattern such as %Y-%m-%d %H:%M:%S"));
  };
  std::string fields;
  for (size_t i = 0; i < format.size(); ++i) {
    const char c = format[i];
    if (c == ' ') {
      if (reader.items_.empty() || reader.items_.back().kind != Item::Kind::kSpaces) {
        reader.items_.push_back({Item::Kind::kSpaces, ' '});
      }
    } else if (c != '%') {
      reader.items_.push_back({Item::Kind::kLiteral, c});
    } else if (++i == format.size()) {
      return refuse("ends in a single %");
    } else if (format[i] == '%') {
      reader.items_.push_back({Item::Kind::kLiteral, '%'});
    } else if (std::string_view("YmdHMS").find(format[i]) == std::string_view::npos) {
      return refuse("has a field that is not known");
    } else if (fields.find(format[i]) != std::string::npos) {
      return refuse("has a field twice");
    } else {
      fields.push_back(format[i]);
      reader.items_.push_back({Item::Kind::kField, format[i]});
    }
  }
  const auto has = [&](char field) { return fields.find(field) != std::string::npos; };
  if (!has('H') || !has('M')) return refuse("has not both %H and %M");
  if (has('d') != has('m') || (has('Y') && !has('d'))) {
    return refuse("has only part of a date");
  }
  reader.has_day_ = has('d');
  reader.has_year_ = has('Y');
  if (base::IsIsoDate(tested_on)) {
    reader.year_ = (tested_on[0] - '0') * 1000 + (tested_on[1] - '0') * 100 +
                   (tested_on[2] - '0') * 10 + (tested_on[3] - '0');
  }
  if (!reader.has_day_) {
    reader.period_s_ = kDayS;
  } else if (!reader.has_year_) {
    reader.period_s_ = kDayS * (IsLeap(reader.year_) ? 366 : 365);
  }
  return reader;
}

std::optional<Stamp> StampReader::Read(std::string_view text) const {
  if (scale_s_ > 0) {
    double value = 0;
    const DecimalEnd end = ReadDecimal(text, &value);
    if (text.empty() || end.next != text.data() + text.size() ||
        end.error != std::errc()) {
      return {};
    }
    const double seconds = value * scale_s_;
    if (!(std::fabs(seconds) < 1e12)) return {};
    return Stamp{.seconds = seconds};
  }
  if (!iso_) return ReadPattern(text);
  Fields fields;
  Scanner scanner(text);
  if (!scanner.TakeDigits(4, 4, &fields.year) || !scanner.Take('-') ||
      !scanner.TakeDigits(2, 2, &fields.month) || !scanner.Take('-') ||
      !scanner.TakeDigits(2, 2, &fields.day) ||
      !(scanner.Take('T') || scanner.Take('t') || scanner.Take(' ')) ||
      !scanner.TakeDigits(2, 2, &fields.hour) || !scanner.Take(':') ||
      !scanner.TakeDigits(2, 2, &fields.minute)) {
    return {};
  }
  if (scanner.Take(':') && !(scanner.TakeDigits(2, 2, &fields.second) &&
                             scanner.TakeFraction(true, &fields.fraction))) {
    return {};
  }
  if (scanner.Take('Z') || scanner.Take('z')) {
    fields.zoned = true;
  } else if (scanner.next() == '+' || scanner.next() == '-') {
    const int sign = scanner.Take('-') ? -1 : 1;
    if (sign > 0) scanner.Take('+');
    int hours = 0;
    int minutes = 0;
    if (!scanner.TakeDigits(2, 2, &hours)) return {};
    if ((scanner.Take(':') || !scanner.done()) && !scanner.TakeDigits(2, 2, &minutes)) {
      return {};
    }
    if (hours > 23 || minutes > 59) return {};
    fields.zone_s = sign * (3600 * hours + 60 * minutes);
    fields.zoned = true;
  }
  if (!scanner.done()) return {};
  return Assemble(fields);
}

std::optional<Stamp> StampReader::ReadPattern(std::string_view text) const {
  Fields fields;
  fields.year = year_;
  Scanner scanner(text);
  for (const Item& item : items_) {
    bool fits = false;
    if (item.kind == Item::Kind::kSpaces) {
      fits = scanner.TakeSpaces();
    } else if (item.kind == Item::Kind::kLiteral) {
      fits = scanner.Take(item.character);
    } else if (item.character == 'Y') {
      fits = scanner.TakeDigits(4, 4, &fields.year);
    } else if (item.character == 'm') {
      fits = scanner.TakeDigits(1, 2, &fields.month);
    } else if (item.character == 'd') {
      fits = scanner.TakeDigits(1, 2, &fields.day);
    } else if (item.character == 'H') {
      fits = scanner.TakeDigits(1, 2, &fields.hour);
    } else if (item.character == 'M') {
      fits = scanner.TakeDigits(1, 2, &fields.minute);
    } else {
      fits = scanner.TakeDigits(1, 2, &fields.second) &&
             scanner.TakeFraction(false, &fields.fraction);
    }
    if (!fits) return {};
  }
  if (!scanner.done()) return {};
  return Assemble(fields);
}

std::optional<Stamp> StampReader::Assemble(const Fields& fields) const {
  if (fields.year < 1 || fields.month < 1 || fields.month > 12 || fields.day < 1 ||
      fields.day > DaysOfMonth(fields.year, fields.month) || fields.minute > 59 ||
      fields.second > 59) {
    return {};
  }
  const int of_day = 3600 * fields.hour + 60 * fields.minute + fields.second;
  if (of_day > 86400 || (of_day == 86400 && fields.fraction > 0)) return {};
  const int32_t day =
      has_day_ ? DayNumber(fields.year, fields.month, fields.day) : int32_t{0};
  Stamp stamp;
  stamp.seconds = day * kDayS + (of_day - fields.zone_s) + fields.fraction;
  if (has_year_) stamp.day = day;
  stamp.zoned = fields.zoned;
  return stamp;
}

std::string IsoDate(int32_t day) {
  const int shifted = day + 719468;  // days since 0000-03-01, not negative
  const int era = shifted / 146097;
  const int day_of_era = shifted - era * 146097;
  const int year_of_era =
      (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
  const int day_of_year =
      day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const int month_from_march = (5 * day_of_year + 2) / 153;
  const int month = month_from_march < 10 ? month_from_march + 3 : month_from_march - 9;
  const int year = year_of_era + era * 400 + (month <= 2 ? 1 : 0);
  return absl::StrFormat("%04d-%02d-%02d", year, month,
                         day_of_year - (153 * month_from_march + 2) / 5 + 1);
}

}  // namespace ratebound::points
