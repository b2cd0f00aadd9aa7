#include "engine/points/utf8_scan.h"

#include <algorithm>
#include <cstdint>
#include <cstring>

#include "engine/base/text.h"

namespace ratebound::points {
namespace {

// Whether the eight bytes are all ASCII and none is NUL: the borrow of a zero byte, or
// the top bit of a byte past ASCII, shows in the top bits.
bool IsPlainAscii(uint64_t word) {
  constexpr uint64_t kOnes = 0x0101010101010101;
  constexpr uint64_t kTops = 0x8080808080808080;
  return (((word - kOnes) | word) & kTops) == 0;
}

}  // namespace

size_t FindMalformed(std::string_view text, size_t begin) {
  size_t i = begin;
  while (i < text.size()) {
    uint64_t word;
    if (text.size() - i >= sizeof(word)) {
      std::memcpy(&word, text.data() + i, sizeof(word));
      if (IsPlainAscii(word)) {
        i += sizeof(word);
        continue;
      }
    }
    const auto byte = static_cast<uint8_t>(text[i]);
    if (byte == 0) return i;
    const size_t length = byte < 0x80 ? 1 : byte < 0xE0 ? 2 : byte < 0xF0 ? 3 : 4;
    if (length > 1 && !base::IsUtf8(text.substr(i, length))) return i;
    i += length;
  }
  return text.size();
}

}  // namespace ratebound::points
