// Checks of a season of temperature bins. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_

#include <functional>

#include "engine/document/text_document.h"
#include "ratebound/v1/condition.pb.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/season.pb.h"

namespace ratebound::document {

// Checks one condition that stands at the node, as those of the procedure are checked.
using ConditionCheck = std::function<void(const v1::CitedCondition&, const Node&)>;

// `procedure` is the one that the season stands in: it has the inputs and the unit of the
// metric.
void CheckSeason(const v1::BinSeason& season, const v1::Procedure& procedure,
                 const ConditionCheck& check_condition, const Node& node);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_SEASON_H_
