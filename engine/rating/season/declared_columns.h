// The sums of a season by declared points, several bins at once: the bits of the bins one
// by one in evaluate_season.cc.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_DECLARED_COLUMNS_H_
#define RATEBOUND_ENGINE_RATING_SEASON_DECLARED_COLUMNS_H_

#include <span>

#include "engine/rating/season/declared_points.h"
#include "engine/rating/season/evaluate_season.h"
#include "engine/rating/season/season_plan.h"

namespace ratebound::rating {

// From the bins and lines of a plan.
DeclaredColumns ColumnsOf(const SeasonPlan& plan);

// `plan.declared_columns` is usable.
SeasonSums SumColumns(const SeasonPlan& plan, std::span<const DeclaredPoint> points,
                      double design_load_w);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_DECLARED_COLUMNS_H_
