// What speaks for and against a fitted surface, figure by figure and point by point
// (document::SurfaceDiagnostics), with the sentences of engine/fit/advice.h where
// something speaks against it.
//
// Example:
//   surface.diagnostics = Diagnose(problem, candidate, fitted, true);
//   surface.diagnostics->remarks[0].text;  // "Without this point all terms together ..."
//
// Figures are those of engine/fit/influence.h, normality.h, lack_of_fit.h and
// intervals.h, of what the polynomial was fitted to. Advice on single points is given for
// the greatest of each figure only: the points table has the others. The robust fit
// (engine/fit/robust.h) is computed for seeing, never for proofs; how far it lies from
// the surface is the greatest difference at a point, in parts of the fitted value.
//
// None of it is computed for releases: it costs several times the fit, with the robust
// fit a thousand times.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_DIAGNOSE_H_
#define RATEBOUND_ENGINE_MAP_DIAGNOSE_H_

#include <vector>

#include "engine/document/map.h"
#include "engine/map/model_candidates.h"
#include "engine/map/model_fit.h"

namespace ratebound::map {

// `fitted` is that of `problem` and `candidate`.
document::SurfaceDiagnostics Diagnose(const ResponseProblem& problem,
                                      const ModelCandidate& candidate,
                                      const ModelFit& fitted, bool robust);

// Coefficients in powers of the conditions themselves, in the order of the full
// polynomial's terms, from those in powers of z. Sums are taken in twice the precision:
// away from 0 such powers nearly cancel.
std::vector<double> UnscaledCoefficients(const fit::PolynomialBasis& basis,
                                         std::span<const double> monomials);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_DIAGNOSE_H_
