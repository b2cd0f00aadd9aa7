// One stage of a unit run at one set of conditions, as a procedure counts it: capacity,
// power with what the procedure adds, and their ratio in the unit of the metric.
//
// Example:
//   StageRun run;
//   if (!reader.Run(source, stage, conditions_si, run)) return reader.WhyNot(...);
//   run.figure;                                     // Btu/Wh
//
// Thread-safety: immutable. Refers to the context it was created from.
#ifndef RATEBOUND_ENGINE_RATING_STAGE_READER_H_
#define RATEBOUND_ENGINE_RATING_STAGE_READER_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/quantity/unit.h"
#include "engine/rating/efficiency.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// Without default values: hot loops hold some of them and fill those that they use.
struct StageRun {
  int stage;
  double capacity_si;  // W, or kg/s where a mass flow is rated; above 0
  double power_w;      // above 0: measured and added
  // Of the added powers: what is cycled with the compressor is part of power_w alone,
  // what goes on is also here.
  double added_continuous_w;
  double figure;  // in the unit of the metric
};

class StageReader {
 public:
  // FAILED_PRECONDITION where an input of an added power is missing or outside its range.
  static absl::StatusOr<StageReader> Create(const CompileContext& context);

  // False where the unit has no such figures there, or where they cannot be a capacity
  // and a power. Allocates nothing.
  bool Run(const FigureSource& source, int stage, std::span<const double> conditions_si,
           StageRun& run) const;

  // Fills a run from a capacity and a measured power that were come by in another way.
  // False where they cannot be such.
  bool Count(int stage, double capacity_si, double measured_w, StageRun& run) const;

  // Why Run gave false, FAILED_PRECONDITION; `conditions` tell where. CANCELLED and the
  // like of the source pass through.
  absl::Status WhyNot(const FigureSource& source, int stage,
                      std::span<const double> conditions_si,
                      std::span<const TraceNode> conditions) const;

  // Capacity in the procedure's unit, and back.
  double CapacityIn(double capacity_si) const {
    return capacity_is_si_ ? capacity_si : quantity::FromSi(capacity_si, capacity_unit_);
  }
  double CapacityToSi(double capacity) const {
    return capacity_is_si_ ? capacity : quantity::ToSi(capacity, capacity_unit_);
  }
  double PowerIn(double power_w) const {
    return power_is_si_ ? power_w : quantity::FromSi(power_w, power_unit_);
  }
  // The metric's figure of a capacity and a power in SI.
  double FigureOf(double capacity_si, double power_w) const {
    return rule_.FigureOf(CapacityIn(capacity_si), PowerIn(power_w));
  }
  const EfficiencyRule& rule() const { return rule_; }
  const std::string& capacity_unit_name() const { return capacity_unit_name_; }
  const std::string& power_unit_name() const { return power_unit_name_; }

  const std::string& StageId(int stage) const {
    return context_->description.StageId(stage);
  }
  int stage_count() const { return context_->description.stage_count(); }
  // "stage high of unit u at outdoor_air_db 35 degC".
  std::string Place(int stage, std::span<const TraceNode> conditions) const;

  // The run's figure over capacity, power and conditions.
  TraceNode Trace(const FigureSource& source, const StageRun& run,
                  std::span<const double> conditions_si,
                  std::vector<TraceNode> conditions, std::string how,
                  double percent_load = 0) const;
  // A value of capacity or power in the procedure's unit.
  TraceNode CapacityNode(std::string label, double capacity_si) const;
  TraceNode PowerNode(std::string label, double power_w) const;

 private:
  struct Added {
    double per_capacity = 0;
    double cycling_part = 0;
  };

  explicit StageReader(const CompileContext& context)
      : context_(&context), rule_(context.procedure) {}

  const CompileContext* context_;
  EfficiencyRule rule_;
  int capacity_index_ = -1;
  int power_index_ = -1;
  size_t asked_count_ = 0;  // of the quantities: the last one that is needed
  bool capacity_is_si_ = true;
  bool power_is_si_ = true;
  quantity::Unit capacity_unit_;
  quantity::Unit power_unit_;
  std::string capacity_unit_name_;
  std::string power_unit_name_;
  std::vector<Added> added_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_STAGE_READER_H_
