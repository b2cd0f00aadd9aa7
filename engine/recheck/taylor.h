// Polynomials with spans for coefficients, moved to another origin and bounded there: the
// one bound of the recheck (theorem in recheck.h).
//
// Thread-safety: immutable after creation.
#ifndef RATEBOUND_ENGINE_RECHECK_TAYLOR_H_
#define RATEBOUND_ENGINE_RECHECK_TAYLOR_H_

#include <cstdint>
#include <map>
#include <span>
#include <vector>

#include "engine/document/certificate.h"
#include "engine/recheck/span.h"

namespace ratebound::recheck {

// All monomials that polynomials of one part can have after a move: with each, what is
// left when a variable is taken out once.
class TaylorSet {
 public:
  using Spans = std::vector<Span>;

  // False where there would be more than kMost monomials.
  static constexpr size_t kMost = 20'000;
  explicit TaylorSet(int variables) : variables_(variables) {}
  bool Include(const document::CertifiedPolynomial& p);
  // After the last Include.
  void Finish();

  Spans Spread(const document::CertifiedPolynomial& p) const;
  // p(z + u) in u.
  void Move(std::span<const double> z, Spans& p) const;
  // p(r u) in u.
  void Stretch(std::span<const Span> r, Spans& p) const;
  Span At(std::span<const Span> x, const Spans& p) const;
  // At most p(u) for every u with lo_i <= u_i <= hi_i, which are within [-1, 1].
  double LeastOver(std::span<const double> lo, std::span<const double> hi,
                   const Spans& p) const;

  size_t size() const { return rows_.size(); }
  // Products that Move and Stretch take, each.
  int64_t products() const;
  size_t constant() const { return constant_; }

 private:
  using Row = std::vector<int>;
  bool IncludeRow(const Row& row);
  double Singly(std::span<const double> lo, std::span<const double> hi,
                const Spans& p) const;
  double Completed(std::span<const double> lo, std::span<const double> hi,
                   const Spans& p) const;
  Span Of(const Spans& p, int i, int j) const;  // coefficient of u_i u_j; u_i for j < 0

  int variables_;
  std::map<Row, size_t> place_;
  std::vector<Row> rows_;
  std::vector<int> degree_;                   // total, of each row
  std::vector<bool> even_;                    // all exponents even
  std::vector<std::vector<size_t>> without_;  // [variable][row]
  std::vector<std::vector<size_t>> falling_;  // [variable]: rows by falling exponent
  std::vector<size_t> linear_;
  std::vector<std::vector<size_t>> quadratic_;
  size_t constant_ = 0;
};

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_TAYLOR_H_
