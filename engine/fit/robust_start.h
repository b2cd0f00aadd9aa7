// A surface that up to half of the points cannot lead astray: the S-estimate, which
// minimises the M-scale of the residuals (Rousseeuw and Yohai 1984). Inside of FitRobust.
//
// Method: the surfaces through elemental subsets (as many points as terms), each improved
// by two steps of reweighting; the five of least scale are iterated to the end (Fast-S:
// Salibián-Barrera and Yohai, Journal of Computational and Graphical Statistics 15 (2006)
// 414). A subset whose rows depend on one another takes further rows until it carries all
// terms (nonsingular subsampling: Koller and Stahel, Computational Statistics 32 (2017)
// 631), which matters where conditions take few levels. All subsets are tried where they
// are few; else they are drawn by a counter-based generator in whole numbers, the same
// for every problem of the same size. Least squares is one more candidate.
//
// Enough are drawn to meet a clean subset with 99.9 % where a quarter of the points is
// gross, at least 500 and at most 5000; from 23 terms on the chance falls below that.
#ifndef RATEBOUND_ENGINE_FIT_ROBUST_START_H_
#define RATEBOUND_ENGINE_FIT_ROBUST_START_H_

#include <vector>

#include "engine/fit/robust_system.h"

namespace ratebound::fit {

struct HighBreakdownStart {
  std::vector<double> coefficients;  // scaled, as in `system`
  double scale = 0;                  // 0 where half of the points lie on one surface
};

HighBreakdownStart MinimiseScale(RobustSystem& system);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_ROBUST_START_H_
