#include "engine/claim/certify.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/bound/interval.h"
#include "engine/claim/certificate.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::RegionProof;
using document::CertificatePart;
using document::Outcome;

// How far a side of a certified box reaches beyond the region's own, of 1 + |z|: more
// than scaling a limit rounds by, so that the box holds the region's in any arithmetic.
constexpr double kReach = 0x1p-48;

constexpr double kRatingReach = 0x1p-40;  // of a rating and what is left of it

void Widen(bound::Box& box) {
  for (size_t i = 0; i < box.lo.size(); ++i) {
    box.lo[i] -= kReach * (1 + std::fabs(box.lo[i]));
    box.hi[i] += kReach * (1 + std::fabs(box.hi[i]));
  }
}

// What a function is a margin of: the quantity alone, or what it is made of.
std::string QuantityText(const document::Claim& claim, const SideMargin& side,
                         const OneSide& one) {
  if (claim.IsPlain() && one.parts.size() == 1 && one.parts[0].size() == 1 &&
      one.parts[0][0].quantity == claim.quantity && !side.margin.has_denominator) {
    return claim.quantity;
  }
  std::string text;
  for (size_t k = 0; k < one.parts.size(); ++k) {
    if (k > 0) absl::StrAppend(&text, " and ");
    for (size_t i = 0; i < one.parts[k].size(); ++i) {
      const CombinationPart& part = one.parts[k][i];
      absl::StrAppend(&text, i > 0 ? " + " : "", part.factor, " ", part.quantity);
    }
    absl::StrAppend(&text, " of stage ", one.stages[k]->id);
  }
  const std::string& what = side.side.what.empty() ? claim.quantity : side.side.what;
  return what.empty() ? text : absl::StrCat(what, ", by ", text);
}

struct Functions {
  std::vector<BandedFunction> functions;
  std::vector<FunctionLabel> labels;

  void Add(const document::Claim& claim, const std::string& stage, const SideMargin& side,
           const OneSide& one, const Factors& factors, const BandedFunction& function) {
    functions.push_back(function);
    labels.push_back(
        {.stage = stage,
         .quantity = QuantityText(claim, side, one),
         .coverage_factor = *std::max_element(factors.begin(), factors.end())});
  }
};

}  // namespace

void Certifier::Holds(const std::vector<const Alternative*>& alternatives, size_t side,
                      const bound::Region& region) {
  conditions_.push_back({alternatives, side, region});
}

void Certifier::Fails(const Problem& problem, const bound::Region& region,
                      const std::vector<double>& point) {
  failure_ = {&problem, region, point};
}

