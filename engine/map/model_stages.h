// One surface over all stages of a mode, with the stage's share of capacity as one more
// condition, cut at each stage: sparse stages borrow from full ones.
//
// Example:
//   const std::optional<JointPoints> joint = JoinStages(groups, g, "power_input");
//   ASSIGN_OR_RETURN(ModelFit fitted, FitModel(joint->Problem(), candidate, purpose));
//   document::Surface surface = CutAtStage(*joint, candidate, fitted, stage_problem);
//
// A polynomial in conditions and share, held at one share, is a polynomial in the
// conditions alone: its coefficients are linear in those of the whole, and so is the
// covariance's change. So the cut is a plain surface that nothing else needs to know of.
// Left-out errors, R squared and mean are those of the stage's own points; residual
// standard deviation, degrees of freedom and the number of points are those of the whole.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_STAGES_H_
#define RATEBOUND_ENGINE_MAP_MODEL_STAGES_H_

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/map/model_fit.h"
#include "engine/points/stage_points.h"

namespace ratebound::map {

struct JointPoints {
  std::string quantity;
  std::vector<std::string> stages;
  std::vector<std::string> conditions;  // the mode's, and the share
  std::vector<std::vector<double>> columns;
  std::vector<double> values;
  std::vector<std::string> point_ids;
  std::vector<int> blocks;  // by name, so that a day is one block in all stages
  std::vector<std::string> block_names;
  std::vector<double> standard_si;
  double share = 0;          // of the stage that is asked for
  std::vector<size_t> rows;  // its points among all, in their order

  ResponseProblem Problem() const;
};

// The points of the stages of `groups[g]`'s unit, mode and regime. Empty where there is
// one stage, or where a point lacks the response.
std::optional<JointPoints> JoinStages(std::span<const points::StagePoints> groups,
                                      size_t g, const std::string& response);

// Errors of the stage's own points, out of those of the whole.
std::vector<double> OwnErrors(const JointPoints& joint, std::span<const double> errors);

// `fitted` is that of joint.Problem() and `candidate`; `stage` is the problem of the
// stage alone. INVALID_ARGUMENT as PolynomialBasis.
absl::StatusOr<document::Surface> CutAtStage(const JointPoints& joint,
                                             const ModelCandidate& candidate,
                                             const ModelFit& fitted,
                                             const ResponseProblem& stage);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_STAGES_H_
