// Confidence and prediction intervals of a fit whose points err independently, and how
// much wider errors of whole blocks make them. For blocks see intervals_by_block.h.
//
// Example:
//   ASSIGN_OR_RETURN(Interval mean, MeanInterval(fit, row, 0.95));
//   // the surface at row is in [mean.low, mean.high]
//   ASSIGN_OR_RETURN(Interval next, PredictionInterval(fit, row, 0.95));
//   // and one more measurement there in [next.low, next.high]
//
// Two-sided, by Student's t with the fit's degrees of freedom: exact where the form of
// the surface is right and errors are normal with the given weights (Draper and Smith,
// Applied Regression Analysis, 3rd ed. 1998, 3.1 and 8.1). Each holds for one row or
// term; many together take a wider band.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_INTERVALS_H_
#define RATEBOUND_ENGINE_FIT_INTERVALS_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/least_squares.h"

namespace ratebound::fit {

struct Interval {
  double estimate = 0;
  double low = 0;
  double high = 0;
  double standard_error = 0;  // of the estimate, or of a new measurement about it
  double degrees_of_freedom = 0;
};

// estimate -+ t * standard_error; confidence in (0, 1), for one interval with that share
// between its ends.
Interval StudentInterval(double estimate, double standard_error,
                         double degrees_of_freedom, double confidence);

// INVALID_ARGUMENT for a confidence outside (0, 1), a term that is not there, a row of
// another length than the fit's terms, or a weight that is not above 0.
absl::StatusOr<Interval> TermInterval(const LeastSquaresFit& fit, int term,
                                      double confidence);
absl::StatusOr<Interval> MeanInterval(const LeastSquaresFit& fit,
                                      std::span<const double> row, double confidence);
// For a new measurement of that weight (inverse variance, as those of the fit).
absl::StatusOr<Interval> PredictionInterval(const LeastSquaresFit& fit,
                                            std::span<const double> row,
                                            double confidence, double weight = 1);

// The value of the surface at a row of the design's form.
double Estimate(const LeastSquaresFit& fit, std::span<const double> row);

absl::Status CheckConfidence(double confidence);
absl::Status CheckRow(int terms, std::span<const double> row);

// For each term the standard error with the blocks' covariance over that of independent
// points: about 1 where blocks do not matter, above 1 where points of a block err
// together. Empty without the blocks' covariance.
std::vector<double> BlockErrorRatios(const LeastSquaresFit& fit);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_INTERVALS_H_
