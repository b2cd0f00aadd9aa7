// The known name that a misspelt one most likely meant, for error messages.
//
// Example:
//   NearestName("entering_water_tmp", {"entering_water_temp", "water_flow"})
//       -> "entering_water_temp"
#ifndef RATEBOUND_ENGINE_BASE_NEAREST_NAME_H_
#define RATEBOUND_ENGINE_BASE_NEAREST_NAME_H_

#include <span>
#include <string>
#include <string_view>

namespace ratebound::base {

// Empty when nothing is near: more than a third of the letters would have to change.
// Letter case is ignored; the first of equally near names wins.
std::string NearestName(std::string_view name, std::span<const std::string> known);

// "; did you mean 'x'?" or, when nothing is near, "".
std::string DidYouMean(std::string_view name, std::span<const std::string> known);

}  // namespace ratebound::base

#endif  // RATEBOUND_ENGINE_BASE_NEAREST_NAME_H_
