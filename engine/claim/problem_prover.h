// Decides the problems of a claim one after another: proofs over what was tested, and
// where one fails the search for a point that refutes.
//
// Example:
//   ProblemProver prover(claim, set, region, account, certifier);
//   for (const Problem& problem : set.problems) {
//     RETURN_IF_ERROR(prover.Decide(problem));
//     if (prover.found().fault) ...
//   }
//
// Where some stage of several serves, the box is divided so that over each part the same
// stages were tested. Errors are those of polynomials that do not fit together; a claim
// that fails is no error. Thread-safety: one thread at a time.
#ifndef RATEBOUND_ENGINE_CLAIM_PROBLEM_PROVER_H_
#define RATEBOUND_ENGINE_CLAIM_PROBLEM_PROVER_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/bound/prove_region.h"
#include "engine/claim/certify.h"
#include "engine/claim/problem.h"
#include "engine/claim/refuting_search.h"
#include "engine/claim/tested_account.h"

namespace ratebound::claim {

// What the problems came to.
struct ProblemFindings {
  // What speaks against the model; nothing else counts then.
  std::optional<std::string> fault;
  bool all_hold = true;
  bool uncertain = false;  // a proof failed before its budget ended
  int64_t box_count = 0;
  // With the least margin in the claim's own unit.
  std::optional<JudgedPoint> worst;
  std::optional<JudgedPoint> refuted;
};

class ProblemProver {
 public:
  // All outlive it.
  ProblemProver(const document::Claim& claim, const ProblemSet& set,
                const document::RegionPieces& region, TestedAccount& tested,
                Certifier& certifier)
      : claim_(claim),
        set_(set),
        region_(region),
        tested_(tested),
        certifier_(certifier) {}

  absl::Status Decide(const Problem& problem);
  const ProblemFindings& found() const { return found_; }

 private:
  using Alternatives = std::vector<const Alternative*>;

  absl::Status Prove(const Problem& problem, const Alternatives& alternatives,
                     const bound::Box& box);
  absl::Status ProvePiece(const Problem& problem, const Alternatives& alternatives,
                          const bound::Region& region);
  absl::Status ProveWindows(const Problem& problem, const Alternatives& alternatives,
                            const bound::Region& region);
  void NoteProof(bool holds, bool budget_ended);
  void NotePoint(JudgedPoint point);
  void TryRefute(const Problem& problem, const bound::Region& region,
                 const std::vector<double>& start);

  const document::Claim& claim_;
  const ProblemSet& set_;
  const document::RegionPieces& region_;
  TestedAccount& tested_;
  Certifier& certifier_;
  ProblemFindings found_;
  double worst_margin_ = 0;
};

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_PROBLEM_PROVER_H_
