// Certificates from proofs: what engine/claim/recheck.h can follow without the prover.
//
// Example:
//   ASSIGN_OR_RETURN(bound::RegionProof proof,
//                    bound::ProveOver(functions, region, {.tree = true}));
//   ASSIGN_OR_RETURN(document::CertificatePart part,
//                    MakePart({.conditions = ..., .functions = functions,
//                              .region = region}, proof));
//
// Errors: FAILED_PRECONDITION for a proof that neither holds with a tree nor shows a
// violation. Thread-safety: pure.
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

absl::StatusOr<document::CertificatePart> MakePart(const PartInputs& inputs,
                                                   const bound::RegionProof& proof);

// Of a point where all functions are negative, which need not come from a proof.
// FAILED_PRECONDITION where intervals do not show it.
absl::StatusOr<document::CertificatePart> MakeViolatedPart(const PartInputs& inputs,
                                                           std::span<const double> point);

// The bytes that a seal is the SHA-256 of: every field in the order of the struct,
// numbers as 8 big-endian bytes, texts and lists with their length before them.
std::string SealOf(const document::Certificate& certificate);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_CERTIFICATE_H_
