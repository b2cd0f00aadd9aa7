#include "engine/claim/margin.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using map::FormPolynomial;
using map::ValuePolynomial;

struct Systematic {
  double fraction = 0;  // of the value
  double absolute_si = 0;
};

// What the manifest says of a quantity outright.
Systematic Stated(const document::LineManifest& manifest, const std::string& quantity) {
  for (const document::SystematicUncertainty& entry : manifest.systematic_uncertainties) {
    if (entry.quantity == quantity) return {entry.relative_fraction, entry.absolute_si};
  }
  return {};
}

// Of a response: what its instruments give, carried to the points of the map; without
// instruments, what the manifest says outright.
Systematic OfResponse(const document::LineManifest& manifest,
                      const document::StageMap& map, const std::string& quantity) {
  for (const document::Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        (surface.systematic_fraction > 0 || surface.systematic_absolute_si > 0)) {
      return {surface.systematic_fraction, surface.systematic_absolute_si};
    }
  }
  return Stated(manifest, quantity);
}

// Of a condition, likewise, in SI.
double OfCondition(const document::LineManifest& manifest, const document::StageMap& map,
                   size_t i) {
  if (i < map.condition_systematic_si.size() && map.condition_systematic_si[i] > 0) {
    return map.condition_systematic_si[i];
  }
  const Systematic stated = Stated(manifest, map.conditions[i]);
  const double greatest =
      std::max(std::fabs(map.tested_low_si[i]), std::fabs(map.tested_high_si[i]));
  return stated.absolute_si + stated.fraction * greatest;
}

// Adds weight * |q|; a weight of nothing adds nothing.
absl::Status AddAbsolute(double weight, const Polynomial& q,
                         std::vector<BandedFunction::Term>* terms) {
  if (weight == 0) return absl::OkStatus();
  ASSIGN_OR_RETURN(Polynomial square, bound::SumOfSquares(std::span(&q, 1)));
  terms->push_back({weight, std::move(square)});
  return absl::OkStatus();
}

// The systematic uncertainty of `factor` times a measured response, with the response's
// own value and variance.
absl::Status AddResponse(const document::LineManifest& manifest,
                         const document::StageMap& map, const std::string& quantity,
                         double factor, const Polynomial& value,
                         const Polynomial& variance, OneSide* side) {
  const Systematic systematic = OfResponse(manifest, map, quantity);
  const double weight = std::fabs(factor) * systematic.fraction;
  side->constant += std::fabs(factor) * systematic.absolute_si;
  if (weight > 0) side->of_band.push_back({weight, variance});
  return AddAbsolute(weight, value, &side->absolute);
}

// The uncertainty of the conditions, through the slope of what is proven.
absl::Status AddConditions(const document::LineManifest& manifest,
                           const document::StageMap& map, OneSide* side) {
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    RETURN_IF_ERROR(
        AddAbsolute(OfCondition(manifest, map, i) / side->surface.half_range_si[i],
                    side->value.Derivative(static_cast<int>(i)), &side->absolute));
  }
  return absl::OkStatus();
}

absl::StatusOr<Polynomial> PlusConstant(const Polynomial& p, double constant) {
  return Sum(p, Polynomial::Constant(p.variables(), constant));
}

// A measured response fitted by itself.
struct Response {
  std::string quantity;
  Polynomial value;
  Polynomial variance;
};

absl::StatusOr<OneSide> EfficiencySide(const document::LineManifest& manifest,
                                       const document::StageMap& map,
                                       std::span<const Response> capacity_and_power,
                                       int degree, double sign, double limit_si,
                                       const FitCombination& fit) {
  const double factors[] = {sign, -sign * limit_si};
  std::vector<CombinationPart> combination;
  for (int i = 0; i < 2; ++i) {
    combination.push_back({capacity_and_power[i].quantity, factors[i]});
  }
  OneSide side;
  ASSIGN_OR_RETURN(side.surface, fit(combination, degree));
  ASSIGN_OR_RETURN(side.value, ValuePolynomial(side.surface));
  for (int i = 0; i < 2; ++i) {
    const Response& response = capacity_and_power[i];
    RETURN_IF_ERROR(AddResponse(manifest, map, response.quantity, factors[i],
                                response.value, response.variance, &side));
  }
  RETURN_IF_ERROR(AddConditions(manifest, map, &side));
  ASSIGN_OR_RETURN(side.variance,
                   FormPolynomial(side.surface, side.surface.covariance_si));
  return side;
}

