// Which rows of a linear model the others do not expect, where several of them may hide
// one another. Inside of Screen.
//
// Method: the forward search of Hadi and Simonoff, Journal of the American Statistical
// Association 88 (1993) 1264, from a high-breakdown start. The rows that a robust fit
// (fit/robust.h) believes are the first clean ones; least squares through these; the
// others come back one by one, nearest first, until the nearest one left lies beyond what
// its distance
//     |e| / (s sqrt(1 - h)) for a clean row,  |e| / (s sqrt(1 + h)) for any other
// may be: Student's t at kOutlierProbability over 2 (clean + 1), Bonferroni's bound on
// looking at all of them. For a row left out the distance is its externally studentised
// residual from the surface of the clean rows (h from these). Where the robust fit cannot
// be had (few rows; most rows on one surface) the start is all rows but the one least
// expected, which is the classical test (Cook and Weisberg, Residuals and Influence in
// Regression (1982), 2.2.2) and can be led astray by two that agree.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_SCREEN_CLEAN_ROWS_H_
#define RATEBOUND_ENGINE_SCREEN_CLEAN_ROWS_H_

#include <optional>
#include <span>
#include <vector>

#include "engine/fit/design_matrix.h"

namespace ratebound::screen {

// All rows false alarms together, where errors are normal.
inline constexpr double kOutlierProbability = 0.01;
// Scatter below this part of the greatest response is no scatter of a laboratory.
inline constexpr double kLeastScatterFraction = 1e-6;

struct CleanRows {
  bool robust = false;  // whether the start was the robust fit
  double scatter = 0;   // residual standard deviation of the clean rows
  double limit = 0;     // of studentised
  std::vector<bool> clean;
  std::vector<double> misses;       // measured less the surface of the clean rows
  std::vector<double> studentised;  // the signed distance above
  std::vector<double> leverages;    // of the model over all rows
};

// Empty where the rows cannot carry the model with two degrees of freedom to spare.
std::optional<CleanRows> FindCleanRows(const fit::DesignMatrix& design,
                                       std::span<const double> response);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_CLEAN_ROWS_H_
