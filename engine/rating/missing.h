// What a unit lacks for a procedure: the very test points and inputs.
//
// Example:
//   MissingData missing;
//   FindMissing(procedure, source, missing);
//   missing.points[0].stage;          // "low"
//   missing.points[0].conditions;     // outdoor_air_db 65 degF, ...
#ifndef RATEBOUND_ENGINE_RATING_MISSING_H_
#define RATEBOUND_ENGINE_RATING_MISSING_H_

#include <span>
#include <string>
#include <vector>

#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/figure_source.h"
#include "engine/rating/metric_form.h"

namespace ratebound::rating {

// Of any unit, whether the procedure can be compiled for it or not: where it cannot since
// conditions do not fit, every point of the procedure is missing; outside the scope
// nothing is.
void FindMissing(const document::Procedure& procedure, const FigureSource& source,
                 MissingData& missing);

// Collects for a form. Each point, stage and reason once.
class MissingSearch {
 public:
  MissingSearch(const CompileContext& context, const FigureSource& source,
                MissingData& missing)
      : context_(context), source_(source), missing_(missing) {}

  // Capacity and power, or `quantities` where they are given: blocking where one is not
  // known there.
  void LookForFigures(const PointConditions& point, int stage,
                      std::span<const double> conditions_si,
                      std::vector<std::string> quantities = {});
  // Not blocking where figures there are extrapolated or predicted.
  void LookAtFooting(const PointConditions& point, int stage,
                     std::span<const double> conditions_si);
  // Powers that can be measured at the point or given as inputs of the same names, and
  // inputs.
  void AskPowers(const PointConditions& point, int stage,
                 std::span<const std::string> names);

 private:
  void Add(const PointConditions& point, int stage, std::vector<std::string> quantities,
           std::string reason, bool blocking);

  const CompileContext& context_;
  const FigureSource& source_;
  MissingData& missing_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_MISSING_H_
