// A procedure made ready for one unit: scope, inputs, units and conditions are settled
// once, and the metric is then a plain function of the unit's figures.
//
// Example:
//   ASSIGN_OR_RETURN(MapFigureSource source,
//                    MapFigureSource::Create(unit, models, procedure.mode_kind,
//                                            QuantitiesOf(procedure)));
//   ASSIGN_OR_RETURN(Metric metric, Metric::Compile(procedure, source.description()));
//   double seer = metric.Value(source);       // in the unit of the metric; NaN: none
//   ASSIGN_OR_RETURN(document::Rating rating, metric.Explain(source));   // with its
//   trace
//
// Value allocates nothing and is for thousands of calls: draws of Monte Carlo, slopes by
// differences. Explain gives the same number to the bit, or the refusal in words where
// Value is NaN.
//
// Any source of the same unit, mode and quantities will do, whatever its figures.
// Errors of Compile: FAILED_PRECONDITION with a sentence for a unit that the procedure
// does not fit or that lacks an input; INVALID_ARGUMENT for a procedure that contradicts
// itself. RateUnit (rate.h) turns the first into a rating with a refusal and the list of
// what is missing. Thread-safety: immutable. A Metric holds all that it needs.
#ifndef RATEBOUND_ENGINE_RATING_METRIC_H_
#define RATEBOUND_ENGINE_RATING_METRIC_H_

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/figure_source.h"

namespace ratebound::rating {

class MetricForm;
struct CompileContext;

// Every quantity of a unit that the procedure may ask for, each once: capacity and power
// first.
std::vector<std::string> QuantitiesOf(const document::Procedure& procedure);

class Metric {
 public:
  static absl::StatusOr<Metric> Compile(const document::Procedure& procedure,
                                        const SourceDescription& description);

  // NaN where the procedure has no figure for this source.
  double Value(const FigureSource& source) const;

  // Value, rounded value, footing, trace and notes; or the refusal. Only CANCELLED and
  // the like are errors.
  absl::StatusOr<document::Rating> Explain(const FigureSource& source) const;

  const document::Procedure& procedure() const;
  const SourceDescription& description() const;
  // Whether less is better, as of power over capacity.
  bool less_is_better() const;

 private:
  // Heap-allocated, so that what the form refers to stays where it is.
  Metric(std::shared_ptr<const CompileContext> context,
         std::shared_ptr<const MetricForm> form)
      : context_(std::move(context)), form_(std::move(form)) {}

  std::shared_ptr<const CompileContext> context_;
  std::shared_ptr<const MetricForm> form_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_METRIC_H_
