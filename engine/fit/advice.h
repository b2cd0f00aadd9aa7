// What a diagnostic means and what to do about it, in a sentence or two for a test
// engineer.
//
// Example:
//   Advice advice = AdviseOnLeverage(0.87, rows, terms);
//   // kLook: "The surface leans on this point: ..."
//
// Thresholds are conventions for where to look, not tests, except where a probability is
// named. None of them is a reason to leave a point out: that takes a cause found in the
// laboratory (Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, 2.7). Sources
// stand beside each; "common practice" has none.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_ADVICE_H_
#define RATEBOUND_ENGINE_FIT_ADVICE_H_

#include <string>

namespace ratebound::fit {

enum class Concern {
  kNone,  // as it should be
  kLook,  // worth a look before relying on it
  kAct,   // do something about it
};

struct Advice {
  Concern concern = Concern::kNone;
  std::string text;
};

// `rows` and `terms` are those of the fit.

// Look from twice the average, 2 terms / rows (Hoaglin and Welsch, The American
// Statistician 32 (1978) 17); act at a decisive point.
Advice AdviseOnLeverage(double leverage, int rows, int terms);

// Look from 3 (common practice); act where even the largest of all rows would be so large
// with a chance of less than 5 % (Bonferroni: Cook and Weisberg, Residuals and Influence
// in Regression, 1982, 2.2.2).
Advice AdviseOnStudentisedResidual(double externally_studentised, int rows, int terms);

// Look from 4 / rows (common practice); act where the fit moves to the edge of its own
// 50 % confidence region (Cook, Technometrics 19 (1977) 15).
Advice AdviseOnCooksDistance(double distance, int rows, int terms);

// Look from 2 sqrt(terms / rows) in magnitude (Belsley, Kuh and Welsch, Regression
// Diagnostics, 1980, 2.1).
Advice AdviseOnDffits(double dffits, int rows, int terms);

// Look where it differs from 1 by 3 terms / rows (the same, 2.1).
Advice AdviseOnCovratio(double covratio, int rows, int terms);

// Look where predicting costs more than 0.1, act where more than 0.3 of the variation
// or where nothing is predicted (common practice).
Advice AdviseOnPredictedRSquared(double predicted, double r_squared);

// Look from 5 (common practice), act from 10 (Marquardt, Technometrics 12 (1970) 591).
Advice AdviseOnInflation(double inflation);

// Look below 5 %, act below 1 %.
Advice AdviseOnNormality(double p_value, int rows, int terms);
Advice AdviseOnLackOfFit(double p_value);

// Of the standard error by blocks to that of independent points (BlockErrorRatios): look
// from 1.2, act from 2 (common practice).
Advice AdviseOnBlockRatio(double ratio, int blocks, int terms);

// Look where a robust fit gives a row less than half its weight, act below 0.05, where
// for Tukey's loss a residual is 4.1 robust standard deviations (common practice).
Advice AdviseOnRobustnessWeight(double weight);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_ADVICE_H_
