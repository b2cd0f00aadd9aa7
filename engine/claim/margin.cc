#include "engine/claim/margin.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/surface_polynomials.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::Polynomial;

const document::SystematicUncertainty* FindSystematic(
    const document::LineManifest& manifest, const std::string& quantity) {
  for (const document::SystematicUncertainty& entry : manifest.systematic_uncertainties) {
    if (entry.quantity == quantity) return &entry;
  }
  return nullptr;
}

// Adds weight * |q|; a weight of nothing adds nothing.
absl::Status AddAbsolute(double weight, const Polynomial& q,
                         std::vector<BandedFunction::Term>* terms) {
  if (weight == 0) return absl::OkStatus();
  ASSIGN_OR_RETURN(Polynomial square, bound::SumOfSquares(std::span(&q, 1)));
  terms->push_back({weight, std::move(square)});
  return absl::OkStatus();
}

// The systematic uncertainty of `factor` times a measured response.
absl::Status AddResponse(const document::LineManifest& manifest,
                         const std::string& quantity, double factor,
                         const Polynomial& value, Margin* margin) {
  const auto* const systematic = FindSystematic(manifest, quantity);
  if (systematic == nullptr) return absl::OkStatus();
  margin->systematic_constant += std::fabs(factor) * systematic->absolute_si;
  return AddAbsolute(std::fabs(factor) * systematic->relative_fraction, value,
                     &margin->systematic);
}

// The uncertainty of the conditions, through the slope of what is proven.
absl::Status AddConditions(const document::LineManifest& manifest,
                           const document::StageMap& map, const Polynomial& proven,
                           Margin* margin) {
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    const auto* const systematic = FindSystematic(manifest, map.conditions[i]);
    if (systematic == nullptr) continue;
    const double greatest =
        std::max(std::fabs(map.tested_low_si[i]), std::fabs(map.tested_high_si[i]));
    const double uncertainty =
        systematic->absolute_si + systematic->relative_fraction * greatest;
    RETURN_IF_ERROR(AddAbsolute(uncertainty / margin->surface.half_range_si[i],
                                proven.Derivative(static_cast<int>(i)),
                                &margin->systematic));
  }
  return absl::OkStatus();
}

absl::StatusOr<Polynomial> PlusConstant(const Polynomial& p, double constant) {
  return Sum(p, Polynomial::Constant(p.variables(), constant));
}

absl::Status MakeEfficiencyMargin(const document::Claim& claim,
                                  const document::LineManifest& manifest,
                                  const document::Mode& mode, int degree, double sign,
                                  const FitCombination& fit, Margin* margin) {
  // The allowance moves the limit: at least L + A, at most L - A.
  const double limit_si = claim.limit_si + sign * margin->allowance_si;
  const CombinationPart combination[] = {{mode.capacity_quantity, sign},
                                         {mode.power_quantity, -sign * limit_si}};
  ASSIGN_OR_RETURN(margin->surface, fit(combination, degree));
  ASSIGN_OR_RETURN(margin->value, ValuePolynomial(margin->surface));
  for (const CombinationPart& part : combination) {
    const CombinationPart alone[] = {{part.quantity, 1}};
    ASSIGN_OR_RETURN(const document::Surface surface, fit(alone, degree));
    ASSIGN_OR_RETURN(Polynomial value, ValuePolynomial(surface));
    RETURN_IF_ERROR(AddResponse(manifest, part.quantity, part.factor, value, margin));
    margin->capacity_and_power.push_back(std::move(value));
  }
  return absl::OkStatus();
}

absl::Status MakeQuantityMargin(const document::Claim& claim,
                                const document::LineManifest& manifest, double sign,
                                Margin* margin) {
  ASSIGN_OR_RETURN(const Polynomial value, ValuePolynomial(margin->surface));
  RETURN_IF_ERROR(AddResponse(manifest, claim.quantity, 1, value, margin));
  ASSIGN_OR_RETURN(
      margin->value,
      PlusConstant(value.Scale(sign), -sign * claim.limit_si - margin->allowance_si));
  return absl::OkStatus();
}

absl::StatusOr<BandedFunction> Banded(const Margin& margin, const Polynomial& f,
                                      double factor) {
  BandedFunction g{.f = f, .terms = margin.systematic};
  g.terms.push_back({factor, margin.variance});
  return g;
}

double SumAt(const std::vector<BandedFunction::Term>& terms, std::span<const double> z) {
  double sum = 0;
  for (const BandedFunction::Term& term : terms) {
    sum += term.weight * std::sqrt(std::max(0.0, term.square.Evaluate(z)));
  }
  return sum;
}

}  // namespace

bool IsEfficiency(const std::string& quantity) {
  return quantity == "coefficient_of_performance" ||
         quantity == "energy_efficiency_ratio";
}

absl::StatusOr<Margin> MakeMargin(const document::Claim& claim,
                                  const document::LineManifest& manifest,
                                  const document::Mode& mode,
                                  const document::StageMap& map,
                                  const document::Surface& proof_surface,
                                  const FitCombination& fit) {
  Margin margin;
  margin.surface = proof_surface;
  margin.allowance_si = claim.allowance.absolute_si +
                        claim.allowance.relative_fraction * std::fabs(claim.limit_si);
  const double sign = claim.relation == document::Relation::kAtLeast ? 1 : -1;
  RETURN_IF_ERROR(IsEfficiency(claim.quantity)
                      ? MakeEfficiencyMargin(claim, manifest, mode, proof_surface.degree,
                                             sign, fit, &margin)
                      : MakeQuantityMargin(claim, manifest, sign, &margin));
  // Slopes of margin and surface differ by sign alone.
  RETURN_IF_ERROR(AddConditions(manifest, map, margin.value, &margin));
  ASSIGN_OR_RETURN(margin.variance,
                   FormPolynomial(margin.surface, margin.surface.covariance_si));
  return margin;
}

absl::StatusOr<BandedFunction> Pessimistic(const Margin& margin, double factor) {
  ASSIGN_OR_RETURN(const Polynomial f,
                   PlusConstant(margin.value, -margin.systematic_constant));
  return Banded(margin, f, factor);
}

absl::StatusOr<BandedFunction> Shortfall(const Margin& margin, double factor) {
  Polynomial granted = margin.value.Scale(-1);
  if (margin.capacity_and_power.empty()) {
    ASSIGN_OR_RETURN(granted, PlusConstant(granted, -2 * margin.allowance_si));
  } else {
    ASSIGN_OR_RETURN(
        granted,
        Sum(granted, margin.capacity_and_power[1].Scale(-2 * margin.allowance_si)));
  }
  ASSIGN_OR_RETURN(const Polynomial f,
                   PlusConstant(granted, -margin.systematic_constant));
  return Banded(margin, f, factor);
}

double SystematicAt(const Margin& margin, std::span<const double> z) {
  return margin.systematic_constant + SumAt(margin.systematic, z);
}

double StandardErrorAt(const Margin& margin, std::span<const double> z) {
  return std::sqrt(std::max(0.0, margin.variance.Evaluate(z)));
}

}  // namespace ratebound::claim
