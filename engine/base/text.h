// Where text meets Abseil. The packaged Abseil has a string_view of its own, with no
// conversion from std::string_view in either direction; API text here is
// std::string_view.
//
// Example:
//   return absl::InvalidArgumentError(absl::StrCat("unknown unit '", Absl(unit), "'"));
#ifndef RATEBOUND_ENGINE_BASE_TEXT_H_
#define RATEBOUND_ENGINE_BASE_TEXT_H_

#include <optional>
#include <string>
#include <string_view>

#include "absl/strings/string_view.h"

namespace ratebound::base {

inline absl::string_view Absl(std::string_view text) {
  return {text.data(), text.size()};
}
inline std::string_view Std(absl::string_view text) { return {text.data(), text.size()}; }

// The shortest decimal text that reads back to the same double ("85", "0.1", "-1e-07").
std::string ShortestText(double value);

// Reads the whole of `text` as a finite decimal number; empty for anything else: trailing
// characters, a leading '+' or space, "nan", "inf", hexadecimal, out of range.
std::optional<double> ParseFiniteNumber(std::string_view text);

// Whether every byte belongs to well-formed UTF-8 (RFC 3629: no surrogates, no overlong
// forms).
bool IsUtf8(std::string_view text);

// Text from outside, made fit for a message: cut to `limit` bytes on a character
// boundary, with control and malformed bytes shown as \xNN.
std::string Printable(std::string_view text, int limit = 60);

}  // namespace ratebound::base

#endif  // RATEBOUND_ENGINE_BASE_TEXT_H_
