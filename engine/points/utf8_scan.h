// Where a text stops being text: the first NUL or malformed UTF-8 byte. Plain ASCII
// passes at eight bytes a step.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_UTF8_SCAN_H_
#define RATEBOUND_ENGINE_POINTS_UTF8_SCAN_H_

#include <cstddef>
#include <string_view>

namespace ratebound::points {

// Offset of the first NUL byte or of the first byte of a malformed character at or behind
// `begin` (a character boundary); text.size() where there is none.
size_t FindMalformed(std::string_view text, size_t begin);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UTF8_SCAN_H_
