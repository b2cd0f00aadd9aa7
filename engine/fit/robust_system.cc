#include "engine/fit/robust_system.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ratebound::fit {
namespace {

constexpr double kRankTolerance = 1e-12;
// A row of which less than this is left when those before are taken out adds nothing.
constexpr double kLeastNew = 1e-8;

double PowerOfTwoScale(std::span<const double> values) {
  double largest = 0;
  for (const double value : values) largest = std::max(largest, std::fabs(value));
  if (largest == 0) return 1;
  int exponent = 0;
  std::frexp(largest, &exponent);
  return std::ldexp(1.0, -exponent);
}

}  // namespace

RobustSystem::RobustSystem(const LeastSquaresProblem& problem)
    : rows_(problem.design.rows),
      terms_(problem.design.columns),
      order_(rows_),
      matrix_(static_cast<size_t>(rows_) * terms_),
      response_(rows_),
      column_scale_(terms_) {
  const DesignMatrix& design = problem.design;
  const auto weight = [&](int i) {
    return problem.weights.empty() ? 1.0 : problem.weights[i];
  };
  // Rows that compare equal are the same in all that counts.
  std::iota(order_.begin(), order_.end(), 0);
  std::stable_sort(order_.begin(), order_.end(), [&](int a, int b) {
    for (int j = 0; j < terms_; ++j) {
      if (design.at(a, j) != design.at(b, j)) return design.at(a, j) < design.at(b, j);
    }
    if (problem.response[a] != problem.response[b]) {
      return problem.response[a] < problem.response[b];
    }
    return weight(a) < weight(b);
  });
  std::vector<double> root(rows_);
  for (int i = 0; i < rows_; ++i) root[i] = std::sqrt(weight(order_[i]));
  for (int j = 0; j < terms_; ++j) {
    const std::span<double> column =
        std::span(matrix_).subspan(static_cast<size_t>(j) * rows_, rows_);
    for (int i = 0; i < rows_; ++i) column[i] = root[i] * design.at(order_[i], j);
    column_scale_[j] = PowerOfTwoScale(column);
    for (double& value : column) value *= column_scale_[j];
  }
  for (int i = 0; i < rows_; ++i) response_[i] = root[i] * problem.response[order_[i]];
  response_scale_ = PowerOfTwoScale(response_);
  for (double& value : response_) value *= response_scale_;
}

// Leaves the weighted response in right_.
bool RobustSystem::Factor(std::span<const double> weights) {
  qr_.Reset(rows_, terms_);
  right_.assign(qr_.stride(), 0.0);
  for (int i = 0; i < rows_; ++i) right_[i] = std::sqrt(weights[i]);
  for (int j = 0; j < terms_; ++j) {
    double* column = qr_.column(j);
    for (int i = 0; i < rows_; ++i) column[i] = right_[i] * x(i, j);
  }
  for (int i = 0; i < rows_; ++i) right_[i] *= response_[i];
  qr_.Factor(kRankTolerance);
  return qr_.rank() == terms_;
}

bool RobustSystem::Solve(std::span<const double> weights,
                         std::vector<double>& coefficients) {
  if (!Factor(weights)) return false;
  qr_.ApplyQTransposed(right_.data());
  coefficients.resize(terms_);
  for (int k = terms_ - 1; k >= 0; --k) {
    double sum = right_[k];
    for (int m = k + 1; m < terms_; ++m) {
      sum -= qr_.r(k, m) * coefficients[qr_.permutation(m)];
    }
    coefficients[qr_.permutation(k)] = sum / qr_.r(k, k);
  }
  return true;
}

bool RobustSystem::SolveThrough(std::span<const int> candidates,
                                std::vector<double>& coefficients) {
  const int width = terms_ + 1;
  elimination_.resize(static_cast<size_t>(terms_) * width);
  pivots_.clear();
  for (const int row : candidates) {
    const int taken = static_cast<int>(pivots_.size());
    if (taken == terms_) break;
    double* values = &elimination_[static_cast<size_t>(taken) * width];
    double size = 0;
    for (int j = 0; j < terms_; ++j) {
      values[j] = x(row, j);
      size = std::max(size, std::fabs(values[j]));
    }
    values[terms_] = response_[row];
    for (int k = 0; k < taken; ++k) {
      const double* earlier = &elimination_[static_cast<size_t>(k) * width];
      const double factor = values[pivots_[k]] / earlier[pivots_[k]];
      for (int j = 0; j < width; ++j) values[j] -= factor * earlier[j];
      values[pivots_[k]] = 0;
    }
    int pivot = 0;
    for (int j = 1; j < terms_; ++j) {
      if (std::fabs(values[j]) > std::fabs(values[pivot])) pivot = j;
    }
    if (std::fabs(values[pivot]) > kLeastNew * size) pivots_.push_back(pivot);
  }
  if (static_cast<int>(pivots_.size()) < terms_) return false;
  coefficients.assign(terms_, 0.0);
  for (int k = terms_ - 1; k >= 0; --k) {
    const double* values = &elimination_[static_cast<size_t>(k) * width];
    double sum = values[terms_];
    for (int m = k + 1; m < terms_; ++m) {
      sum -= values[pivots_[m]] * coefficients[pivots_[m]];
    }
    coefficients[pivots_[k]] = sum / values[pivots_[k]];
  }
  return true;
}

void RobustSystem::Residuals(std::span<const double> coefficients,
                             std::vector<double>& residuals) const {
  residuals = response_;
  for (int j = 0; j < terms_; ++j) {
    const double* column = &matrix_[static_cast<size_t>(j) * rows_];
    for (int i = 0; i < rows_; ++i) residuals[i] -= coefficients[j] * column[i];
  }
}

std::vector<double> RobustSystem::UnscaledCovariance() {
  std::vector<double> covariance(static_cast<size_t>(terms_) * terms_);
  if (!Factor(std::vector<double>(rows_, 1.0))) return covariance;
  qr_.InvertR();
  for (int a = 0; a < terms_; ++a) {
    for (int b = 0; b < terms_; ++b) {
      double sum = 0;
      for (int k = std::max(a, b); k < terms_; ++k) {
        sum += qr_.r_inverse(a, k) * qr_.r_inverse(b, k);
      }
      const int row = qr_.permutation(a), column = qr_.permutation(b);
      covariance[static_cast<size_t>(row) * terms_ + column] =
          sum * column_scale_[row] * column_scale_[column];
    }
  }
  return covariance;
}

}  // namespace ratebound::fit
