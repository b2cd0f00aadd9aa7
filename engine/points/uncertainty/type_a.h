// Uncertainty from repeated readings (type A): of a mean, of means read together, and of
// the mean of a log whose readings are not independent.
//
// Example, a log window of one-second power readings:
//   ASSIGN_OR_RETURN(MeanOfReadings power, MeanOfLog(power_w));
//   component = FromMean("scatter of power", 1, power);    // u and degrees of freedom
//
// Readings are in the order they were taken; the unit is theirs.
// Errors: INVALID_ARGUMENT for fewer than 2 readings or one that is not finite.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_TYPE_A_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_TYPE_A_H_

#include <span>
#include <string>

#include "absl/status/statusor.h"
#include "engine/points/uncertainty/component.h"

namespace ratebound::points {

struct MeanOfReadings {
  double mean = 0;
  double standard_deviation = 0;    // of a single reading
  double standard_uncertainty = 0;  // of the mean
  double degrees_of_freedom = 0;
  int readings = 0;
  // How many independent readings would give the mean the same uncertainty; `readings`
  // where they are independent.
  double effective_readings = 0;
};

// Independent readings: s/sqrt(n), n - 1 degrees of freedom (JCGM 100, 4.2.1 to 4.2.3).
absl::StatusOr<MeanOfReadings> MeanOfIndependent(std::span<const double> readings);

// Readings of a steady process that resemble their neighbours. With the autocorrelation
// r_k (autocovariances over n, about the mean) the integrated autocorrelation time is
//   tau = 1 + 2 (r_1 + r_2 + ...),
// the sum ended where r_2m + r_2m+1 is no longer above 0 (Geyer, Practical Markov Chain
// Monte Carlo, Statistical Science 7 (1992) 473, 3.3: initial positive sequence);
// n_eff = n / tau, held at most n, so that readings which alternate claim no more than
// independent ones would. The variance of a reading is then
// sum (x - mean)^2 / (n (1 - 1/n_eff)) and that of the mean 1/n_eff of it (Bayley and
// Hammersley, Suppl. J. Royal Statistical Soc. 8 (1946) 184), with n_eff - 1 degrees of
// freedom. Cost: n times the lags summed, at most n/2.
//
// Readings that drift or step over the whole window count as about 3 (never as fewer
// than 2), and their mean takes a coverage factor of 4 and more: a longer window, or a
// steady one, is worth more than more readings of it.
absl::StatusOr<MeanOfReadings> MeanOfLog(std::span<const double> readings);

// The correlation coefficient of two means of readings taken together (JCGM 100, 5.2.3
// and H.2.2); 0 where either does not vary. INVALID_ARGUMENT also for unequal numbers.
absl::StatusOr<double> CorrelationOfMeans(std::span<const double> first,
                                          std::span<const double> second);

Component FromMean(std::string name, int input, const MeanOfReadings& mean);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_TYPE_A_H_