absl::StatusOr<Certification> Certifier::Certify(
    const document::Verdict& verdict, const std::vector<std::string>& conditions,
    const ProblemSet& set) const {
  const bool proven = verdict.outcome == Outcome::kProven;
  if (!proven && verdict.outcome != Outcome::kRefuted) {
    return Certification{.why_none = WhyNoCertificate(verdict)};
  }
  const document::Claim& claim = verdict.text;
  document::Certificate certificate{.claim = verdict.claim,
                                    .release_digest = verdict.data_digest,
                                    .outcome = verdict.outcome,
                                    .level = verdict.level,
                                    .look = verdict.look,
                                    .allowance_si = set.allowance_si,
                                    .model = verdict.model};
  const auto inputs_of = [&](const Functions& made, const bound::Region& region) {
    return PartInputs{.conditions = conditions,
                      .centre_si = set.frame.centre_si,
                      .half_range_si = set.frame.half_range_si,
                      .labels = made.labels,
                      .functions = made.functions,
                      .region = region};
  };
  if (!proven) {
    if (!failure_) return absl::InternalError("a refutation without its point");
    Functions made;
    for (const auto& alternative : failure_->problem->alternatives) {
      const SideMargin* most = nullptr;
      double missing = 0;
      for (const SideMargin& side : alternative->sides) {
        if (!side.shortfall) continue;
        const double by = bound::Evaluate(*side.shortfall, failure_->point).lo;
        if (by > missing) {
          missing = by;
          most = &side;
        }
      }
      if (most == nullptr) return absl::InternalError("a stage misses nothing");
      made.Add(claim, alternative->stage, *most, most->margin.granted, *most->refuting,
               *most->shortfall);
    }
    auto part = MakeRefutation(inputs_of(made, failure_->region), failure_->point);
    if (absl::IsFailedPrecondition(part.status())) {
      return Certification{.why_none = std::string(part.status().message())};
    }
    RETURN_IF_ERROR(part.status());
    certificate.parts.push_back(*std::move(part));
  }
  int64_t leaves = 0;
  for (const Condition& condition : conditions_) {
    if (!proven) break;
    Functions made;
    for (const Alternative* alternative : condition.alternatives) {
      const SideMargin& side = alternative->sides[condition.side];
      made.Add(claim, alternative->stage, side, side.margin.taken, side.proving,
               side.pessimistic);
    }
    bound::Region region = condition.region;
    Widen(region.box);
    ASSIGN_OR_RETURN(const RegionProof proof,
                     bound::ProveOver(made.functions, region,
                                      {.max_boxes = kMostCertifiedParts, .tree = true}));
    if (proof.outcome == RegionProof::kEmpty) continue;
    if (proof.outcome != RegionProof::kHolds) {
      return Certification{
          .why_none = absl::StrCat(
              "proven by bounds that the checker's own do not come to: ", proof.boxes,
              " parts of the region did not show it in a form that a certificate can "
              "hold; with more margin they would")};
    }
    leaves += static_cast<int64_t>(proof.tree.leaves.size());
    if (leaves > kMostCertifiedLeaves) {
      return Certification{
          .why_none =
              absl::StrCat("its certificate would have more than ", kMostCertifiedLeaves,
                           " parts, which is more than one can be read back of")};
    }
    ASSIGN_OR_RETURN(CertificatePart part, MakePart(inputs_of(made, region), proof));
    certificate.parts.push_back(std::move(part));
  }
  if (certificate.parts.empty()) {
    return Certification{.why_none = "nothing of its region had to be shown"};
  }
  ASSIGN_OR_RETURN(certificate, Seal(std::move(certificate)));
  return Certification{.certificate = std::move(certificate)};
}

Certification CertifyRating(const document::Verdict& verdict, bool less_is_better) {
  const bool proven = verdict.outcome == Outcome::kProven;
  if (!proven && verdict.outcome != Outcome::kRefuted) {
    return {.why_none = WhyNoCertificate(verdict)};
  }
  // Stated a little worse than it was found, for arithmetic that rounds outward.
  const double margin =
      verdict.margin + (proven ? -1 : 1) * kRatingReach *
                           (std::fabs(verdict.margin) + std::fabs(verdict.estimate));
  if (proven ? margin < 0 : margin >= 0) {
    return {.why_none = "decided by less than a certificate's arithmetic can tell apart"};
  }
  document::Certificate certificate{
      .claim = verdict.claim,
      .release_digest = verdict.data_digest,
      .outcome = verdict.outcome,
      .level = verdict.level,
      .look = verdict.look,
      .model = verdict.model,
      .rating =
          document::CertifiedRating{.procedure = verdict.text.seasonal_floor->procedure,
                                    .value = verdict.estimate,
                                    .standard_error = verdict.standard_error,
                                    .degrees_of_freedom = verdict.degrees_of_freedom,
                                    .systematic = verdict.systematic,
                                    .coverage_factor = verdict.coverage_factor,
                                    .allowance = verdict.allowance,
                                    .limit = verdict.text.seasonal_floor->at_least,
                                    .less_is_better = less_is_better,
                                    .margin = margin,
                                    .unit = verdict.text.seasonal_floor->unit}};
  certificate.seal = document::SealOf(certificate);
  return {.certificate = std::move(certificate)};
}

std::string WhyNoCertificate(const document::Verdict& verdict) {
  switch (verdict.outcome) {
    case Outcome::kNotShown:
      return "not shown: there is no proof to certify";
    case Outcome::kObserved:
      return "observed: a statement on readings, not a proof over a region";
    case Outcome::kProven:
    case Outcome::kRefuted:
      break;
  }
  return "decided in a form that certificates do not have";
}

}  // namespace ratebound::claim
