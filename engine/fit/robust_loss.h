// The loss functions of robust regression and the scales that go with them. Inside of
// FitRobust.
//
// Huber's loss gives a residual of u standard deviations the weight min(1, k / |u|)
// (Huber, Annals of Mathematical Statistics 35 (1964) 73); Tukey's biweight gives it
// (1 - (u/c)^2)^2, and nothing from c on (Beaton and Tukey, Technometrics 16 (1974) 147).
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_ROBUST_LOSS_H_
#define RATEBOUND_ENGINE_FIT_ROBUST_LOSS_H_

#include <span>
#include <vector>

namespace ratebound::fit {

enum class RobustLoss { kHuber, kTukey };

// The biweight constant at which an M-scale with right-hand side 1/2 is the standard
// deviation of a normal sample and breaks down only at half of the data (Rousseeuw and
// Yohai, Robust and Nonlinear Time Series, 1984, 256).
inline constexpr double kHalfBreakdownTuning = 1.54764;

// psi(u) / u, and the derivative of psi.
double RobustnessWeight(RobustLoss loss, double tuning, double u);
double PsiDerivative(RobustLoss loss, double tuning, double u);

// The biweight's rho, from 0 at 0 to 1 from u = c on.
double BiweightRho(double u, double c);

// Median of the magnitudes over 0.6745, the normal distribution's upper quartile to four
// digits as it is commonly written: no centring, since the surface has a constant.
// `memory` is overwritten.
double MedianScale(std::span<const double> residuals, std::vector<double>& memory);

// The s at which sum rho(r_i / s) = half of `degrees_of_freedom` for the biweight of
// constant kHalfBreakdownTuning; 0 where no more than that many residuals differ from 0.
// `start` above 0 speeds it up. Full precision: Newton's steps, with the monotone
// fixed-point step where they go astray.
double BiweightScale(std::span<const double> residuals, int degrees_of_freedom,
                     double start);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_ROBUST_LOSS_H_
