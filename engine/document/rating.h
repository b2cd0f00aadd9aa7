// A rating with its trace. See proto/ratebound/v1/rating.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_RATING_H_
#define RATEBOUND_ENGINE_DOCUMENT_RATING_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/measure.h"
#include "engine/document/procedure.h"

namespace ratebound::document {

struct TraceStep {
  int depth = 0;
  std::string label;
  double value = 0;
  std::string unit;
  std::string how;
  std::string clause;
  Basis basis = Basis::kUnspecified;
  Footing footing = Footing::kUnspecified;
  friend bool operator==(const TraceStep&, const TraceStep&) = default;
};

struct Rating {
  std::string unit;
  std::string procedure;
  std::string edition;
  std::string metric;
  std::string metric_unit;
  std::optional<double> value;
  std::string rounded;
  Footing footing = Footing::kUnspecified;
  std::vector<TraceStep> trace;
  std::vector<std::string> unconfirmed_numbers;
  std::string refusal;
  std::vector<std::string> notes;
  friend bool operator==(const Rating&, const Rating&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_RATING_H_
