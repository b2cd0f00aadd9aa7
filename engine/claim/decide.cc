#include "engine/claim/decide.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/claim/certify.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/judged_figures.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/claim/kinds/dew_point.h"
#include "engine/claim/level.h"
#include "engine/claim/problem.h"
#include "engine/claim/problem_prover.h"
#include "engine/claim/promise_parts.h"
#include "engine/claim/provable.h"
#include "engine/claim/region_shares.h"
#include "engine/claim/stated_region.h"
#include "engine/claim/tested_account.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::claim {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Verdict;

std::string Short(double value) { return absl::StrFormat("%.6g", value); }

class Decision {
 public:
  // `make` is empty where the claim's own form says what has to be proven.
  Decision(const document::Claim& claim, const ClaimInputs& inputs, quantity::Unit unit,
           MakeProblemSet make = {})
      : claim_(claim), inputs_(inputs), unit_(unit), make_(std::move(make)) {
    verdict_.claim = claim.id;
    verdict_.text = claim;
    verdict_.unit = claim.IsPlain() ? claim.limit_unit : std::string(unit.name);
    verdict_.data_digest = inputs.data_digest;
    if (inputs.earlier != nullptr) {
      const bool same_data = inputs.earlier->data_digest == inputs.data_digest;
      verdict_.look = inputs.earlier->look + (same_data ? 0 : 1);
    }
    verdict_.level = LookLevel(claim.confidence, verdict_.look);
    stages_ = inputs.stages;
    if (stages_.empty()) {
      stages_.push_back({.id = claim.stage, .map = &inputs.map, .fit = inputs.fit});
    }
  }

  absl::StatusOr<Verdict> Run() {
    const document::StageMap& map = *stages_.front().map;
    for (const StageInputs& stage : stages_) {
      if (stage.map->conditions != map.conditions) {
        return Invalid(absl::StrCat("serving: stages ", stages_.front().id, " and ",
                                    stage.id, " were fitted over unlike conditions"));
      }
    }
    auto region = StatedRegion::Create(map.conditions, claim_);
    if (!region.ok()) return Invalid(std::string(region.status().message()));
    region_ = *std::move(region);
    if (make_) {
      auto set = make_(stages_, region_.pieces(), verdict_.level);
      if (absl::IsInvalidArgument(set.status())) {
        return Invalid(std::string(set.status().message()));
      }
      RETURN_IF_ERROR(set.status());
      set_ = *std::move(set);
    } else {
      RETURN_IF_ERROR(MakeOwnProblems(map));
    }
    if (!set_.model_fault.empty()) {
      return NotShown(NotShownReason::kModel, set_.model_fault);
    }
    ASSIGN_OR_RETURN(Verdict verdict, Decide());
    if (inputs_.shares) RETURN_IF_ERROR(AddShares(verdict));
    if (inputs_.certification != nullptr) {
      ASSIGN_OR_RETURN(*inputs_.certification,
                       certifier_.Certify(verdict, map.conditions, set_));
    }
    return verdict;
  }

 private:
  absl::Status MakeOwnProblems(const document::StageMap& map) {
    auto parts = PartsOf(claim_, stages_, map.conditions, region_.pieces());
    if (!parts.ok()) return Invalid(std::string(parts.status().message()));
    parts_ = *std::move(parts);
    ASSIGN_OR_RETURN(set_, MakeProblems({.claim = claim_,
                                         .manifest = inputs_.manifest,
                                         .mode = inputs_.mode,
                                         .stages = stages_,
                                         .parts = parts_,
                                         .level = verdict_.level}));
    return absl::OkStatus();
  }

