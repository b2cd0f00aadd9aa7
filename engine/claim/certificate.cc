#include "engine/claim/certificate.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/bound/interval.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using document::CertificatePart;
using document::CertifiedPolynomial;

CertifiedPolynomial Certified(const Polynomial& p) {
  CertifiedPolynomial result;
  bool exact = true;
  for (int k = 0; k < p.terms(); ++k) {
    for (int i = 0; i < p.variables(); ++i) {
      result.exponents.push_back(bound::Exponent(p.keys()[k], i));
    }
    exact = exact && p.errors()[k] == 0;
  }
  result.coefficients.assign(p.coefficients().begin(), p.coefficients().end());
  if (!exact) result.errors.assign(p.errors().begin(), p.errors().end());
  return result;
}

// A bound that arithmetic of another kind comes to as well.
double Stated(double bound) { return bound - 0x1p-20 * std::fabs(bound); }

absl::StatusOr<CertificatePart> Common(const PartInputs& inputs) {
  if (inputs.labels.size() != inputs.functions.size()) {
    return absl::InvalidArgumentError(
        absl::StrCat("a certificate of ", inputs.functions.size(), " functions with ",
                     inputs.labels.size(), " labels"));
  }
  CertificatePart part{.conditions = inputs.conditions,
                       .centre_si = inputs.centre_si,
                       .half_range_si = inputs.half_range_si,
                       .box_low = inputs.region.box.lo,
                       .box_high = inputs.region.box.hi};
  for (size_t k = 0; k < inputs.functions.size(); ++k) {
    const FunctionLabel& label = inputs.labels[k];
    document::CertifiedFunction function{.stage = label.stage,
                                         .quantity = label.quantity,
                                         .coverage_factor = label.coverage_factor,
                                         .value = Certified(inputs.functions[k].f)};
    for (const BandedFunction::Term& term : inputs.functions[k].terms) {
      // Those that are nothing have no tangent in a leaf.
      if (term.weight == 0 || term.square.terms() == 0) continue;
      function.terms.push_back({term.weight, Certified(term.square)});
    }
    part.functions.push_back(std::move(function));
  }
  for (const Polynomial& cut : inputs.region.cuts) part.cuts.push_back(Certified(cut));
  return part;
}

}  // namespace

absl::StatusOr<CertificatePart> MakePart(const PartInputs& inputs,
                                         const bound::RegionProof& proof) {
  const bound::ProofTree& tree = proof.tree;
  if (proof.outcome != bound::RegionProof::kHolds || tree.leaves.empty()) {
    return absl::FailedPreconditionError(
        "only a proof that holds and kept its tree can be certified");
  }
  ASSIGN_OR_RETURN(CertificatePart part, Common(inputs));
  part.lower_bound = Stated(Stated(proof.lower_bound));
  part.unit_centre = tree.centre;
  part.unit_radius = tree.radius;
  // Combinations and anchors that no leaf uses are left out.
  std::vector<int> combination_place(tree.combinations.size(), -1);
  std::vector<int> anchor_place(tree.anchors.size(), -1);
  part.splits = tree.splits;
  for (const bound::ProofTree::Leaf& leaf : tree.leaves) {
    document::CertifiedLeaf certified{
        .cut = leaf.cut, .bound = Stated(leaf.bound), .tangents = leaf.tangents};
    if (leaf.combination >= 0) {
      int& place = combination_place[leaf.combination];
      if (place < 0) {
        place = static_cast<int>(part.combinations.size());
        const bound::Combination& combination = tree.combinations[leaf.combination];
        part.combinations.push_back({combination.weights, combination.multipliers});
      }
      certified.combination = place;
    }
    if (leaf.anchor >= 0) {
      int& place = anchor_place[leaf.anchor];
      if (place < 0) {
        place = static_cast<int>(part.anchors.size() / part.conditions.size());
        const std::vector<double>& anchor = tree.anchors[leaf.anchor];
        part.anchors.insert(part.anchors.end(), anchor.begin(), anchor.end());
      }
      certified.anchor = place;
    }
    part.leaves.push_back(std::move(certified));
  }
  return part;
}

absl::StatusOr<CertificatePart> MakeRefutation(const PartInputs& inputs,
                                               std::span<const double> point) {
  ASSIGN_OR_RETURN(CertificatePart part, Common(inputs));
  const bound::Box& box = inputs.region.box;
  bool inside = point.size() == box.lo.size() && !inputs.functions.empty();
  for (size_t i = 0; i < box.lo.size() && inside; ++i) {
    inside = box.lo[i] <= point[i] && point[i] <= box.hi[i];
  }
  const std::vector<bound::Interval> x(point.begin(), point.end());
  for (size_t c = 0; c < inputs.region.cuts.size() && inside; ++c) {
    inside = inputs.region.cuts[c].Evaluate(x).lo >= 0;
  }
  if (!inside) {
    return absl::FailedPreconditionError(
        "the point of a refutation is not shown to lie in its region");
  }
  double missing = bound::kInfinity;
  for (const BandedFunction& function : inputs.functions) {
    missing = std::min(missing, bound::Evaluate(function, point).lo);
  }
  missing = Stated(missing);
  if (!(missing > 0)) {
    return absl::FailedPreconditionError(
        "the claim is not shown to be missed at the point of its refutation");
  }
  part.holds = false;
  part.worst_point.assign(point.begin(), point.end());
  part.missing = missing;
  return part;
}

absl::StatusOr<document::Certificate> Seal(document::Certificate certificate) {
  const std::vector<CertificatePart>& parts = certificate.parts;
  const bool hold = std::all_of(parts.begin(), parts.end(),
                                [](const CertificatePart& part) { return part.holds; });
  const bool proven =
      certificate.outcome == document::Outcome::kProven && !parts.empty() && hold;
  const bool refuted =
      certificate.outcome == document::Outcome::kRefuted && parts.size() == 1 && !hold;
  if (!proven && !refuted) {
    return absl::FailedPreconditionError(absl::StrCat(
        "claim ", certificate.claim, ": the parts do not make up its verdict"));
  }
  certificate.seal = document::SealOf(certificate);
  return certificate;
}

}  // namespace ratebound::claim
