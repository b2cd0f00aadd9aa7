// What a claim promises, read from the claim and the release alone: at every point of
// each duty's box some one of its ways keeps all of its sides. For
// engine/recheck/recheck.h; shares nothing with the prover but the geometry of polygons
// (document/polygon_clauses.h, document/region_pieces.h).
//
// Example:
//   ASSIGN_OR_RETURN(const Promise promise, PromiseOf(claim, release, scale,
//   conditions)); for (const Duty& duty : promise.duties) ...      // all of them must
//   hold
//
// A way is a stage, or one of the quantities of which one is enough; each takes the level
// divided by their number. A duty that is missed at a point is missed by every way on
// some side.
//
// Errors: INVALID_ARGUMENT for a claim on a condition or stage that there is not.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_DUTIES_H_
#define RATEBOUND_ENGINE_RECHECK_DUTIES_H_

#include <memory>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim.h"
#include "engine/document/region_pieces.h"
#include "engine/document/release.h"
#include "engine/recheck/margin.h"

namespace ratebound::recheck {

struct Way {
  std::string stage;
  std::vector<size_t> sides;  // of Promise::formulas; none where the stage has no map
};

struct Duty {
  document::ConditionBox box;
  std::vector<Way> ways;
  std::string text;  // "stage low or high at least its limit", for messages
};

struct Promise {
  std::vector<Formula> formulas;  // the first is the first side of the first way
  std::vector<Duty> duties;
  // Half-spaces of each convex piece of the region; one without any where nothing is cut.
  std::vector<std::vector<document::HalfSpace>> pieces;
  double allowance_si = 0;  // the greatest
  // Maps that formulas refer to and no release carries.
  std::vector<std::shared_ptr<const document::StageMap>> own_maps;
  // Why the functions of such a claim cannot be formed; empty where they are.
  std::string why_not;
};

absl::StatusOr<Promise> PromiseOf(const document::Verdict& verdict,
                                  const document::Release& release,
                                  const ConditionScale& scale,
                                  const std::vector<std::string>& conditions);

// For the kinds, kinds.cc.
// What all promises are made from.
struct PromiseInputs {
  const document::Claim& claim;
  const document::Release& release;
  const ConditionScale& scale;
  const std::vector<std::string>& conditions;
  const document::Mode& mode;
  document::ConditionBox region;
  const std::string& model;  // of the verdict, in words

  // Null where there is none, or where points are of more than one regime.
  const document::StageMap* MapOf(const std::string& stage) const;
  size_t size() const { return scale.size(); }
  // The allowance of a limit, in the unit of the quantity.
  double AllowanceAt(double absolute, double limit) const;
};

struct ServedBox {
  document::ConditionBox box;
  std::vector<std::string> stages;  // of which, at every point, some one must serve
};
absl::StatusOr<std::vector<ServedBox>> ServedBoxes(const PromiseInputs& inputs);
absl::StatusOr<std::vector<std::string>> StagesOfMode(const PromiseInputs& inputs);

// 1 for at least, -1 for at most, with its limit.
struct LimitSide {
  double sign = 1;
  double limit_si = 0;
};
std::vector<LimitSide> SidesOf(document::Relation relation, double limit_si,
                               double upper_limit_si);

// Adds the duties of a claim that is not plain; why_not where it cannot.
absl::Status AddKind(const PromiseInputs& inputs, Promise& promise);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_DUTIES_H_
