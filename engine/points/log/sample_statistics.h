// Mean, scatter and extremes of the readings of a window, from the readings themselves.
//
// In two passes, the first over differences from the first reading, so that neither
// figure loses digits to the size of the readings; order and grouping are those of the
// readings. Sources: Chan, Golub and LeVeque, The American Statistician 37 (1983) 242,
// "the corrected two-pass algorithm"; effective number of readings: type_a.h.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_LOG_SAMPLE_STATISTICS_H_
#define RATEBOUND_ENGINE_POINTS_LOG_SAMPLE_STATISTICS_H_

#include <span>

namespace ratebound::points {

struct SampleStatistics {
  int count = 0;
  double mean = 0;
  double standard_deviation = 0;  // n - 1; 0 for a single reading
  double least = 0;
  double greatest = 0;
};

// At least one reading, all finite.
SampleStatistics StatisticsOf(std::span<const double> readings);

// How many independent readings would give the mean the same standard uncertainty,
// rounded down: the square of standard deviation by MeanOfLog's standard uncertainty.
// More than 64 readings are first made into batches of equal length, whose means are as
// good for the uncertainty of the whole mean (batch means: Geyer, Practical Markov Chain
// Monte Carlo, Statistical Science 7 (1992) 473, 3.2) and bound the cost. 2 where the
// readings amount to fewer than 2 independent ones (a trend), since a scatter can be had
// from no fewer; their number where they do not vary.
int EffectiveReadings(std::span<const double> readings, double standard_deviation);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_LOG_SAMPLE_STATISTICS_H_
