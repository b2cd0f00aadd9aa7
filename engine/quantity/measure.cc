#include "engine/quantity/measure.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_split.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::quantity {
namespace {

using base::Absl;
using base::Printable;

std::string_view Stripped(std::string_view text) {
  return base::Std(absl::StripAsciiWhitespace(Absl(text)));
}

}  // namespace

absl::StatusOr<Measure> ParseMeasure(std::string_view text, Dimension dimension) {
  const std::string_view stripped = Stripped(text);
  double value = 0;
  const char* end = stripped.data() + stripped.size();
  const auto number = std::from_chars(stripped.data(), end, value);
  // from_chars also reads "inf" and "nan".
  const bool starts_as_number =
      !stripped.empty() &&
      (absl::ascii_isdigit(stripped[0]) || stripped[0] == '-' || stripped[0] == '.');
  if (!starts_as_number || number.ec != std::errc() || !std::isfinite(value)) {
    return absl::InvalidArgumentError(
        absl::StrCat("'", Printable(text),
                     "' does not begin with a number; write a decimal such as 85.0 "
                     "and a unit: ",
                     UnitNames(dimension)));
  }
  const std::string_view unit_name =
      Stripped(stripped.substr(number.ptr - stripped.data()));
  if (unit_name.empty()) {
    return absl::InvalidArgumentError(absl::StrCat(
        "'", Printable(text), "' has no unit; write one of ", UnitNames(dimension)));
  }
  ASSIGN_OR_RETURN(const Unit unit, FindUnit(unit_name, dimension));
  return Measure{ToSi(value, unit), unit};
}

absl::StatusOr<Assignment> ParseAssignment(std::string_view text) {
  const size_t equals = text.find('=');
  if (equals == std::string_view::npos) {
    return absl::InvalidArgumentError(
        absl::StrCat("'", Printable(text),
                     "' is no assignment; write quantity=value unit, such as "
                     "entering_water_temp=90degF, with no separators of thousands"));
  }
  ASSIGN_OR_RETURN(const Quantity* quantity,
                   FindQuantity(Stripped(text.substr(0, equals))));
  const auto measure = ParseMeasure(text.substr(equals + 1), quantity->dimension);
  if (!measure.ok()) {
    return absl::InvalidArgumentError(
        absl::StrCat(Absl(quantity->name), ": ", measure.status().message()));
  }
  RETURN_IF_ERROR(CheckPlausible(*quantity, measure->value_si));
  return Assignment{quantity, measure->value_si, measure->unit};
}

absl::StatusOr<std::vector<Assignment>> ParseAssignments(std::string_view text) {
  std::vector<Assignment> assignments;
  if (Stripped(text).empty()) return assignments;
  base::FaultList faults;
  for (absl::string_view item : absl::StrSplit(Absl(text), ',')) {
    const auto assignment = ParseAssignment(base::Std(item));
    if (!assignment.ok()) {
      faults.AddStatus(assignment.status());
      continue;
    }
    const bool repeated = std::any_of(assignments.begin(), assignments.end(),
                                      [&](const Assignment& earlier) {
                                        return earlier.quantity == assignment->quantity;
                                      });
    if (repeated) {
      faults.Add(
          {.message = absl::StrCat(Absl(assignment->quantity->name), " is given twice"),
           .remedy = "keep one"});
      continue;
    }
    assignments.push_back(*assignment);
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return assignments;
}

absl::StatusOr<Column> ParseHeaderCell(std::string_view text) {
  const std::string_view stripped = Stripped(text);
  const size_t open = stripped.find('[');
  const std::string_view name = Stripped(stripped.substr(0, open));
  ASSIGN_OR_RETURN(const Quantity* quantity, FindQuantity(name));
  if (open == std::string_view::npos) {
    return absl::InvalidArgumentError(
        absl::StrCat("column '", Absl(name), "' has no unit; write ", Absl(name),
                     "[unit] with one of ", UnitNames(quantity->dimension)));
  }
  if (stripped.back() != ']') {
    return absl::InvalidArgumentError(absl::StrCat("column '", Printable(stripped),
                                                   "' does not end with ]; write ",
                                                   Absl(name), "[unit]"));
  }
  const std::string_view unit_name =
      Stripped(stripped.substr(open + 1, stripped.size() - open - 2));
  const auto unit = FindUnit(unit_name, quantity->dimension);
  if (!unit.ok()) {
    return absl::InvalidArgumentError(
        absl::StrCat("column '", Absl(name), "': ", unit.status().message()));
  }
  return Column{quantity, *unit};
}

std::string FormatIn(double value_si, const Unit& unit, int decimals) {
  std::string text =
      absl::StrFormat("%.*f", std::clamp(decimals, 0, 17), FromSi(value_si, unit));
  const bool negative_zero = text[0] == '-' && text.find_first_not_of("-0.") == text.npos;
  if (negative_zero) text.erase(0, 1);
  return absl::StrCat(text, " ", Absl(unit.name));
}

std::string FormatIn(double value_si, const Unit& unit) {
  return absl::StrCat(base::ShortestText(FromSi(value_si, unit) + 0.0), " ",
                      Absl(unit.name));
}

}  // namespace ratebound::quantity
