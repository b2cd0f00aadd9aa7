// Certificates from proofs: what engine/recheck/recheck.h can follow without the prover.
//
// Example:
//   ASSIGN_OR_RETURN(bound::RegionProof proof,
//                    bound::ProveOver(functions, region, {.tree = true}));
//   ASSIGN_OR_RETURN(document::CertificatePart part,
//                    MakePart({.conditions = ..., .functions = functions,
//                              .region = region}, proof));
//   ASSIGN_OR_RETURN(document::Certificate certificate,
//                    Seal({.claim = "heats-to-minus-15", ..., .parts = {part}}));
//
// Bounds are stated a millionth smaller than they were found, so that arithmetic of
// another kind comes to them, too.
//
// Errors: FAILED_PRECONDITION for a proof that does not hold or came without its tree.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_CERTIFICATE_H_
#define RATEBOUND_ENGINE_CLAIM_CERTIFICATE_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/prove_region.h"
#include "engine/document/certificate.h"

namespace ratebound::claim {

// Which function of a part is which.
struct FunctionLabel {
  std::string stage;
  std::string quantity;
  double coverage_factor = 0;
};

struct PartInputs {
  std::vector<std::string> conditions;
  std::vector<double> centre_si;  // of z = (x - centre) / half_range
  std::vector<double> half_range_si;
  std::span<const FunctionLabel> labels;  // one for each function
  std::span<const bound::BandedFunction> functions;
  const bound::Region& region;
};

// Of a proof that holds.
absl::StatusOr<document::CertificatePart> MakePart(const PartInputs& inputs,
                                                   const bound::RegionProof& proof);

// Of a refutation: the functions of `inputs` are what is missing, and all positive at the
// point, which lies in the region. FAILED_PRECONDITION where intervals do not show that.
absl::StatusOr<document::CertificatePart> MakeRefutation(const PartInputs& inputs,
                                                         std::span<const double> point);

// The whole, with its seal. Every part must hold, or there is one that does not.
absl::StatusOr<document::Certificate> Seal(document::Certificate certificate);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_CERTIFICATE_H_
