// Checks of a season of temperature bins. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_

#include "engine/document/check_parts.h"
#include "engine/document/check_required_inputs.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/season.pb.h"

namespace ratebound::document {

// `procedure` is the one that the season stands in, `inputs` its required inputs.
void CheckSeason(const v1::BinSeason& season, const v1::Procedure& procedure,
                 const RequiredInputs& inputs, const Node& node);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_
