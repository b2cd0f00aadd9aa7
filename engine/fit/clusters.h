// What a fit owes to whole blocks of points (test days, set-ups): the fit without each
// block in turn, and a covariance that stays honest when the points of a block err
// together.
//
// The covariance is the delete-one-block jackknife, known as CR3 or CV3,
//   V = (G - 1) / G * sum over blocks g of (b_(g) - b)(b_(g) - b)',
// with G - 1 degrees of freedom for t (Bell and McCaffrey, Survey Methodology 28 (2002)
// 169; MacKinnon, Nielsen and Webb, Journal of Applied Econometrics 38 (2023) 671). Among
// the usual estimators it errs to the safe side when blocks are few. Simulated one-sided
// error at a nominal 5 % (12 to 30 blocks of 4 points, correlation 0.8 within a block, 2
// to 10 terms, some conditions fixed within a block; 16,000 bounds each): 3.9 to 5.9 %,
// where the covariance that takes points for independent errs in 6 to 21 %. CR2 with
// Satterthwaite's degrees of freedom came to 3.9 to 5.5 %, which did not pay for degrees
// of freedom that change from point to point. Deletions are exact, by
//   b_(g) - b = -(X'WX)^-1 X_g' W_g (I - H_gg)^-1 e_g.
//
// Inside of SolveLeastSquares; use that.
#ifndef RATEBOUND_ENGINE_FIT_CLUSTERS_H_
#define RATEBOUND_ENGINE_FIT_CLUSTERS_H_

#include <span>
#include <string>
#include <vector>

#include "engine/fit/pivoted_qr.h"

namespace ratebound::fit {

struct ClusterFit {
  int blocks = 0;
  int degrees_of_freedom = 0;  // blocks - 1
  // Residual of each row in the fit without the row's block, in units of the response; 0
  // for the rows of decisive blocks.
  std::vector<double> leave_block_out_residuals;
  // Root of their weighted mean square; over the blocks that are not decisive.
  double leave_block_out_rms = 0;
  // Ids of blocks without which some term cannot be estimated.
  std::vector<int> decisive_blocks;
  // terms x terms by rows; empty when refused.
  std::vector<double> covariance;
  // Why there is no covariance: no more blocks than terms, or a decisive block. Empty
  // otherwise.
  std::string refused;
};

// In the scaled coordinates of `qr` (FormQ and InvertR done): residuals and covariance by
// the matrix's columns. `scaled_residuals` is qr.stride() long, `block_ids` qr.rows().
// The caller turns units back and takes the mean square.
ClusterFit LeaveBlocksOut(const PivotedQr& qr,
                          const std::vector<double>& scaled_residuals,
                          std::span<const int> block_ids);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_CLUSTERS_H_
