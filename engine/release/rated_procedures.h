// Which procedures ratings are computed by, and in which climate of a season.
//
// Example:
//   FindRated("scop-air-to-air/colder", procedures);   // with that climate as the rated
//   one const document::Unit own = WithInputsOf(unit, "scop-air-to-air/colder");
#ifndef RATEBOUND_ENGINE_RELEASE_RATED_PROCEDURES_H_
#define RATEBOUND_ENGINE_RELEASE_RATED_PROCEDURES_H_

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/procedure.h"

namespace ratebound::release {

// The procedure of this id or, for "id/climate", a copy with that climate first. Empty
// where there is none.
std::optional<document::Procedure> FindRated(
    std::string_view name, std::span<const document::Procedure> procedures);

// The unit with the inputs that its manifest gives for "id/climate" as those of the
// procedure, ahead of those it gives for all climates.
document::Unit WithInputsOf(const document::Unit& unit, std::string_view name);

// Every name that FindRated knows, for messages.
std::vector<std::string> RatedNames(std::span<const document::Procedure> procedures);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_RATED_PROCEDURES_H_