  absl::Status Invalid(std::string_view why) const {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim_.id, ": ", base::Absl(why)));
  }

  absl::StatusOr<Verdict> Decide() {
    const SideMargin& first = set_.problems.front().alternatives.front()->sides.front();
    verdict_.model = ModelText(first.margin.taken);
    verdict_.degrees_of_freedom = LeastDegreesOfFreedom(first.margin.taken);
    verdict_.coverage_factor =
        *std::max_element(first.proving.begin(), first.proving.end());
    verdict_.allowance = quantity::DifferenceFromSi(set_.allowance_si, unit_);
    TestedAccount tested(region_, *stages_.front().map);
    ProblemProver prover(claim_, set_, region_.pieces(), tested, certifier_);
    const ProblemFindings& found = prover.found();
    for (const Problem& problem : set_.problems) {
      RETURN_IF_ERROR(prover.Decide(problem));
      if (found.fault) break;
    }
    verdict_.box_count = found.box_count;
    verdict_.untested = tested.untested();
    if (found.fault) return NotShown(NotShownReason::kModel, *found.fault);
    verdict_.tested_fraction = tested.Fraction();
    return Conclude(found, tested);
  }

  // The first that applies, in the order of decide.h.
  Verdict Conclude(const ProblemFindings& found, const TestedAccount& tested) {
    if (found.refuted) return Refuted(Record(*found.refuted, /*granted=*/true));
    JudgedPromise worst;
    if (found.worst) worst = Record(*found.worst, /*granted=*/false);
    if (tested.NothingTested()) {
      return NotShown(NotShownReason::kUntested, "no part of the region was tested");
    }
    if (tested.AnyUntested()) {
      return NotShown(
          NotShownReason::kUntested,
          absl::StrCat(PercentText(1 - verdict_.tested_fraction),
                       " of the region was never tested; the part inside the tested "
                       "ranges ",
                       found.all_hold ? "would hold" : "is not shown either"));
    }
    if (found.all_hold) return Proven(worst);
    if (!found.uncertain) {
      return NotShown(NotShownReason::kBudget,
                      absl::StrCat("bound and limit are too close to tell apart within ",
                                   verdict_.box_count, " boxes"));
    }
    return NotShown(
        NotShownReason::kUncertain,
        absl::StrCat("the confidence band straddles the limit: the estimate there is ",
                     Short(verdict_.estimate), ", its bound ", Short(verdict_.bound),
                     Unit(), Which(worst)));
  }

  JudgedPromise Record(const JudgedPoint& point, bool granted) {
    return RecordFigures({.claim = claim_,
                          .unit = unit_,
                          .frame = set_.frame,
                          .region = region_,
                          .several_stages = stages_.size() > 1,
                          .granted = granted},
                         point, verdict_);
  }

  std::string Unit() const { return quantity::AfterNumber(verdict_.unit); }

  static std::string Which(const JudgedPromise& promise) {
    return promise.what.empty() ? "" : absl::StrCat(" (", promise.what, ")");
  }

  Verdict Proven(const JudgedPromise& closest) {
    verdict_.outcome = Outcome::kProven;
    verdict_.explanation = absl::StrCat(
        "shown at every point of the region with ", PercentText(1 - verdict_.level),
        " one-sided confidence, for surfaces of this form within the "
        "allowance; closest by ",
        absl::StrFormat("%.3g", verdict_.margin), Unit(), Which(closest));
    return verdict_;
  }

  Verdict Refuted(const JudgedPromise& missed) {
    verdict_.outcome = Outcome::kRefuted;
    verdict_.explanation = absl::StrCat(
        "fails", Which(missed), ": ", missed.sign > 0 ? "at least " : "at most ",
        Short(missed.limit), Unit(),
        " is promised, and at this point the simultaneous confidence band with every "
        "allowance granted still misses it by ",
        Short(-verdict_.margin), Unit());
    return verdict_;
  }

  Verdict NotShown(NotShownReason reason, std::string why) {
    verdict_.outcome = Outcome::kNotShown;
    verdict_.reason = reason;
    verdict_.explanation = std::move(why);
    return verdict_;
  }

  absl::Status AddShares(Verdict& verdict) const {
    if (verdict.outcome == Outcome::kProven) {
      verdict.shares = {.proven_fraction = 1};
      return absl::OkStatus();
    }
    if (verdict.reason == NotShownReason::kModel) return absl::OkStatus();
    ASSIGN_OR_RETURN(const Division division, DivideRegion(set_, region_.pieces()));
    verdict.shares = division.shares;
    for (const SharedPart& part : division.parts) {
      document::RegionPart plain{
          .state = part.state,
          .region = region_.RangesOf(part.box.low_si, part.box.high_si),
          .region_fraction = part.fraction};
      if (stages_.size() > 1) plain.stage = part.stage;
      verdict.parts.push_back(std::move(plain));
    }
    return absl::OkStatus();
  }

  const document::Claim& claim_;
  const ClaimInputs& inputs_;
  const quantity::Unit unit_;
  const MakeProblemSet make_;
  std::vector<StageInputs> stages_;
  StatedRegion region_;
  std::vector<PromisePart> parts_;
  ProblemSet set_;
  Verdict verdict_;
  Certifier certifier_;
};

absl::Status CheckUnits(const document::Claim& claim, const quantity::Unit& unit) {
  const auto invalid = [&](std::string_view why) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": ", base::Absl(why)));
  };
  if (unit.reciprocal) {
    return invalid(
        absl::StrCat(claim.limit_unit,
                     " falls where efficiency rises; state the limit in W/W or Btu/Wh"));
  }
  ASSIGN_OR_RETURN(const auto* const quantity, quantity::FindQuantity(claim.quantity));
  if (!(claim.allowance.relative_fraction > 0)) return absl::OkStatus();
  if (quantity->dimension == quantity::Dimension::kTemperature) {
    return invalid(
        "a part of a temperature depends on where its scale starts; state the allowance "
        "as a difference");
  }
  if (claim.against) {
    return invalid(
        "allowance.relative_fraction: against another quantity there is no limit to take "
        "a part of; state the allowance as a difference");
  }
  return absl::OkStatus();
}

// Of verdicts that ended before there was anything to certify.
void NoteNoCertificate(const Verdict& verdict, const ClaimInputs& inputs) {
  Certification* const certification = inputs.certification;
  if (certification == nullptr || certification->certificate) return;
  if (certification->why_none.empty()) {
    certification->why_none = WhyNoCertificate(verdict);
  }
}

}  // namespace

absl::StatusOr<Verdict> DecideProblems(const document::Claim& claim,
                                       const ClaimInputs& inputs,
                                       const quantity::Unit& unit,
                                       const MakeProblemSet& make) {
  return Decision(claim, inputs, unit, make).Run();
}

absl::StatusOr<Verdict> DecideClaim(const document::Claim& claim,
                                    const ClaimInputs& inputs) {
  if (!claim.IsPlain() && !claim.turndown) {
    ASSIGN_OR_RETURN(const Verdict verdict, DecideKind(claim, inputs));
    NoteNoCertificate(verdict, inputs);
    return verdict;
  }
  ASSIGN_OR_RETURN(const quantity::Unit unit,
                   quantity::FindUnit(claim.turndown ? "1" : claim.limit_unit));
  if (!claim.turndown) RETURN_IF_ERROR(CheckUnits(claim, unit));
  ASSIGN_OR_RETURN(Verdict verdict, IsDerivedDewPoint(claim, inputs)
                                        ? DecideDewPoint(claim, inputs)
                                        : Decision(claim, inputs, unit).Run());
  NoteNoCertificate(verdict, inputs);
  if (inputs.provable) {
    ASSIGN_OR_RETURN(verdict.provable, WhatCouldBeClaimed(claim, inputs, verdict));
  }
  return verdict;
}

}  // namespace ratebound::claim
