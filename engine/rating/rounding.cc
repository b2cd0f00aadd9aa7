#include "engine/rating/rounding.h"

#include <cmath>
#include <cstdlib>

#include "absl/strings/str_format.h"
#include "engine/base/text.h"

namespace ratebound::rating {
namespace {

// Digits behind the point of the shortest text of `step`; "1e-07" has seven.
int DecimalsOf(double step) {
  const std::string text = base::ShortestText(step);
  const size_t exponent_at = text.find('e');
  const std::string mantissa = text.substr(0, exponent_at);
  const size_t point = mantissa.find('.');
  int decimals =
      point == std::string::npos ? 0 : static_cast<int>(mantissa.size() - point - 1);
  if (exponent_at != std::string::npos)
    decimals -= std::atoi(text.c_str() + exponent_at + 1);
  return decimals < 0 ? 0 : decimals;
}

}  // namespace

std::string RoundedText(double value, double step) {
  const double steps = std::fabs(value) / step;
  const double count = std::floor(steps * (1 + 1e-12) + 0.5);
  const double rounded = count == 0 ? 0.0 : std::copysign(count * step, value);
  return absl::StrFormat("%.*f", DecimalsOf(step), rounded);
}

}  // namespace ratebound::rating
