#include "engine/bound/monomial_set.h"

#include <algorithm>

namespace ratebound::bound {
namespace {

constexpr MonomialKey Unit(int variable) { return MonomialKey{1} << (8 * variable); }

void SortUnique(std::vector<MonomialKey>& keys) {
  std::sort(keys.begin(), keys.end());
  keys.erase(std::unique(keys.begin(), keys.end()), keys.end());
}

}  // namespace

MonomialSet::MonomialSet(int variables, std::span<const MonomialKey> keys)
    : variables_(variables) {
  keys_.reserve(keys.size() + 1);
  keys_.push_back(0);
  keys_.insert(keys_.end(), keys.begin(), keys.end());
  SortUnique(keys_);
  std::vector<int32_t> divisors;
  if (!FindDivisors(divisors)) {
    for (int i = 0; i < variables_; ++i) {
      const size_t given = keys_.size();
      for (size_t k = 0; k < given; ++k) {
        for (MonomialKey key = keys_[k]; Exponent(key, i) > 0;) {
          key -= Unit(i);
          keys_.push_back(key);
        }
      }
      SortUnique(keys_);
    }
    FindDivisors(divisors);
  }

  linear_.fill(-1);
  for (auto& row : quadratic_) row.fill(-1);
  factors_.resize(keys_.size());
  for (int k = 0; k < size(); ++k) {
    const int total = TotalDegree(keys_[k]);
    total_degree_ = std::max(total_degree_, total);
    for (int i = 0; i < variables_; ++i) {
      const int exponent = Exponent(keys_[k], i);
      if (exponent == 0) continue;
      degree_[i] = std::max(degree_[i], exponent);
      factors_[k] = {divisors[k * variables_ + i], i};
      if (total == 1) linear_[i] = k;
      for (int j = 0; j < variables_ && total == 2; ++j) {
        const bool pair =
            i == j ? exponent == 2 : Exponent(keys_[k], j) == 1 && exponent == 1;
        if (pair) quadratic_[i][j] = k;
      }
    }
  }
  for (int i = 0; i < variables_; ++i) {
    sum_of_degrees_ += degree_[i];
    Plan& plan = plans_[i];
    plan.pass_size.assign(degree_[i], 0);
    // Counted first, so that each step goes to its place at once: pass p begins where all
    // exponents above p end.
    std::array<int, Polynomial::kHighestDegree + 2> place{};
    for (MonomialKey key : keys_) ++place[Exponent(key, i)];
    int before = 0;
    for (int exponent = degree_[i]; exponent > 0; --exponent) {
      const int count = place[exponent];
      place[exponent] = before;
      before += count;
      plan.pass_size[exponent - 1] = before;
    }
    plan.steps.resize(before);
    for (int k = 0; k < size(); ++k) {
      const int exponent = Exponent(keys_[k], i);
      if (exponent > 0) {
        plan.steps[place[exponent]++] = {divisors[k * variables_ + i], k};
      }
    }
  }
}

// The place of key / x_i for every key and variable with an exponent; false where one is
// not in the set.
bool MonomialSet::FindDivisors(std::vector<int32_t>& divisors) const {
  divisors.assign(keys_.size() * variables_, -1);
  for (int i = 0; i < variables_; ++i) {
    // Keys rise, and so do their divisors by one variable.
    int at = 0;
    for (int k = 0; k < size(); ++k) {
      if (Exponent(keys_[k], i) == 0) continue;
      const MonomialKey divisor = keys_[k] - Unit(i);
      while (keys_[at] < divisor) ++at;
      if (keys_[at] != divisor) return false;
      divisors[k * variables_ + i] = at;
    }
  }
  return true;
}

bool MonomialSet::Contains(std::span<const MonomialKey> keys) const {
  return std::includes(keys_.begin(), keys_.end(), keys.begin(), keys.end());
}

int MonomialSet::Index(MonomialKey key) const {
  const auto at = std::lower_bound(keys_.begin(), keys_.end(), key);
  return at != keys_.end() && *at == key ? static_cast<int>(at - keys_.begin()) : -1;
}

std::vector<double> MonomialSet::Spread(std::span<const MonomialKey> keys,
                                        std::span<const double> values) const {
  std::vector<double> spread(keys_.size(), 0.0);
  for (size_t k = 0; k < keys.size(); ++k) spread[Index(keys[k])] = values[k];
  return spread;
}

void MonomialSet::Shift(const double* z, double* coefficients) const {
  for (int i = 0; i < variables_; ++i) {
    const double zi = z[i];
    if (zi == 0) continue;
    const Step* steps = plans_[i].steps.data();
    for (const int pass_size : plans_[i].pass_size) {
      for (int s = 0; s < pass_size; ++s) {
        coefficients[steps[s].target] += zi * coefficients[steps[s].source];
      }
    }
  }
}

void MonomialSet::Evaluate(const double* x, double* monomials) const {
  monomials[0] = 1;
  for (int k = 1; k < size(); ++k) {
    monomials[k] = monomials[factors_[k].divisor] * x[factors_[k].variable];
  }
}

}  // namespace ratebound::bound
