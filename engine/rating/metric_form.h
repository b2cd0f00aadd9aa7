// What each form of procedure implements: the numbers of a metric, and the same numbers
// with a trace. Private to engine/rating.
//
// A new form is a file that derives from MetricForm, and a line in compile_form.cc.
#ifndef RATEBOUND_ENGINE_RATING_METRIC_FORM_H_
#define RATEBOUND_ENGINE_RATING_METRIC_FORM_H_

#include <memory>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/figure_source.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// Of everything that is compiled: one procedure and the unit it is compiled for. Neither
// copied nor moved, so that forms can refer to its parts.
struct CompileContext {
  CompileContext(const document::Procedure& rated_by, const SourceDescription& unit)
      : procedure(rated_by), description(unit), inputs(procedure, description.unit) {}
  CompileContext(const CompileContext&) = delete;
  CompileContext& operator=(const CompileContext&) = delete;

  const document::Procedure procedure;
  const SourceDescription description;
  const ProcedureInputs inputs;
};

// What Explain of a form fills; the rest of a rating is the same for all forms.
struct Explanation {
  double value = 0;  // in the unit of the metric
  document::Footing footing = document::Footing::kUnspecified;
  std::string footing_reason;  // with the point it is of
  TraceNode trace;
  std::vector<std::string> notes;
  std::vector<document::CoefficientSet> coefficient_sets;
  std::vector<document::BinRow> bins;
};

// What a unit lacks for a procedure.
struct MissingData {
  std::vector<document::MissingPoint> points;
  std::vector<document::MissingInput> inputs;
};

class MetricForm {
 public:
  virtual ~MetricForm() = default;

  // NaN where there is no figure. Allocates nothing.
  virtual double Value(const FigureSource& source) const = 0;

  // The bits of Value. FAILED_PRECONDITION, with a sentence, exactly where Value is NaN.
  virtual absl::StatusOr<Explanation> Explain(const FigureSource& source) const = 0;

  // Adds the test points and inputs that the figures would rest on and that the source
  // does not have (missing.h).
  virtual void FindMissing(const FigureSource& source, MissingData& missing) const = 0;
};

// By the form of the procedure. Refers to the context, which must outlive it. Scope is
// checked already.
absl::StatusOr<std::unique_ptr<MetricForm>> CompileForm(const CompileContext& context);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_METRIC_FORM_H_
