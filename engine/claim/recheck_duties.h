// What the parts of a proof must make up between them, read from the claim alone: which
// stages must keep which limits where. For engine/claim/recheck.h; shares nothing with
// the prover.
//
// Example:
//   ASSIGN_OR_RETURN(const std::vector<Duty> duties,
//                    DutiesOf(claim, release.manifest, part.conditions));
//
// A proof shows a duty where, for each of its sides, its parts of these stages and of
// that side hold the duty's box between them. A refutation shows that one is missed:
// every one of its stages misses some side.
//
// Errors: INVALID_ARGUMENT for a claim on a condition or stage that there is not.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_RECHECK_DUTIES_H_
#define RATEBOUND_ENGINE_CLAIM_RECHECK_DUTIES_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/certificate.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

struct DutySide {
  double sign = 1;  // 1 for at least, -1 for at most
  double limit_si = 0;
  friend bool operator==(const DutySide&, const DutySide&) = default;
};

struct Duty {
  document::ConditionBox box;
  std::vector<std::string> stages;  // of which, at every point, some one must serve
  std::vector<DutySide> sides;  // of a line or another quantity: limit_si says nothing
};

// Of a claim of one quantity; of any other kind none.
absl::StatusOr<std::vector<Duty>> DutiesOf(const document::Claim& claim,
                                           const document::LineManifest& manifest,
                                           const std::vector<std::string>& conditions);

// In SI: what the claim allows at a limit of its own.
double AllowanceAt(const document::Claim& claim, double limit_si);

// A condition over which the parts leave out something of the box; empty where they hold
// all of it. `ends` are, for each condition, values in SI where parts may meet.
std::string LeftOut(const document::ConditionBox& box,
                    const std::vector<std::vector<double>>& ends,
                    const std::vector<const document::CertificatePart*>& parts);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_RECHECK_DUTIES_H_
