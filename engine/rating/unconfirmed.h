// Which facts of a procedure were not read in its published document, so that a user can
// confirm them against a licensed copy before publishing a figure that rests on them.
#ifndef RATEBOUND_ENGINE_RATING_UNCONFIRMED_H_
#define RATEBOUND_ENGINE_RATING_UNCONFIRMED_H_

#include <string>
#include <vector>

#include "engine/document/procedure.h"

namespace ratebound::rating {

// One line for each, in the order of the procedure, such as
//   "weight of point A = 0.02 (AHRI 340/360, clause 6.2: SECONDARY_TEXT)".
std::vector<std::string> UnconfirmedNumbers(const document::Procedure& procedure);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_UNCONFIRMED_H_
