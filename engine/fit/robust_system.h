// A regression that is solved again and again with other weights, some of them 0, and
// with chosen few rows. Inside of FitRobust: SolveLeastSquares has no rows of weight 0
// and computes diagnostics that no step of an iteration looks at.
//
// Everything is in scaled coordinates: rows times the square root of their weight,
// columns and response by powers of two. Rows stand in an order that their contents
// decide, so that nothing depends on the order they were given in.
//
// Thread-safety: as a std::vector.
#ifndef RATEBOUND_ENGINE_FIT_ROBUST_SYSTEM_H_
#define RATEBOUND_ENGINE_FIT_ROBUST_SYSTEM_H_

#include <span>
#include <vector>

#include "engine/fit/least_squares.h"
#include "engine/fit/pivoted_qr.h"

namespace ratebound::fit {

class RobustSystem {
 public:
  // The problem has passed SolveLeastSquares.
  explicit RobustSystem(const LeastSquaresProblem& problem);

  int rows() const { return rows_; }
  int terms() const { return terms_; }
  // The caller's number of row i.
  int original_row(int i) const { return order_[i]; }
  double column_scale(int j) const { return column_scale_[j]; }
  double response_scale() const { return response_scale_; }

  // Minimises sum weights[i] * residual_i^2; false where rows of weight above 0 do not
  // tell the terms apart.
  bool Solve(std::span<const double> weights, std::vector<double>& coefficients);
  // The surface through terms() rows: of `candidates` in turn, those that are not
  // combinations of the ones taken before; false where there are too few.
  bool SolveThrough(std::span<const int> candidates, std::vector<double>& coefficients);
  void Residuals(std::span<const double> coefficients,
                 std::vector<double>& residuals) const;
  // (X'WX)^-1 with the problem's own weights and in its units, terms() x terms() by rows.
  std::vector<double> UnscaledCovariance();

 private:
  bool Factor(std::span<const double> weights);
  double x(int i, int j) const { return matrix_[static_cast<size_t>(j) * rows_ + i]; }

  int rows_;
  int terms_;
  std::vector<int> order_;
  std::vector<double> matrix_;  // by columns
  std::vector<double> response_;
  std::vector<double> column_scale_;
  double response_scale_ = 1;
  PivotedQr qr_;
  std::vector<double> right_;
  std::vector<double> elimination_;  // accepted rows, reduced, each with its response
  std::vector<int> pivots_;          // and the column that each was reduced for
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_ROBUST_SYSTEM_H_
