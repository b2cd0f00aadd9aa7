// A figure of a unit as a clause takes it: in the clause's unit, from whatever the unit
// has, a condition, a measured quantity, a held condition or an input.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_RATING_FIGURE_TERM_H_
#define RATEBOUND_ENGINE_RATING_FIGURE_TERM_H_

#include <span>
#include <string>

#include "absl/status/statusor.h"
#include "engine/document/procedure_forms.h"
#include "engine/quantity/unit.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// A quantity of a unit at a run.
class RunQuantity {
 public:
  // `input` stands in where the unit has not the quantity; it may be empty.
  // FAILED_PRECONDITION where neither is there, or the input does not fit.
  static absl::StatusOr<RunQuantity> Create(const CompileContext& context,
                                            const std::string& quantity,
                                            const std::string& input,
                                            const std::string& unit);

  // In the unit; NaN where it is not known of this stage. `figures_si` are all of the
  // source, `conditions_si` those of the run.
  double In(std::span<const double> figures_si,
            std::span<const double> conditions_si) const;
  TraceNode Trace(std::span<const double> figures_si,
                  std::span<const double> conditions_si) const;

 private:
  enum class From { kFigure, kCondition, kConstant };

  std::string name_;
  std::string unit_name_;
  quantity::Unit unit_;
  bool is_si_ = false;
  From from_ = From::kConstant;
  int index_ = -1;
  double constant_ = 0;  // in the unit; of kFigure the input, NaN where none is given
  std::string constant_how_;
};

// A quantity times a factor.
class Term {
 public:
  static absl::StatusOr<Term> Create(const CompileContext& context,
                                     const document::FigureTerm& term);
  double Value(std::span<const double> figures_si,
               std::span<const double> conditions_si) const {
    return quantity_.In(figures_si, conditions_si) * factor_;
  }
  // The quantity and the factor.
  std::vector<TraceNode> Trace(std::span<const double> figures_si,
                               std::span<const double> conditions_si) const;

 private:
  Term(RunQuantity quantity, double factor, TraceNode factor_node)
      : quantity_(std::move(quantity)),
        factor_(factor),
        factor_node_(std::move(factor_node)) {}

  RunQuantity quantity_;
  double factor_;
  TraceNode factor_node_;
};

// Whether the unit has the quantity as a figure or as a condition, fitted or held.
bool HasQuantity(const SourceDescription& description, const std::string& quantity);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_FIGURE_TERM_H_
