// One candidate fitted to the points of one stage, and the surface that it makes.
//
// Example:
//   ASSIGN_OR_RETURN(ModelFit fitted, FitModel(problem, candidate, purpose));
//   fitted.left_out;                        // errors at points left out, in SI
//   document::Surface surface = SurfaceOf(problem, candidate, fitted, purpose);
//
// Inside of fit_response.h. Thread-safety: pure. Deterministic: the same bits for the
// same points in the same order.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_FIT_H_
#define RATEBOUND_ENGINE_MAP_MODEL_FIT_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/fit/candidate_basis.h"
#include "engine/fit/least_squares.h"
#include "engine/map/model_candidates.h"
#include "engine/map/model_form.h"

namespace ratebound::map {

// A laboratory's set points scatter: by some 0.1 degF and half a percent of a flow, 2 to
// 3 % of a range. Common practice, no source.
inline constexpr double kRepeatFraction = 0.03;

// Refers to the caller's data. SI.
struct ResponseProblem {
  std::string quantity;                          // of the surface
  std::span<const double> values;                // one for each point
  std::span<const std::string> conditions;       // names
  std::span<const std::vector<double>> columns;  // one for each condition
  std::span<const std::string> point_ids;
  std::span<const int> blocks = {};               // numbers from 0; empty: no blocks
  std::span<const std::string> block_names = {};  // by number
  // What each value counts by (CountingStandard of model_weights.h); empty: all alike.
  std::span<const double> standard_si = {};
};

struct ModelFit {
  fit::CandidateBasis basis;
  ModelForm form;
  fit::DesignMatrix design;
  std::vector<double> target;                // what the polynomial is fitted to
  std::vector<double> weights;               // empty: all alike
  std::vector<std::vector<double>> columns;  // conditions as the basis takes them
  std::vector<int> blocks;  // each point of its own where a proof has none
  bool own_blocks = false;
  fit::LeastSquaresFit fit;
  // Errors at points left out (whole blocks where there are blocks), and residuals, in SI
  // of the quantity.
  std::vector<double> left_out;
  std::vector<double> residuals;
  // Why it cannot be chosen although it can be fitted; empty where it can.
  std::string unchecked;
  // Why it has no covariance; empty where it has one.
  std::string no_covariance;
  // Of a proof, where it has a covariance: what it takes in the place of the jackknife
  // (proof_spread.h). Covariance terms x terms by rows.
  struct OfProof {
    std::vector<double> covariance;
    double degrees_of_freedom = 0;
  };
  std::optional<OfProof> of_proof = {};

  fit::LeastSquaresProblem Problem() const {
    return {.design = design, .response = target, .weights = weights, .blocks = blocks};
  }
  // The greatest total degree of a term.
  int HighestDegree() const;
};

// Names the conditions with too few levels for a candidate; empty where all have enough.
std::string LevelRefusal(const ResponseProblem& problem, const ModelCandidate& candidate);

// FAILED_PRECONDITION with a sentence that names the conditions, terms, points or blocks
// where the points cannot carry the candidate. INVALID_ARGUMENT for sizes that do not
// match or values that are not finite.
absl::StatusOr<ModelFit> FitModel(const ResponseProblem& problem,
                                  const ModelCandidate& candidate,
                                  document::SurfacePurpose purpose);

// `fitted` is that of `problem` and `candidate`.
document::Surface SurfaceOf(const ResponseProblem& problem,
                            const ModelCandidate& candidate, const ModelFit& fitted,
                            document::SurfacePurpose purpose);

// Of the lack-of-fit test on repeats; empty where there are none, or none that differ.
std::optional<double> LackOfFitProbability(const ResponseProblem& problem,
                                           const ModelFit& fitted);

// The matrix's lower triangle, row by row.
std::vector<double> LowerTriangle(const std::vector<double>& matrix, size_t size);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_FIT_H_
