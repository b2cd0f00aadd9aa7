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
//
// Thread-safety: immutable once created.
#ifndef RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_
#define RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/quantity/unit.h"
#include "engine/rating/figure_source.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// Conditions of a mode that a rating makes room for; a map is fitted over at most eight.
inline constexpr size_t kMostModeConditions = 16;

// A point of whatever form: its letter (empty for a form of one point), its load and what
// it states beside the common conditions.
struct PointConditions {
  std::string id;
  double percent_load = 100;
  std::vector<document::CitedCondition> conditions;
};

class ConditionPlan {
 public:
  // FAILED_PRECONDITION where procedure and unit do not fit, for any point.
  // `load_lines` replace conditions where a stage runs at its own load. Refers to
  // procedure, description and inputs, which must outlive it.
  static absl::StatusOr<ConditionPlan> Create(
      const document::Procedure& procedure, const SourceDescription& description,
      const ProcedureInputs& inputs, std::vector<PointConditions> points,
      std::vector<document::CitedCondition> load_lines = {});

  int point_count() const { return static_cast<int>(points_.size()); }
  const PointConditions& point(int index) const { return points_[index]; }

  // Of mode.conditions, in that order, in SI.
  std::span<const double> ValuesSi(int point) const { return values_si_[point]; }
  // The same with the load lines set for a load of `percent`. Allocates nothing.
  void ValuesAtLoadSi(int point, double percent, std::span<double> values_si) const;

  // The same in the procedure's own units, with their clauses.
  std::vector<TraceNode> Trace(int point) const;
  std::vector<TraceNode> TraceAtLoad(int point, double percent) const;

  // What was taken as tested, for the rating's notes.
  std::vector<std::string> Notes() const;

 private:
  // A condition of the mode as a line over load, in `unit`.
  struct Line {
    int condition = 0;
    bool from_full_load = false;
    double at_full_load = 0;
    document::LoadLine line;
    quantity::Unit unit;
  };
  struct Resolved {
    double value = 0;
    std::string unit;
    std::string how;
    document::Citation citation;
  };

  ConditionPlan(const document::Procedure& procedure,
                const SourceDescription& description, const ProcedureInputs& inputs)
      : procedure_(procedure), description_(description), inputs_(inputs) {}

  absl::Status CheckKnown(const PointConditions& point);
  absl::Status CheckComplete(const PointConditions& point) const;
  absl::Status AddLines();
  std::vector<const document::CitedCondition*> ConditionsOf(
      const PointConditions& point) const;
  std::vector<const document::CitedCondition*> ConditionsAtLoad(
      const PointConditions& point) const;
  absl::StatusOr<Resolved> Resolve(const document::CitedCondition& condition,
                                   double percent) const;
  absl::StatusOr<double> LineValue(const document::CitedCondition& condition,
                                   double percent) const;
  std::vector<TraceNode> TraceOf(
      const std::vector<const document::CitedCondition*>& conditions,
      double percent) const;

  const document::Procedure& procedure_;
  const SourceDescription& description_;
  const ProcedureInputs& inputs_;
  std::vector<PointConditions> points_;
  std::vector<document::CitedCondition> load_lines_;
  std::vector<std::vector<double>> values_si_;
  std::vector<Line> lines_;
  std::vector<std::string> taken_as_tested_;
};

// The conditions that a point names, the common ones among them, as far as they can be
// told without the unit: for lists of what is to be measured. In the procedure's units.
std::vector<document::Measure> StatedConditions(const document::Procedure& procedure,
                                                const ProcedureInputs& inputs,
                                                const PointConditions& point);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_CONDITION_PLAN_H_
