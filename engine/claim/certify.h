// The certificate of a verdict: its proofs done once more with their tree kept, or the
// point where it is refuted.
//
// Example:
//   Certification certification;
//   ASSIGN_OR_RETURN(document::Verdict verdict,
//                    DecideClaim(claim, {..., .certification = &certification}));
//   if (certification.certificate) ...                    // recheck.h accepts it
//   else Tell(claim.id, certification.why_none);
//
// Proven: one part for each stage or group of stages, side of a window, piece of the
// region's cuts, and part of the region with a stage or limit of its own; where some
// stage keeps a window, also for each part of the region that one stage keeps it in.
// Refuted: one part, of the side that each stage misses at the worst point. A claim on a
// rating has no parts, but the figures of the rating that decide it.
//
// Every verdict has a certificate or a sentence why it has none; none ever goes without
// both. Budgets count parts looked at. Thread-safety: one thread at a time.
#ifndef RATEBOUND_ENGINE_CLAIM_CERTIFY_H_
#define RATEBOUND_ENGINE_CLAIM_CERTIFY_H_

#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/prove_region.h"
#include "engine/claim/problem.h"
#include "engine/document/certificate.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

// Parts looked at for one condition of a verdict: the forms that a checker can follow
// take more of them than the prover's own.
inline constexpr int64_t kMostCertifiedParts = 400'000;
// Leaves of one certificate: some tens of MB, which is as much as can be read back.
inline constexpr int64_t kMostCertifiedLeaves = 200'000;

struct Certification {
  std::optional<document::Certificate> certificate;
  std::string why_none;  // a sentence; empty where there is a certificate
};

// Collects what a verdict stands on while it is decided. What is handed over must outlive
// it.
class Certifier {
 public:
  // The side of some of the alternatives was shown to hold over the region.
  void Holds(const std::vector<const Alternative*>& alternatives, size_t side,
             const bound::Region& region);
  // All alternatives of the problem miss some side at the point.
  void Fails(const Problem& problem, const bound::Region& region,
             const std::vector<double>& point);

  // INTERNAL where what was decided does not fit together.
  absl::StatusOr<Certification> Certify(const document::Verdict& verdict,
                                        const std::vector<std::string>& conditions,
                                        const ProblemSet& set) const;

 private:
  struct Condition {
    std::vector<const Alternative*> alternatives;
    size_t side = 0;
    bound::Region region;
  };
  struct Failure {
    const Problem* problem = nullptr;
    bound::Region region;
    std::vector<double> point;
  };
  std::vector<Condition> conditions_;
  std::optional<Failure> failure_;
};

// Of a claim on a rating: the figures that decide it.
Certification CertifyRating(const document::Verdict& verdict, bool less_is_better);

// Why a verdict of this outcome has no certificate, whatever was collected.
std::string WhyNoCertificate(const document::Verdict& verdict);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_CERTIFY_H_
