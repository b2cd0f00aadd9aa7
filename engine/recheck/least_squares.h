// Weighted least squares over a full polynomial, and how sure its coefficients are by
// blocks of points: the arithmetic of fit.h. Shares nothing with engine/fit.
//
// Errors: INVALID_ARGUMENT where the points do not carry the polynomial, or a block
// decides a term alone. Thread-safety: immutable after creation.
#ifndef RATEBOUND_ENGINE_RECHECK_LEAST_SQUARES_H_
#define RATEBOUND_ENGINE_RECHECK_LEAST_SQUARES_H_

#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::recheck {

class LeastSquares {
 public:
  // `points` are places, `weights` empty where all count alike.
  static absl::StatusOr<LeastSquares> Solve(
      const std::vector<std::vector<double>>& points,
      const std::vector<long double>& values, const std::vector<long double>& weights,
      int degree);

  const std::vector<std::vector<int>>& rows() const { return rows_; }  // exponents
  std::vector<long double> TermsAt(const std::vector<double>& place) const;
  // Of a place, as if it counted 1.
  long double LeverageAt(const std::vector<double>& place) const;
  const std::vector<long double>& leverages() const { return leverages_; }
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
  std::vector<long double> leverages_;  // of the points, as if each counted 1
};

// CR2: with H the hat matrix in coordinates scaled by the roots of the weights, block g
// gives X_g' (I - H_gg)^(-1/2) e_g. Refers to the fit.
class BlockSpread {
 public:
  static absl::StatusOr<BlockSpread> Of(const LeastSquares& fit,
                                        const std::vector<int>& blocks);

  long double covariance(size_t i, size_t j) const { return covariance_[i][j]; }
  // Of the variance at a place, after Satterthwaite, as Bell and McCaffrey for
  // independent errors. At least 1.
  double DegreesAt(const std::vector<double>& place) const;
  size_t blocks() const { return members_.size(); }

 private:
  explicit BlockSpread(const LeastSquares& fit) : fit_(fit) {}

  const LeastSquares& fit_;
  std::vector<std::vector<size_t>> members_;  // points of each block
  // (I - H_gg)^(-1/2) X_g of each block.
  std::vector<std::vector<std::vector<long double>>> adjusted_;
  std::vector<std::vector<long double>> covariance_;
};

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_LEAST_SQUARES_H_
