// Points that the surface through the others does not expect, points on which a surface
// hangs, and whole test days that are off. Inside of Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_
#define RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_

#include <optional>
#include <span>
#include <vector>

#include "engine/screen/clean_rows.h"

namespace ratebound::screen {

// A point's leverage is high above this multiple of the mean, terms / points. Belsley,
// Kuh and Welsch, Regression Diagnostics (1980), 2.1 give 2, which on a designed grid
// names every corner; 3 is common practice.
inline constexpr double kHighLeverageMultiple = 3;
// And always where the point alone makes up nearly all of what the surface is there.
inline constexpr double kDecisiveLeverage = 0.95;

// One response over the conditions of a group.
struct ScreenedResponse {
  int degree = 0;
  int terms = 0;
  CleanRows rows;
};

// By the degree that predicts left-out points best, once among all points and once among
// those that the first surface expects, so that gross errors do not choose it. Empty
// where no degree can be used.
std::optional<ScreenedResponse> ScreenResponse(
    std::span<const std::vector<double>> columns, std::span<const double> response);

struct Outlier {
  int row = 0;
  double miss_si = 0;      // measured less the surface of the points believed
  double studentised = 0;  // robust externally studentised residual (clean_rows.h)
  double leverage = 0;     // among all points
};

// By row.
std::vector<Outlier> OutliersOf(const ScreenedResponse& screened);
// Both together; none where no degree can be used.
std::vector<Outlier> FindOutliers(std::span<const std::vector<double>> columns,
                                  std::span<const double> response);

// Rows on which the surface hangs, by falling leverage: high leverage, or the only point
// at a level of a condition that the degree cannot do without.
std::vector<int> HangingRows(std::span<const std::vector<double>> columns,
                             const ScreenedResponse& screened);

struct OddBlock {
  int block = 0;
  std::vector<int> rows;      // its points
  double median_miss_si = 0;  // of them
};

// Blocks that are off as a whole, by number: the median miss of at least kLeastDayPoints
// points is an outlier among those of at least kLeastDays blocks (clean_rows.h on their
// mean), or at least half of the block's points, and kLeastDayPoints, are outliers to one
// side.
inline constexpr int kLeastDayPoints = 3;
inline constexpr int kLeastDays = 5;
std::vector<OddBlock> OddBlocks(std::span<const int> blocks,
                                const ScreenedResponse& screened);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_
