// At which conditions a unit's stages run for each point of a procedure.
//
// The procedure names conditions; the unit's figures depend on some and hold at others.
// All of both must be accounted for before anything is computed:
//  - named by the procedure and known to the unit: used, turned into SI;
//  - named, and held by the unit within its tolerance: satisfied;
//  - named with if_mapped, and unknown to the unit: taken as tested, with a note;
//  - named otherwise, and unknown to the unit: refused;
//  - needed by the unit and not named: refused, listing exactly what is missing.
// Wet bulb and dew point (or relative humidity) of one air stream are not turned into
// each other here; the refusal says which one the unit was mapped over.
#ifndef RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_
#define RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/rated_unit.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// The conditions of one run: in SI for the unit, in the procedure's own units for the
// trace.
struct RunConditions {
  std::vector<QuantityValue> values_si;  // of mode.conditions, in that order
  std::vector<TraceNode> trace;
};

class ConditionPlan {
 public:
  // FAILED_PRECONDITION where procedure and unit do not fit, for any point. Refers to all
  // three, which must outlive it.
  static absl::StatusOr<ConditionPlan> Create(const document::Procedure& procedure,
                                              const RatedUnit& rated_unit,
                                              const ProcedureInputs& inputs);

  absl::StatusOr<RunConditions> AtPoint(const document::LoadPoint& point) const;
  // The point's conditions with those of part_load.load_lines set for a load of
  // `percent`.
  absl::StatusOr<RunConditions> AtLoad(const document::LoadPoint& point,
                                       double percent) const;

  // What was taken as tested, for the rating's notes.
  std::vector<std::string> Notes() const;

 private:
  ConditionPlan(const document::Procedure& procedure, const RatedUnit& rated_unit,
                const ProcedureInputs& inputs)
      : procedure_(procedure), rated_unit_(rated_unit), inputs_(inputs) {}

  // Common conditions, overridden by the point's own.
  std::vector<const document::CitedCondition*> ConditionsOf(
      const document::LoadPoint& point) const;
  absl::Status CheckKnown(const document::LoadPoint& point);
  absl::Status CheckComplete(const document::LoadPoint& point) const;
  // The value in `unit`, and how it came about, of a condition at a load of `percent`.
  struct Resolved {
    double value = 0;
    std::string unit;
    std::string how;
    document::Citation citation;
  };
  absl::StatusOr<Resolved> Resolve(const document::CitedCondition& condition,
                                   double percent) const;
  absl::StatusOr<double> LineValue(const document::CitedCondition& condition,
                                   double percent) const;
  absl::StatusOr<RunConditions> Run(
      const std::vector<const document::CitedCondition*>& conditions,
      double percent) const;

  const document::Procedure& procedure_;
  const RatedUnit& rated_unit_;
  const ProcedureInputs& inputs_;
  std::vector<std::string> taken_as_tested_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_
