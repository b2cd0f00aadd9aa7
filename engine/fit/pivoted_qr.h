// Column-pivoted Householder QR (Businger and Golub, Numerische Mathematik 7 (1965) 269)
// in plain loops with a written-out order of summation, so that its bits are those of any
// x86-64 machine and any optimisation level. Inside of SolveLeastSquares; use that.
//
// Columns are padded with zeros to whole groups of four rows, which keeps the kernels
// free of tails. Entries should be of magnitude at most about 1 (scale first); nothing
// guards against overflow of squares.
//
// Example:
//   PivotedQr qr;
//   qr.Reset(rows, columns);
//   qr.column(j)[i] = ...;              // all entries
//   qr.Factor(1e-12);
//   if (qr.rank() == columns) { qr.FormQ(); qr.InvertR(); }
//
// Thread-safety: as a std::vector. Memory is kept from one Reset to the next.
#ifndef RATEBOUND_ENGINE_FIT_PIVOTED_QR_H_
#define RATEBOUND_ENGINE_FIT_PIVOTED_QR_H_

#include <cstddef>
#include <vector>

#include "engine/fit/kernels.h"

namespace ratebound::fit {

class PivotedQr {
 public:
  // Sizes the matrix and sets it to zero.
  void Reset(int rows, int columns);

  const Kernels& kernels() const { return *kernels_; }
  int rows() const { return rows_; }
  int columns() const { return columns_; }
  int stride() const { return stride_; }  // padded rows
  // The matrix itself, kept unchanged by Factor. Rows past rows() must stay zero.
  double* column(int j) { return &matrix_[Offset(j)]; }
  const double* column(int j) const { return &matrix_[Offset(j)]; }

  // Factors matrix * permutation = Q * R, and stops at the first step where no remaining
  // column is longer than tolerance * |r(0, 0)|: the number of steps done is the rank.
  void Factor(double tolerance);
  int rank() const { return rank_; }
  // The column of the matrix that stands at place k of the factorisation.
  int permutation(int k) const { return permutation_[k]; }
  // Row k < rank() of R at place j >= k.
  double r(int k, int j) const { return r_[static_cast<size_t>(k) * columns_ + j]; }

  // x := Q' x and x := Q x with the full orthogonal Q; x holds stride() numbers, zero
  // padded.
  void ApplyQTransposed(double* x) const;
  void ApplyQ(double* x) const;

  // The first columns() columns of Q, for full rank.
  void FormQ();
  const double* q(int k) const { return &q_[Offset(k)]; }

  // Inverse of R by rows, for full rank; entries below the diagonal are zero.
  void InvertR();
  double r_inverse(int i, int k) const {
    return r_inverse_[static_cast<size_t>(i) * columns_ + k];
  }

 private:
  void ReflectOne(int k, double* x) const;
  size_t Offset(int j) const {
    return static_cast<size_t>(j) * static_cast<size_t>(stride_);
  }
  double* reflector(int k) { return &reflectors_[Offset(permutation_[k])]; }
  const double* reflector(int k) const { return &reflectors_[Offset(permutation_[k])]; }

  int rows_ = 0;
  int columns_ = 0;
  int stride_ = 0;
  int rank_ = 0;
  std::vector<double> matrix_;
  std::vector<double> reflectors_;  // v_k of I - tau_k v_k v_k', zero above row k
  std::vector<double> tau_;
  std::vector<double> r_;
  std::vector<double> r_inverse_;
  std::vector<double> q_;
  std::vector<double> squared_norms_;
  std::vector<double> reference_norms_;
  std::vector<int> permutation_;
  std::vector<double*> targets_;  // of one reflector
  const Kernels* kernels_ = &FastestKernels();
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_PIVOTED_QR_H_
