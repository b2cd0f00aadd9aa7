// A claim as a function that must be nowhere negative: what is left between a fitted
// surface and its limit, with the uncertainties that are taken off it.
//
// For "quantity at least L" with allowance A the margin is f - L - A; for "at most" it is
// L - A - f. For an efficiency, capacity over power, the claim is proven on the fitted
// combination capacity - (L + A) power, which is linear and has power where separate
// bands have none (Fieller, J. Royal Stat. Soc. B 16 (1954) 175); the margin there is in
// watts of capacity. A refutation grants the allowance, so it stands on the other limit:
// another combination, with its own standard error and its own systematic part.
//
// Systematic uncertainty is what the instruments give, carried through the reduction to
// the points of the map (the greatest over them); for a quantity without instruments,
// what the manifest states. It is expanded and added linearly, never in quadrature with
// the random part: of the response, as a part of its value and as a constant, and of each
// condition through the slope of the surface over it. A part of the value is taken at the
// far end of the band, r (|f| + t s), for the value is known no better. It is a sum of w
// |q(x)| and of standard errors, with polynomials q, so that margin and allowances
// together are one banded function (engine/bound/banded_function.h).
//
// Everything is in the scaled conditions z of the surface; values are SI.
#ifndef RATEBOUND_ENGINE_CLAIM_MARGIN_H_
#define RATEBOUND_ENGINE_CLAIM_MARGIN_H_

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/banded_function.h"
#include "engine/bound/polynomial.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/map.h"

namespace ratebound::claim {

struct CombinationPart {
  std::string quantity;
  double factor = 1;
};

// Fits a linear combination of quantities, by the full polynomial of a degree, to the
// points that the stage map rests on.
using FitCombination = std::function<absl::StatusOr<document::Surface>(
    std::span<const CombinationPart> parts, int degree)>;

// The margin on one limit, before uncertainty is taken off.
struct OneSide {
  document::Surface surface;   // of the quantity, or the combination
  bound::Polynomial value;     // not negative where the claim holds
  bound::Polynomial variance;  // of the surface
  // Systematic uncertainty: a constant, w |q|, and so many parts of a standard error as
  // the band has standard errors.
  double constant = 0;
  std::vector<bound::BandedFunction::Term> absolute;
  std::vector<bound::BandedFunction::Term> of_band;
};

struct Margin {
  OneSide taken;    // the allowance taken off the margin: what a proof must show
  OneSide granted;  // and added to it: what a refutation must miss
  // For an efficiency: capacity and power, by which margins in watts become margins of
  // the efficiency. Empty otherwise.
  std::vector<bound::Polynomial> capacity_and_power;
  double allowance_si = 0;  // of the quantity
};

// `proof_surface` is that of the claim's quantity and `degree` its degree; for an
// efficiency both are those of the combination's parts: the surface of capacity, and a
// degree that is enough for capacity and power. Errors of the fit come back as they are
// (FAILED_PRECONDITION: the points do not carry the model).
absl::StatusOr<Margin> MakeMargin(const document::Claim& claim,
                                  const document::LineManifest& manifest,
                                  const document::Mode& mode,
                                  const document::StageMap& map,
                                  const document::Surface& proof_surface, int degree,
                                  const FitCombination& fit);

// The margin with `factor` standard errors and all systematic uncertainty taken off.
absl::StatusOr<bound::BandedFunction> Pessimistic(const Margin& margin, double factor);
// What is still missing when the same are granted: positive where the claim fails even
// so. The allowance, too, is granted rather than taken.
absl::StatusOr<bound::BandedFunction> Shortfall(const Margin& margin, double factor);

// At a point, with a band of so many standard errors.
double SystematicAt(const OneSide& side, std::span<const double> z, double factor);
double StandardErrorAt(const OneSide& side, std::span<const double> z);

bool IsEfficiency(const std::string& quantity);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_MARGIN_H_
