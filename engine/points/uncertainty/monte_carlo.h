// The distribution of computed outputs by drawing the inputs, where the linear answer
// does not serve (JCGM 101:2008, GUM Supplement 1).
//
// Example, a seasonal figure with a threshold in it:
//   ASSIGN_OR_RETURN(MonteCarlo run,
//                    RunMonteCarlo(inputs, estimates, 1, model, {.seed = seed}));
//   run.outputs[0].mean, .standard_uncertainty, .symmetric, .shortest
//
// Deterministic: draw i depends on the seed and i alone, and sums are in the order of
// draws, so the bits are the same for any number of threads. Take the seed from the
// content (8 bytes of its digest), so that the same inputs give the same figures.
//
// Memory: 8 bytes for each draw and output, plus 80 kB a thread or so: 8 MB an output at
// a million draws. Time: about 20 to 60 ns for each factor and draw, plus the model, plus
// a sort.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_MONTE_CARLO_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_MONTE_CARLO_H_

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/points/uncertainty/coverage_interval.h"
#include "engine/points/uncertainty/input_draws.h"
#include "engine/points/uncertainty/input_uncertainty.h"
#include "engine/points/uncertainty/propagation.h"

namespace ratebound::points {

// Fills the outputs at the given inputs. Called from several threads at once where
// `threads` is above 1.
using ModelFunction =
    std::function<void(std::span<const double> inputs, std::span<double> outputs)>;

struct MonteCarloOptions {
  uint64_t seed = 0;
  int64_t draws = 1'000'000;  // at least 100 / (1 - probability), at most 1e8
  double probability = 0.95;
  DrawnPart part = DrawnPart::kTotal;
  int threads = 1;
  // Above 0: draws sequences of max(100 / (1 - probability), 10,000) until twice the
  // standard deviation of the averages over sequences, of the mean, the standard
  // uncertainty and both ends of the symmetric interval, is no more than the numerical
  // tolerance for this many significant digits of the standard uncertainty (7.9), or
  // `draws` are used up.
  int significant_digits = 0;
  // The part of the numerical tolerance to reach; 0.2 before CheckAdequacy (8.2).
  double tolerance_share = 1;
};

struct MonteCarloOutput {
  double mean = 0;
  double standard_uncertainty = 0;
  Interval symmetric;
  Interval shortest;
  // With significant_digits: the numerical tolerance aimed at, and the largest of the
  // four doubled standard deviations compared with it.
  double tolerance = 0;
  double instability = 0;
};

struct MonteCarlo {
  int64_t draws = 0;
  // Whether every output came within its tolerance; true where none was asked for.
  bool is_stable = true;
  std::vector<MonteCarloOutput> outputs;
  OutputMatrix covariance;
};

// INVALID_ARGUMENT for options outside their ranges, estimates that are not input_count()
// finite numbers, output_count below 1, and what InputDraws::Create refuses.
// FAILED_PRECONDITION where the model gives something not finite: the message names the
// first such draw and its inputs.
absl::StatusOr<MonteCarlo> RunMonteCarlo(const InputUncertainty& inputs,
                                         std::span<const double> estimates,
                                         int output_count, const ModelFunction& model,
                                         const MonteCarloOptions& options);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_MONTE_CARLO_H_
