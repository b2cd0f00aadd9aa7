// What has to be proven for a claim, with everything that its proofs stand on.
//
// Thread-safety: what is made is immutable.
#ifndef RATEBOUND_ENGINE_CLAIM_PROBLEM_H_
#define RATEBOUND_ENGINE_CLAIM_PROBLEM_H_

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/banded_function.h"
#include "engine/claim/margin.h"
#include "engine/claim/promise_parts.h"
#include "engine/claim/refuting_band.h"
#include "engine/document/claim.h"
#include "engine/document/region_pieces.h"
#include "engine/map/tested_region.h"

namespace ratebound::claim {

// The margin on one limit from one side, and the functions of a proof and a refutation.
struct SideMargin {
  PromiseSide side;
  Margin margin;
  Factors proving;
  std::optional<Factors> refuting;
  bound::BandedFunction pessimistic;
  std::optional<bound::BandedFunction> shortfall;  // where it can be refuted at all
};

// Where a surface that is rested on was tested.
struct TestedStage {
  const document::StageMap* map = nullptr;
  const document::Surface* surface = nullptr;
  map::TestedRegion tested;
};

// One way for a part of the region to hold: all sides of one stage.
struct Alternative {
  std::string stage;
  std::vector<SideMargin> sides;
  std::vector<TestedStage> tested;
};

// A part of the region, where at every point some alternative must hold.
struct Problem {
  document::ConditionBox box;
  std::vector<std::unique_ptr<Alternative>> alternatives;
  // Some stage that may serve has no model: it could keep what all others miss.
  bool lacks_a_stage = false;
};

struct ProblemSet {
  Frame frame;
  std::vector<Problem> problems;
  // Why there is no model to stand on; empty where there is one.
  std::string model_fault;
  double allowance_si = 0;
};

struct ProblemInputs {
  const document::Claim& claim;
  const document::LineManifest& manifest;
  const document::Mode& mode;
  const std::vector<StageInputs>& stages;
  const std::vector<PromisePart>& parts;
  double level = 0;  // of this look
};

absl::StatusOr<ProblemSet> MakeProblems(const ProblemInputs& inputs);

// For other kinds of promise (kinds/), whose margins have other forms.
// The scaled conditions of the first surface that a proof can rest on; empty: none.
std::optional<Frame> FirstFrame(const std::vector<StageInputs>& stages);
// Why a proof has no surface of a quantity to stand on; empty where it has one.
std::string SurfaceFault(const document::StageMap& map, const std::string& quantity);

struct SideLevels {
  double proving = 0;
  RefutingSearch refuting;
};
// Adds a side to an alternative. Returns what speaks against the model; empty where
// nothing does.
absl::StatusOr<std::string> AddSide(const document::LineManifest& manifest,
                                    const document::ConditionBox& box,
                                    const PromiseSide& side, const MarginForm& form,
                                    const SideLevels& levels, Alternative& alternative);
// Where the surfaces of an alternative were tested; after its sides.
absl::Status AddTested(Alternative& alternative);

// The allowance in SI, of the quantity promised; for turndown a part of the capacity.
double AllowanceSi(const document::Claim& claim, double limit_si);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_PROBLEM_H_
