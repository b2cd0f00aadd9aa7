#include "engine/base/text.h"

#include <charconv>
#include <cmath>
#include <cstdint>

#include "absl/strings/str_format.h"

namespace ratebound::base {
namespace {

// Length in bytes of the well-formed character at the front of `text`, or 0.
int CharacterLength(std::string_view text) {
  const auto byte = [&](size_t i) { return static_cast<uint8_t>(text[i]); };
  const auto continues = [&](size_t i) {
    return i < text.size() && (byte(i) & 0xC0) == 0x80;
  };
  const uint8_t lead = byte(0);
  if (lead < 0x80) return 1;
  if (lead < 0xC2) return 0;
  if (lead < 0xE0) return continues(1) ? 2 : 0;
  if (lead < 0xF0) {
    if (!continues(1) || !continues(2)) return 0;
    if (lead == 0xE0 && byte(1) < 0xA0) return 0;
    if (lead == 0xED && byte(1) > 0x9F) return 0;
    return 3;
  }
  if (lead > 0xF4 || !continues(1) || !continues(2) || !continues(3)) return 0;
  if (lead == 0xF0 && byte(1) < 0x90) return 0;
  if (lead == 0xF4 && byte(1) > 0x8F) return 0;
  return 4;
}

}  // namespace

std::string ShortestText(double value) {
  char buffer[32];
  const auto end = std::to_chars(buffer, buffer + sizeof(buffer), value).ptr;
  return std::string(buffer, end);
}

std::optional<double> ParseFiniteNumber(std::string_view text) {
  double value = 0;
  const char* end = text.data() + text.size();
  const auto result = std::from_chars(text.data(), end, value);
  if (result.ec != std::errc() || result.ptr != end || !std::isfinite(value)) return {};
  return value;
}

bool IsUtf8(std::string_view text) {
  while (!text.empty()) {
    const int length = CharacterLength(text);
    if (length == 0) return false;
    text.remove_prefix(length);
  }
  return true;
}

std::string Printable(std::string_view text, int limit) {
  std::string shown;
  while (!text.empty()) {
    if (static_cast<int>(shown.size()) >= limit) return shown + "...";
    int length = CharacterLength(text);
    const auto lead = static_cast<uint8_t>(text[0]);
    if (length == 0 || lead < 0x20 || lead == 0x7F) {
      absl::StrAppendFormat(&shown, "\\x%02x", lead);
      length = 1;
    } else {
      shown.append(text.substr(0, length));
    }
    text.remove_prefix(length);
  }
  return shown;
}

}  // namespace ratebound::base
