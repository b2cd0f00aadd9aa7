// Checks of the parts of a claim. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_CLAIM_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_CLAIM_PARTS_H_

#include <string>

#include "engine/document/check_parts.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/claim.pb.h"

namespace ratebound::document {

// A condition that the region of the claim gives a range for, and its unit. Whether both
// are sound.
bool CheckConditionOfRegion(const v1::Claim& claim, const Node& node, int quantity_field,
                            const std::string& quantity, int unit_field,
                            const std::string& unit);

// Ranges, cuts, serving stages and rows of limits: each by itself, and whether there is
// anything in the region and all of it has a stage and a limit. `node` is the claim's.
void CheckClaimRegion(const v1::Claim& claim, const Node& node);

// Figures of the kinds of promise. `node` is the claim's.
void CheckPromise(const v1::Claim& claim, const Node& node);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_CLAIM_PARTS_H_
