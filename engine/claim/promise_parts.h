// A claim taken apart: which part of the region is promised what, by which stages.
//
// All parts must hold, and in each part all groups; of a group at least one stage must,
// at every point of the part, on all sides. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_PROMISE_PARTS_H_
#define RATEBOUND_ENGINE_CLAIM_PROMISE_PARTS_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/margin.h"
#include "engine/document/claim.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

// One limit from one side. Where the limit is another quantity, `limit_si` is the offset.
struct PromiseSide {
  double sign = 1;  // 1 for at least, -1 for at most
  double limit_si = 0;
  double limit = 0;       // as written; of a line or another quantity 0
  std::string what = {};  // for reports, where it is not the claim's quantity
};

struct PromisePart {
  document::ConditionBox box;
  std::vector<std::vector<size_t>> groups;  // indices of stages
  std::vector<PromiseSide> sides;
};

// `stages` are those of the inputs, in the order of the mode. INVALID_ARGUMENT: a stage
// that is not among them, a part of the region without a stage or limit.
absl::StatusOr<std::vector<PromisePart>> PartsOf(
    const document::Claim& claim, const std::vector<StageInputs>& stages,
    const std::vector<std::string>& conditions, const document::RegionPieces& region);

// The stages that a claim asks about, by id and in the order of the mode; turndown takes
// the lowest and the highest.
std::vector<std::string> StagesOf(const document::Claim& claim,
                                  const document::Mode& mode);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_PROMISE_PARTS_H_
