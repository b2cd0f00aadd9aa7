// Points that the surface through the others does not expect. Inside of Screen.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_
#define RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_

#include <span>
#include <vector>

namespace ratebound::screen {

struct Outlier {
  int row = 0;
  double miss_si = 0;      // measured less predicted by the surface without the point
  double studentised = 0;  // externally studentised residual
};

// By row. Fits the degree that predicts left-out points best; none where no degree can be
// used.
std::vector<Outlier> FindOutliers(std::span<const std::vector<double>> columns,
                                  std::span<const double> response);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_OUTLIERS_H_
