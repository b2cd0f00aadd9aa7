// A claim as a function that must be nowhere negative: what is left between a quantity
// and its limit, with the uncertainties that are taken off it.
//
// With the quantity N / D (engine/claim/expression.h), D > 0, and the limit L, "at least"
// is the margin N - (L + A) D and "at most" (L - A) D - N, A the allowance. L is a
// number, a polynomial of the conditions or another quantity plus an offset. The margin
// is then sum_k F_k q_k + F_0 with fitted quantities q_k and polynomials F of the
// conditions.
//
// - Where all F_k are numbers, the sum of the q_k is fitted as one response (Fieller, J.
//   Royal Stat. Soc. B 16 (1954) 175): linear, and with power where separate bands have
//   none. An efficiency is capacity - (L + A) power, in watts of capacity.
// - Otherwise, and for quantities of different stages, each q_k is fitted by itself and
//   takes a band of its own, |F_k| times as wide, at the level divided by their number
//   (JointLevel, level.h): sound whatever their correlation.
//
// A refutation grants the allowance, so it stands on the other limit: another
// combination, with its own standard error and its own systematic part.
//
// Systematic uncertainty is what the instruments give, carried through the reduction to
// the points of the map (the greatest over them); for a quantity without instruments,
// what the manifest states. It is expanded and added linearly, never in quadrature with
// the random part: of the response, as a part of its value and as a constant, and of each
// condition through the slope of the margin over it. A part of the value is taken at the
// far end of the band, r (|f| + t s), for the value is known no better. It is a sum of w
// |q(x)| and of standard errors, with polynomials q, so that margin and allowances
// together are one banded function (engine/bound/banded_function.h).
//
// Everything is in the scaled conditions z of a frame; values are SI.
#ifndef RATEBOUND_ENGINE_CLAIM_MARGIN_H_
#define RATEBOUND_ENGINE_CLAIM_MARGIN_H_

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/banded_function.h"
#include "engine/bound/polynomial.h"
#include "engine/claim/expression.h"
#include "engine/claim/frame.h"
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

// Simulated errors of such a fit over a box of conditions (map/regional_ratios.h).
using FitRatios = std::function<absl::StatusOr<std::vector<double>>(
    std::span<const CombinationPart> parts, int degree, std::span<const double> low_si,
    std::span<const double> high_si)>;

// A stage and what is known of it.
struct StageInputs {
  std::string id;
  const document::StageMap* map = nullptr;
  FitCombination fit;
  // For the band of the region (refuting_band.h); empty: the band over all conditions.
  FitRatios ratios = {};
};

// The margin on one limit, before uncertainty is taken off.
struct OneSide {
  // The combination, or each quantity by itself.
  std::vector<document::Surface> surfaces;
  std::vector<const StageInputs*> stages;           // of each surface
  std::vector<std::vector<CombinationPart>> parts;  // what each surface is a fit of
  bound::Polynomial value;                          // not negative where the claim holds
  // Of each surface, times its factor squared.
  std::vector<bound::Polynomial> variances;
  // Systematic uncertainty: a constant, w |q|, and so many parts of a standard error as
  // the band of that surface has standard errors.
  double constant = 0;
  std::vector<bound::BandedFunction::Term> absolute;
  struct BandPart {
    bound::BandedFunction::Term term;
    size_t surface = 0;
  };
  std::vector<BandPart> of_band;
};

struct Margin {
  Frame frame;
  OneSide taken;    // the allowance taken off the margin: what a proof must show
  OneSide granted;  // and added to it: what a refutation must miss
  // The claim's quantity is numerator / denominator, and the limit of the claim is
  // `limit`: by these, margins become margins of the quantity.
  bound::Polynomial numerator;
  bound::Polynomial denominator;
  bool has_denominator = false;
  bound::Polynomial limit;
  double allowance_si = 0;  // of the quantity
};

// The quantity of one stage, and what it is held against: a factor of the conditions and
// fitted quantities, each of some stage.
struct MarginTerm {
  const StageInputs* stage = nullptr;
  std::string quantity;
  Factor factor;
};
struct MarginForm {
  Frame frame;
  std::vector<MarginTerm> numerator;
  Factor free = Factor::Number(0);
  // The denominator: a fitted quantity of a stage, or a factor.
  const StageInputs* over_stage = nullptr;
  std::string over;
  Factor over_factor = Factor::Number(1);
  // The limit; terms only where the denominator is no fitted quantity.
  Factor limit = Factor::Number(0);
  std::vector<MarginTerm> limit_terms;
  double sign = 1;  // 1 for at least, -1 for at most
  double allowance_si = 0;
};

// Errors of the fit come back as they are (FAILED_PRECONDITION: the points do not carry
// the model). INVALID_ARGUMENT: a limit that is a quantity for a ratio of two.
absl::StatusOr<Margin> MakeMargin(const document::LineManifest& manifest,
                                  const MarginForm& form);

// The multiple of the standard error for each surface of a side.
using Factors = std::vector<double>;
// At so high an error rate of the whole margin (level.h).
Factors ProvingFactors(const OneSide& side, double level);
// Empty where some surface has too few blocks.
std::optional<Factors> RefutingFactors(const OneSide& side, double level);

// The margin with its bands and all systematic uncertainty taken off.
absl::StatusOr<bound::BandedFunction> Pessimistic(const Margin& margin,
                                                  const Factors& factors);
// What is still missing when the same are granted: positive where the claim fails even
// so. The allowance, too, is granted rather than taken.
absl::StatusOr<bound::BandedFunction> Shortfall(const Margin& margin,
                                                const Factors& factors);

// At a point, with bands of so many standard errors.
double SystematicAt(const OneSide& side, std::span<const double> z,
                    const Factors& factors);
// Of all bands together: the sum, as if they erred together.
double StandardErrorAt(const OneSide& side, std::span<const double> z);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_MARGIN_H_