absl::Status MakeEfficiencyMargin(const document::Claim& claim,
                                  const document::LineManifest& manifest,
                                  const document::Mode& mode,
                                  const document::StageMap& map, int degree, double sign,
                                  const FitCombination& fit, Margin* margin) {
  std::vector<Response> responses;
  for (const std::string& quantity : {mode.capacity_quantity, mode.power_quantity}) {
    const CombinationPart alone[] = {{quantity, 1}};
    ASSIGN_OR_RETURN(const document::Surface surface, fit(alone, degree));
    Response response{.quantity = quantity};
    ASSIGN_OR_RETURN(response.value, ValuePolynomial(surface));
    ASSIGN_OR_RETURN(response.variance, FormPolynomial(surface, surface.covariance_si));
    margin->capacity_and_power.push_back(response.value);
    responses.push_back(std::move(response));
  }
  // The allowance moves the limit: at least L + A, at most L - A.
  const double shift_si = sign * margin->allowance_si;
  ASSIGN_OR_RETURN(margin->taken, EfficiencySide(manifest, map, responses, degree, sign,
                                                 claim.limit_si + shift_si, fit));
  ASSIGN_OR_RETURN(margin->granted, EfficiencySide(manifest, map, responses, degree, sign,
                                                   claim.limit_si - shift_si, fit));
  return absl::OkStatus();
}

absl::Status MakeQuantityMargin(const document::Claim& claim,
                                const document::LineManifest& manifest,
                                const document::StageMap& map,
                                const document::Surface& surface, double sign,
                                Margin* margin) {
  OneSide side{.surface = surface};
  ASSIGN_OR_RETURN(const Polynomial value, ValuePolynomial(surface));
  ASSIGN_OR_RETURN(side.variance, FormPolynomial(surface, surface.covariance_si));
  // Limit and allowance are added one by one: a sum knows what its rounding can cost.
  ASSIGN_OR_RETURN(side.value, PlusConstant(value.Scale(sign), -sign * claim.limit_si));
  RETURN_IF_ERROR(
      AddResponse(manifest, map, claim.quantity, 1, value, side.variance, &side));
  RETURN_IF_ERROR(AddConditions(manifest, map, &side));
  margin->granted = side;
  margin->taken = std::move(side);
  ASSIGN_OR_RETURN(margin->taken.value,
                   PlusConstant(margin->taken.value, -margin->allowance_si));
  ASSIGN_OR_RETURN(margin->granted.value,
                   PlusConstant(margin->granted.value, margin->allowance_si));
  return absl::OkStatus();
}

absl::StatusOr<BandedFunction> Banded(const OneSide& side, const Polynomial& value,
                                      double factor) {
  BandedFunction g{.terms = side.absolute};
  ASSIGN_OR_RETURN(g.f, PlusConstant(value, -side.constant));
  g.terms.push_back({factor, side.variance});
  for (const BandedFunction::Term& term : side.of_band) {
    g.terms.push_back({factor * term.weight, term.square});
  }
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
                                  const document::Surface& proof_surface, int degree,
                                  const FitCombination& fit) {
  Margin margin;
  margin.allowance_si = claim.allowance.absolute_si +
                        claim.allowance.relative_fraction * std::fabs(claim.limit_si);
  const double sign = claim.relation == document::Relation::kAtLeast ? 1 : -1;
  RETURN_IF_ERROR(
      IsEfficiency(claim.quantity)
          ? MakeEfficiencyMargin(claim, manifest, mode, map, degree, sign, fit, &margin)
          : MakeQuantityMargin(claim, manifest, map, proof_surface, sign, &margin));
  return margin;
}

absl::StatusOr<BandedFunction> Pessimistic(const Margin& margin, double factor) {
  return Banded(margin.taken, margin.taken.value, factor);
}

absl::StatusOr<BandedFunction> Shortfall(const Margin& margin, double factor) {
  return Banded(margin.granted, margin.granted.value.Scale(-1), factor);
}

double SystematicAt(const OneSide& side, std::span<const double> z, double factor) {
  return side.constant + SumAt(side.absolute, z) + factor * SumAt(side.of_band, z);
}

double StandardErrorAt(const OneSide& side, std::span<const double> z) {
  return std::sqrt(std::max(0.0, side.variance.Evaluate(z)));
}

}  // namespace ratebound::claim
