// Draws of the inputs' errors, each a function of the seed and its own number alone.
//
// Thread-safety: const after creation.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_DRAWS_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_DRAWS_H_

#include <cstdint>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/number/random_stream.h"
#include "engine/points/uncertainty/input_uncertainty.h"

namespace ratebound::points {

// Which part of the uncertainty is drawn; the other is held at 0.
enum class DrawnPart { kTotal, kRandom, kSystematic };

// What JCGM 101:2008 assigns to what is known of a component (table 1):
// - normal; with finite degrees of freedom Student's t, scaled by the standard
//   uncertainty (6.4.9), whose variance is df/(df - 2) times as large;
// - rectangular; with finite degrees of freedom its limits are themselves inexact, by the
//   half width over sqrt(2 df) (6.4.3 with GUM G.4.2, as in 9.5);
// - triangular and arcsine, whose degrees of freedom are not drawn;
// - inputs under explicit correlations: jointly normal (6.4.8), whose degrees of freedom
//   are not drawn.
class InputDraws {
 public:
  // `inputs` must outlive the result. INVALID_ARGUMENT where an explicitly correlated
  // input has a component that is not normal: the coefficient does not say how such go
  // together.
  static absl::StatusOr<InputDraws> Create(const InputUncertainty& inputs, uint64_t seed,
                                           DrawnPart part);

  // The errors of the inputs in draws first to first + count - 1: errors[input * count +
  // draw]. `factors` is room for factor_count() * count.
  void Fill(uint64_t first, int count, std::span<double> factors,
            std::span<double> errors) const;

 private:
  enum class Deviate {
    kNone,
    kNormal,
    kStudentT,
    kRectangular,
    kTrapezoid,
    kTriangular,
    kArcsine
  };
  struct Factor {
    Deviate deviate = Deviate::kNone;
    double parameter = 0;  // degrees of freedom, or error of the limits
  };

  InputDraws(const InputUncertainty& inputs, uint64_t seed)
      : inputs_(&inputs), stream_(seed) {}
  static Factor FactorOf(const Cause& cause, DrawnPart part);
  void FillFactor(uint64_t first, uint32_t lane, std::span<double> deviates) const;

  const InputUncertainty* inputs_;
  number::RandomStream stream_;
  std::vector<Factor> factors_;
  std::vector<double> weights_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_DRAWS_H_
