// What goes on while a compressor is off, in watts: a fan, the controls.
//
// The powers must be known one by one: fitted with the unit, or given as procedure inputs
// of the same names, so that a unit of which only the total was measured can be rated
// once its fan and control powers are declared.
#ifndef RATEBOUND_ENGINE_RATING_CONTINUOUS_POWERS_H_
#define RATEBOUND_ENGINE_RATING_CONTINUOUS_POWERS_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/part_load.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

class ContinuousPowers {
 public:
  // FAILED_PRECONDITION for an input that has another unit, or a part that is not between
  // 0 and 1. What is not known is no error until it is needed.
  static absl::StatusOr<ContinuousPowers> Create(const CompileContext& context,
                                                 const document::PartLoad& rule);

  // NaN where one is not known. Allocates nothing.
  double SumW(const FigureSource& source, int stage,
              std::span<const double> conditions_si) const;

  // Powers and inputs that are not known of the stage there.
  std::vector<std::string> Missing(const FigureSource& source, int stage,
                                   std::span<const double> conditions_si) const;
  std::vector<TraceNode> Trace(const FigureSource& source, int stage,
                               std::span<const double> conditions_si) const;

 private:
  struct Power {
    std::string name;
    int index = -1;  // of the source's quantities
    double input_w;  // NaN where none is given
    std::string cycling_input;
    double going_on_part = 1;
  };
  double PowerW(const Power& power, std::span<const double> figures_si,
                bool* from_input = nullptr) const;

  std::vector<Power> powers_;
  size_t asked_count_ = 0;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_CONTINUOUS_POWERS_H_
