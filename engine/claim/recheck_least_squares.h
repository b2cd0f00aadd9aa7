// Weighted least squares over a full polynomial, and how sure its coefficients are by
// blocks of points: the arithmetic of recheck_fit.h. Shares nothing with engine/fit.
//
// Errors: INVALID_ARGUMENT where the points do not carry the polynomial, or a block
// decides a term alone. Thread-safety: immutable after creation.
#ifndef RATEBOUND_ENGINE_CLAIM_RECHECK_LEAST_SQUARES_H_
#define RATEBOUND_ENGINE_CLAIM_RECHECK_LEAST_SQUARES_H_

#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::claim {

class LeastSquares {
 public:
  // `points` are places, `weights` empty where all count alike.
  static absl::StatusOr<LeastSquares> Solve(
      const std::vector<std::vector<double>>& points,
      const std::vector<long double>& values, const std::vector<long double>& weights,
      int degree);

  const std::vector<std::vector<int>>& rows() const { return rows_; }  // exponents
  const std::vector<long double>& coefficients() const { return coefficients_; }
  const std::vector<long double>& residuals() const { return residuals_; }

 private:
  friend class BlockSpread;
  std::vector<std::vector<int>> rows_;
  std::vector<std::vector<long double>> design_;   // times the roots of the weights
  std::vector<std::vector<long double>> inverse_;  // of X'WX
  std::vector<long double> coefficients_;
  std::vector<long double> residuals_;  // as measured
  std::vector<long double> roots_;      // of the weights
};

// CR2: with H the hat matrix in coordinates scaled by the roots of the weights, block g
// gives X_g' (I - H_gg)^(-1/2) e_g.
class BlockSpread {
 public:
  static absl::StatusOr<BlockSpread> Of(const LeastSquares& fit,
                                        const std::vector<int>& blocks);

  long double covariance(size_t i, size_t j) const { return covariance_[i][j]; }
  // After Satterthwaite, as Bell and McCaffrey for independent errors: the fewest of the
  // points of greatest leverage.
  double degrees_of_freedom() const { return degrees_; }
  size_t blocks() const { return block_count_; }

 private:
  std::vector<std::vector<long double>> covariance_;
  double degrees_ = 0;
  size_t block_count_ = 0;
};

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_RECHECK_LEAST_SQUARES_H_
