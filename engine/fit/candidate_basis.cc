#include "engine/fit/candidate_basis.h"

#include <algorithm>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"

namespace ratebound::fit {
namespace {

int DistinctLevels(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return static_cast<int>(std::unique(values.begin(), values.end()) - values.begin());
}

}  // namespace

absl::StatusOr<CandidateBasis> CandidateBasis::ForPoints(Columns columns, int degree,
                                                         std::span<const int> caps) {
  const auto capped = [&](size_t j) { return std::min(caps[j], degree); };
  bool any = false;
  for (size_t j = 0; j < caps.size(); ++j) any = any || capped(j) < degree;
  if (!caps.empty() && caps.size() != columns.size()) {
    return absl::InvalidArgumentError(absl::StrCat(
        caps.size(), " caps given for ", columns.size(), " columns; expected as many"));
  }
  if (!any) {
    ASSIGN_OR_RETURN(PolynomialBasis full, PolynomialBasis::ForPoints(columns, degree));
    CandidateBasis basis(std::move(full));
    for (int t = 0; t < basis.full_.terms(); ++t) basis.kept_.push_back(t);
    return basis;
  }
  // The scaling is that of a plane; the levels that the powers need are counted here.
  ASSIGN_OR_RETURN(const PolynomialBasis plane, PolynomialBasis::ForPoints(columns, 1));
  std::vector<std::string> faults;
  for (size_t j = 0; j < caps.size(); ++j) {
    if (caps[j] < 0) return absl::InvalidArgumentError("a cap is below 0");
    const int levels = DistinctLevels(columns[j]);
    if (levels > capped(j)) continue;
    faults.push_back(absl::StrCat("column ", j, " takes ", levels,
                                  " distinct levels; degree ", capped(j), " needs ",
                                  capped(j) + 1));
  }
  if (!faults.empty()) {
    return absl::FailedPreconditionError(absl::StrJoin(faults, "\n"));
  }
  ASSIGN_OR_RETURN(PolynomialBasis full, PolynomialBasis::Create(plane.ranges(), degree));
  CandidateBasis basis(std::move(full));
  for (int t = 0; t < basis.full_.terms(); ++t) {
    const std::span<const int> powers = basis.full_.exponents(t);
    bool within = true;
    for (size_t j = 0; j < caps.size(); ++j) within = within && powers[j] <= caps[j];
    if (within) basis.kept_.push_back(t);
  }
  return basis;
}

absl::StatusOr<DesignMatrix> CandidateBasis::Design(Columns columns) const {
  ASSIGN_OR_RETURN(DesignMatrix all, full_.Design(columns));
  if (IsFull()) return all;
  DesignMatrix design(all.rows, terms());
  for (int k = 0; k < terms(); ++k) {
    const std::span<const double> column = all.Column(kept_[k]);
    std::copy(column.begin(), column.end(),
              design.values.begin() + static_cast<long>(k) * all.rows);
  }
  return design;
}

std::vector<std::string> CandidateBasis::TermNames(
    std::span<const std::string> names) const {
  std::vector<std::string> kept;
  kept.reserve(kept_.size());
  for (int term : kept_) kept.push_back(full_.TermName(term, names));
  return kept;
}

std::vector<double> CandidateBasis::ToMonomials(
    std::span<const double> coefficients) const {
  if (IsFull()) return full_.ToMonomials(coefficients);
  std::vector<double> all(static_cast<size_t>(full_.terms()));
  for (size_t k = 0; k < kept_.size(); ++k) all[kept_[k]] = coefficients[k];
  return full_.ToMonomials(all);
}

std::vector<double> CandidateBasis::CovarianceToMonomials(
    std::span<const double> covariance) const {
  if (IsFull()) return full_.CovarianceToMonomials(covariance);
  const size_t p = static_cast<size_t>(full_.terms());
  std::vector<double> all(p * p);
  for (size_t a = 0; a < kept_.size(); ++a) {
    for (size_t b = 0; b < kept_.size(); ++b) {
      all[static_cast<size_t>(kept_[a]) * p + static_cast<size_t>(kept_[b])] =
          covariance[a * kept_.size() + b];
    }
  }
  return full_.CovarianceToMonomials(all);
}

}  // namespace ratebound::fit
