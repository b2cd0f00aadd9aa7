#include "engine/bound/monomial_set.h"

#include <algorithm>

namespace ratebound::bound {
namespace {

constexpr MonomialKey Unit(int variable) { return MonomialKey{1} << (8 * variable); }

}  // namespace

MonomialSet::MonomialSet(int variables, std::span<const MonomialKey> keys)
    : variables_(variables), keys_(keys.begin(), keys.end()) {
  keys_.push_back(0);
  for (int i = 0; i < variables_; ++i) {
    const size_t given = keys_.size();
    for (size_t k = 0; k < given; ++k) {
      for (MonomialKey key = keys_[k]; Exponent(key, i) > 0;) {
        key -= Unit(i);
        keys_.push_back(key);
      }
    }
    std::sort(keys_.begin(), keys_.end());
    keys_.erase(std::unique(keys_.begin(), keys_.end()), keys_.end());
  }

  factors_.resize(keys_.size());
  for (int k = 0; k < size(); ++k) {
    total_degree_ = std::max(total_degree_, TotalDegree(keys_[k]));
    for (int i = 0; i < variables_; ++i) {
      degree_[i] = std::max(degree_[i], Exponent(keys_[k], i));
      if (Exponent(keys_[k], i) > 0) factors_[k] = {Index(keys_[k] - Unit(i)), i};
    }
  }
  for (int i = 0; i < variables_; ++i) {
    sum_of_degrees_ += degree_[i];
    linear_[i] = Index(Unit(i));
    for (int j = 0; j < variables_; ++j) quadratic_[i][j] = Index(Unit(i) + Unit(j));
    Plan& plan = plans_[i];
    plan.pass_size.assign(degree_[i], 0);
    for (int exponent = degree_[i] - 1; exponent >= 0; --exponent) {
      for (int k = 0; k < size(); ++k) {
        if (Exponent(keys_[k], i) != exponent) continue;
        const int source = Index(keys_[k] + Unit(i));
        if (source >= 0) plan.steps.push_back({k, source});
      }
      plan.pass_size[exponent] = static_cast<int>(plan.steps.size());
    }
  }
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
