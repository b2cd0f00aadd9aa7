#include "engine/bound/polynomial.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/bound/box.h"

namespace ratebound::bound {
namespace {

// At least the distance of a rounded result from the real one: half a unit in the last
// place.
double RoundingOf(double rounded) {
  return kWidening * (kUnitRoundoff * std::fabs(rounded) + kSmallestSubnormal);
}

// At least the sum of bounds that are not negative.
double AddUp(double a, double b) { return a == 0 ? b : b == 0 ? a : Succ(a + b); }
double MultiplyUp(double a, double b) { return a == 0 || b == 0 ? 0 : Succ(a * b); }

}  // namespace

int TotalDegree(MonomialKey key) {
  int degree = 0;
  for (; key != 0; key >>= 8) degree += static_cast<int>(key & 0xff);
  return degree;
}

Polynomial Polynomial::FromTerms(int variables, std::vector<Term> terms) {
  std::stable_sort(terms.begin(), terms.end(),
                   [](const Term& a, const Term& b) { return a.key < b.key; });
  Polynomial result;
  result.variables_ = variables;
  for (size_t i = 0; i < terms.size();) {
    double coefficient = terms[i].coefficient;
    double error = terms[i].error;
    size_t j = i + 1;
    for (; j < terms.size() && terms[j].key == terms[i].key; ++j) {
      coefficient += terms[j].coefficient;
      error = AddUp(AddUp(error, terms[j].error), Succ(RoundingOf(coefficient)));
    }
    if (coefficient != 0 || error != 0) {
      result.keys_.push_back(terms[i].key);
      result.coefficients_.push_back(coefficient);
      result.errors_.push_back(error);
    }
    i = j;
  }
  return result;
}

absl::Status Polynomial::CheckFinite() const {
  for (int k = 0; k < terms(); ++k) {
    if (!std::isfinite(coefficients_[k]) || !std::isfinite(errors_[k])) {
      return absl::InvalidArgumentError(absl::StrCat(
          "coefficient ", k, " of a polynomial is not finite; check its inputs"));
    }
  }
  return absl::OkStatus();
}

absl::StatusOr<Polynomial> Polynomial::Create(int variables,
                                              std::span<const int> exponents,
                                              std::span<const double> coefficients) {
  base::FaultList faults;
  if (variables < 1 || variables > kMostVariables) {
    faults.Add({.field = "polynomial",
                .message = absl::StrCat(variables, " variables"),
                .remedy = absl::StrCat("give 1 to ", kMostVariables)});
    return faults.ToStatus();
  }
  if (exponents.size() != coefficients.size() * variables) {
    faults.Add(
        {.field = "polynomial",
         .message = absl::StrCat(exponents.size(), " exponents for ", coefficients.size(),
                                 " coefficients in ", variables, " variables"),
         .remedy = "give one exponent for each coefficient and variable"});
    return faults.ToStatus();
  }
  std::vector<Term> terms;
  terms.reserve(coefficients.size());
  for (size_t k = 0; k < coefficients.size(); ++k) {
    MonomialKey key = 0;
    for (int i = 0; i < variables; ++i) {
      const int exponent = exponents[k * variables + i];
      if (exponent < 0 || exponent > kHighestDegree) {
        faults.Add({.field = absl::StrCat("polynomial term ", k),
                    .message = absl::StrCat("exponent ", exponent),
                    .remedy = absl::StrCat("give 0 to ", kHighestDegree)});
        continue;
      }
      key |= static_cast<MonomialKey>(exponent) << (8 * i);
    }
    if (!std::isfinite(coefficients[k])) {
      faults.Add({.field = absl::StrCat("polynomial term ", k),
                  .message = "the coefficient is not finite",
                  .remedy = "check the fit it comes from"});
    }
    terms.push_back({key, coefficients[k], 0});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  Polynomial result = FromTerms(variables, std::move(terms));
  RETURN_IF_ERROR(result.CheckFinite());
  return result;
}

absl::StatusOr<Polynomial> Polynomial::Create(
    int variables, std::initializer_list<int> exponents,
    std::initializer_list<double> coefficients) {
  return Create(variables, std::span<const int>(exponents.begin(), exponents.size()),
                std::span<const double>(coefficients.begin(), coefficients.size()));
}

Polynomial Polynomial::Constant(int variables, double value) {
  return FromTerms(variables, {{0, value, 0}});
}

int Polynomial::Degree(int variable) const {
  int degree = 0;
  for (MonomialKey key : keys_) degree = std::max(degree, Exponent(key, variable));
  return degree;
}

int Polynomial::Degree() const {
  int degree = 0;
  for (MonomialKey key : keys_) degree = std::max(degree, TotalDegree(key));
  return degree;
}

double Polynomial::Evaluate(std::span<const double> x) const {
  double sum = 0;
  for (int k = 0; k < terms(); ++k) {
    double term = coefficients_[k];
    for (int i = 0; i < variables_; ++i) {
      for (int e = Exponent(keys_[k], i); e > 0; --e) term *= x[i];
    }
    sum += term;
  }
  return sum;
}

Interval Polynomial::Evaluate(std::span<const Interval> x) const {
  Interval sum = 0;
  for (int k = 0; k < terms(); ++k) {
    Interval term = coefficients_[k];
    if (errors_[k] > 0) term += Interval{-errors_[k], errors_[k]};
    for (int i = 0; i < variables_; ++i) {
      const int exponent = Exponent(keys_[k], i);
      if (exponent > 0) term *= Power(x[i], exponent);
    }
    sum = k == 0 ? term : sum + term;
  }
  return sum;
}

Polynomial Polynomial::Scale(double factor) const {
  std::vector<Term> terms;
  terms.reserve(keys_.size());
  for (size_t k = 0; k < keys_.size(); ++k) {
    const double coefficient = coefficients_[k] * factor;
    const double inherited = MultiplyUp(errors_[k], std::fabs(factor));
    // A power of two, or zero, costs no rounding unless the product is subnormal.
    int unused;
    const bool exact = factor == 0 || (std::fabs(std::frexp(factor, &unused)) == 0.5 &&
                                       std::fabs(coefficient) > 0x1p-1000);
    terms.push_back(
        {keys_[k], coefficient,
         exact ? inherited : AddUp(inherited, Succ(RoundingOf(coefficient)))});
  }
  return FromTerms(variables_, std::move(terms));
}

Polynomial Polynomial::Derivative(int variable) const {
  std::vector<Term> terms;
  for (size_t k = 0; k < keys_.size(); ++k) {
    const int exponent = Exponent(keys_[k], variable);
    if (exponent == 0) continue;
    const double coefficient = coefficients_[k] * exponent;
    const double inherited = MultiplyUp(errors_[k], exponent);
    terms.push_back(
        {keys_[k] - (MonomialKey{1} << (8 * variable)), coefficient,
         exponent == 1 ? errors_[k] : AddUp(inherited, Succ(RoundingOf(coefficient)))});
  }
  return FromTerms(variables_, std::move(terms));
}

absl::StatusOr<Polynomial> Sum(const Polynomial& a, const Polynomial& b) {
  if (a.variables_ != b.variables_) {
    return absl::InvalidArgumentError(absl::StrCat(
        "cannot add polynomials in ", a.variables_, " and ", b.variables_, " variables"));
  }
  std::vector<Polynomial::Term> terms;
  for (const Polynomial* p : {&a, &b}) {
    for (int k = 0; k < p->terms(); ++k) {
      terms.push_back({p->keys_[k], p->coefficients_[k], p->errors_[k]});
    }
  }
  Polynomial result = Polynomial::FromTerms(a.variables_, std::move(terms));
  RETURN_IF_ERROR(result.CheckFinite());
  return result;
}

absl::StatusOr<Polynomial> Product(const Polynomial& a, const Polynomial& b) {
  if (a.variables_ != b.variables_) {
    return absl::InvalidArgumentError(absl::StrCat("cannot multiply polynomials in ",
                                                   a.variables_, " and ", b.variables_,
                                                   " variables"));
  }
  for (int i = 0; i < a.variables_; ++i) {
    if (a.Degree(i) + b.Degree(i) > Polynomial::kHighestDegree) {
      return absl::InvalidArgumentError(
          absl::StrCat("a product of degree ", a.Degree(i) + b.Degree(i), " in variable ",
                       i, "; the highest is ", Polynomial::kHighestDegree));
    }
  }
  std::vector<Polynomial::Term> terms;
  terms.reserve(a.keys_.size() * b.keys_.size());
  for (int k = 0; k < a.terms(); ++k) {
    for (int l = 0; l < b.terms(); ++l) {
      const double coefficient = a.coefficients_[k] * b.coefficients_[l];
      // (a + da)(b + db) - ab = a db + b da + da db, and then the rounding of the
      // product.
      const double inherited = AddUp(
          MultiplyUp(std::fabs(a.coefficients_[k]), b.errors_[l]),
          MultiplyUp(a.errors_[k], Succ(std::fabs(b.coefficients_[l]) + b.errors_[l])));
      terms.push_back({a.keys_[k] + b.keys_[l], coefficient,
                       AddUp(inherited, Succ(RoundingOf(coefficient)))});
    }
  }
  Polynomial result = Polynomial::FromTerms(a.variables_, std::move(terms));
  RETURN_IF_ERROR(result.CheckFinite());
  return result;
}

absl::StatusOr<Polynomial> QuadraticForm(std::span<const Polynomial> basis,
                                         std::span<const double> matrix) {
  const size_t p = basis.size();
  if (p == 0 || matrix.size() != p * p) {
    return absl::InvalidArgumentError(absl::StrCat("a form of ", p, " functions needs ",
                                                   p * p, " matrix entries, not ",
                                                   matrix.size()));
  }
  Polynomial form = Polynomial::Constant(basis[0].variables(), 0);
  for (size_t i = 0; i < p; ++i) {
    for (size_t j = i; j < p; ++j) {
      if (!std::isfinite(matrix[i * p + j])) {
        return absl::InvalidArgumentError(
            absl::StrCat("matrix entry (", i, ", ", j, ") of a form is not finite"));
      }
      ASSIGN_OR_RETURN(const Polynomial product, Product(basis[i], basis[j]));
      const double factor = i == j ? matrix[i * p + j] : 2 * matrix[i * p + j];
      ASSIGN_OR_RETURN(form, Sum(form, product.Scale(factor)));
    }
  }
  return form;
}

absl::StatusOr<Polynomial> SumOfSquares(std::span<const Polynomial> parts) {
  if (parts.empty()) return absl::InvalidArgumentError("a sum of no squares");
  Polynomial sum = Polynomial::Constant(parts[0].variables(), 0);
  for (const Polynomial& part : parts) {
    ASSIGN_OR_RETURN(const Polynomial square, Product(part, part));
    ASSIGN_OR_RETURN(sum, Sum(sum, square));
  }
  return sum;
}

}  // namespace ratebound::bound
