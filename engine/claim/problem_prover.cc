#include "engine/claim/problem_prover.h"

#include <algorithm>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/bound/bernstein.h"
#include "engine/claim/expression.h"
#include "engine/claim/some_window.h"
#include "engine/claim/tested_alternative.h"

namespace ratebound::claim {
namespace {

using bound::RegionProof;
using document::ConditionBox;

// Whether what margins are divided by is above 0 over the box.
absl::StatusOr<bool> DenominatorHolds(const Alternative& alternative,
                                      const bound::Box& box) {
  for (const SideMargin& side : alternative.sides) {
    if (!side.margin.has_denominator) continue;
    ASSIGN_OR_RETURN(const auto range, bound::EncloseRange(side.margin.denominator, box));
    if (!(range.range.lo > 0)) return false;
  }
  return true;
}

}  // namespace

absl::Status ProblemProver::Decide(const Problem& problem) {
  if (problem.alternatives.size() == 1) {
    const Alternative& alternative = *problem.alternatives.front();
    ASSIGN_OR_RETURN(const AlternativeTested tested,
                     TestedOver(alternative, set_.frame, region_, problem.box));
    tested_.Add(tested, problem.box);
    if (!tested.inside) return absl::OkStatus();
    return Prove(problem, {&alternative}, *tested.inside);
  }
  // Where all were tested everywhere there is nothing to divide.
  Alternatives tested_everywhere;
  for (const auto& alternative : problem.alternatives) {
    ASSIGN_OR_RETURN(const AlternativeTested tested,
                     TestedOver(*alternative, set_.frame, region_, problem.box));
    if (tested.fraction == 1) tested_everywhere.push_back(alternative.get());
  }
  if (tested_everywhere.size() == problem.alternatives.size()) {
    tested_.Add({.fraction = 1, .inside = bound::Box()}, problem.box);
    return Prove(problem, tested_everywhere, BoxIn(set_.frame, problem.box));
  }
  for (const ConditionBox& part : DivideByTestedRanges(problem, region_)) {
    Alternatives tested_here;
    AlternativeTested best;
    const Alternative* best_alternative = nullptr;
    for (const auto& alternative : problem.alternatives) {
      ASSIGN_OR_RETURN(AlternativeTested tested,
                       TestedOver(*alternative, set_.frame, region_, part));
      if (tested.fraction == 1) tested_here.push_back(alternative.get());
      if (best_alternative == nullptr || tested.fraction > best.fraction) {
        best = std::move(tested);
        best_alternative = alternative.get();
      }
    }
    tested_.Add(best, part);
    if (!tested_here.empty()) {
      RETURN_IF_ERROR(Prove(problem, tested_here, BoxIn(set_.frame, part)));
    } else if (best.inside) {
      RETURN_IF_ERROR(Prove(problem, {best_alternative}, *best.inside));
    }
  }
  return absl::OkStatus();
}

absl::Status ProblemProver::Prove(const Problem& problem,
                                  const Alternatives& alternatives,
                                  const bound::Box& box) {
  for (const Alternative* alternative : alternatives) {
    ASSIGN_OR_RETURN(const bool positive, DenominatorHolds(*alternative, box));
    if (!positive) {
      found_.fault =
          claim_.turndown || !IsEfficiency(claim_.quantity)
              ? "what the quantity is divided by is not positive over the whole region"
              : "the fitted power is not positive over the whole region";
      return absl::OkStatus();
    }
  }
  for (const std::vector<document::HalfSpace>& piece : region_.pieces) {
    bound::Region region{.box = box};
    for (const document::HalfSpace& half_space : piece) {
      ASSIGN_OR_RETURN(bound::Polynomial cut, CutIn(set_.frame, half_space));
      region.cuts.push_back(std::move(cut));
    }
    RETURN_IF_ERROR(ProvePiece(problem, alternatives, region));
  }
  return absl::OkStatus();
}

absl::Status ProblemProver::ProvePiece(const Problem& problem,
                                       const Alternatives& alternatives,
                                       const bound::Region& region) {
  const size_t sides = alternatives.front()->sides.size();
  if (sides > 1 && alternatives.size() > 1) {
    return ProveWindows(problem, alternatives, region);
  }
  for (size_t side = 0; side < sides; ++side) {
    std::vector<bound::BandedFunction> functions;
    for (const Alternative* alternative : alternatives) {
      functions.push_back(alternative->sides[side].pessimistic);
    }
    ASSIGN_OR_RETURN(const RegionProof proof, bound::ProveOver(functions, region, {}));
    found_.box_count += proof.boxes;
    if (proof.outcome == RegionProof::kEmpty) continue;
    const bool holds = proof.outcome == RegionProof::kHolds;
    NoteProof(holds, proof.outcome == RegionProof::kUndecided);
    certifier_.Holds(alternatives, side, region);
    if (proof.worst_point.empty()) continue;
    const size_t best = static_cast<size_t>(std::max(proof.best_alternative, 0));
    NotePoint({.alternative = alternatives[best],
               .side = &alternatives[best]->sides[side],
               .z = proof.worst_point,
               .margin_si = proof.value_at_worst.lo});
    if (!holds) TryRefute(problem, region, proof.worst_point);
  }
  return absl::OkStatus();
}

absl::Status ProblemProver::ProveWindows(const Problem& problem,
                                         const Alternatives& alternatives,
                                         const bound::Region& region) {
  ASSIGN_OR_RETURN(const WindowProof proof, ProveSomeWindow(alternatives, region));
  found_.box_count += proof.boxes;
  NoteProof(proof.holds, proof.budget_ended);
  for (const WindowProof::Part& part : proof.parts) {
    const Alternative* const keeps = alternatives[part.alternative];
    for (size_t side = 0; side < keeps->sides.size(); ++side) {
      certifier_.Holds({keeps}, side, {.box = part.box, .cuts = region.cuts});
    }
  }
  if (proof.alternative < 0) return absl::OkStatus();
  const Alternative* const at = alternatives[static_cast<size_t>(proof.alternative)];
  NotePoint({.alternative = at,
             .side = &at->sides[static_cast<size_t>(proof.side)],
             .z = proof.worst_point,
             .margin_si = proof.value_at_worst});
  if (!proof.holds) TryRefute(problem, region, proof.worst_point);
  return absl::OkStatus();
}

void ProblemProver::NoteProof(bool holds, bool budget_ended) {
  found_.all_hold = found_.all_hold && holds;
  found_.uncertain = found_.uncertain || (!holds && !budget_ended);
}

void ProblemProver::NotePoint(JudgedPoint point) {
  const double margin = point.margin_si / MarginDivisor(*point.side, point.z);
  if (found_.worst && margin >= worst_margin_) return;
  worst_margin_ = margin;
  found_.worst = std::move(point);
}

void ProblemProver::TryRefute(const Problem& problem, const bound::Region& region,
                              const std::vector<double>& start) {
  if (found_.refuted) return;
  found_.refuted = FindMissedByAll(problem, set_.frame, region, {start});
  if (found_.refuted) certifier_.Fails(problem, region, found_.refuted->z);
}

}  // namespace ratebound::claim
