#include "engine/claim/decide.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/prove_region.h"
#include "engine/claim/certify.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/claim/kinds/dew_point.h"
#include "engine/claim/level.h"
#include "engine/claim/problem.h"
#include "engine/claim/promise_parts.h"
#include "engine/claim/provable.h"
#include "engine/claim/region_shares.h"
#include "engine/claim/some_window.h"
#include "engine/claim/tested_part.h"
#include "engine/map/refuting_point.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::claim {
namespace {

using bound::RegionProof;
using document::ConditionBox;
using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using map::TestedShare;

std::string Short(double value) { return absl::StrFormat("%.6g", value); }

std::string Percent(double fraction) {
  return absl::StrFormat("%.1f %%", 100 * fraction);
}

std::string ModelText(const OneSide& side) {
  const document::Surface& surface = side.surfaces.front();
  std::string text = absl::StrCat("full polynomial of degree ", surface.degree, " in ",
                                  surface.centre_si.size(), " conditions (",
                                  surface.coefficients_si.size(), " terms)");
  for (size_t k = 1; k < side.surfaces.size(); ++k) {
    absl::StrAppend(&text, " and of degree ", side.surfaces[k].degree, " (",
                    side.surfaces[k].coefficients_si.size(), " terms)");
  }
  if (side.surfaces.size() > 1) {
    absl::StrAppend(&text, ", each with a band at the level divided by ",
                    side.surfaces.size());
  }
  // What the surface does not follow holds only as it was held.
  const document::StageMap& map = *side.stages.front()->map;
  if (!map.held_conditions.empty()) {
    absl::StrAppend(&text,
                    "; as held in the tests: ", absl::StrJoin(map.held_conditions, ", "));
  }
  return text;
}

double PartVolume(const ConditionBox& part, const ConditionBox& whole) {
  double volume = 1;
  for (size_t i = 0; i < part.low_si.size(); ++i) {
    const double width = whole.high_si[i] - whole.low_si[i];
    if (width > 0) volume *= (part.high_si[i] - part.low_si[i]) / width;
  }
  return volume;
}

// A point where the margin is judged: which alternative and side it is of.
struct Point {
  const Alternative* alternative = nullptr;
  const SideMargin* side = nullptr;
  std::vector<double> z;
  double margin_si = 0;  // of the banded function, in its own unit
};

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
    auto region = document::PiecesOf(map.conditions, claim_.region, claim_.cuts);
    if (!region.ok()) return Invalid(std::string(region.status().message()));
    region_ = *std::move(region);
    if (region_.pieces.empty()) return Invalid("cuts: leave nothing of the region");
    for (const std::string& condition : map.conditions) {
      for (const document::MeasureRange& range : claim_.region) {
        if (range.quantity == condition) ranges_.push_back(range);
      }
    }
    if (make_) {
      auto set = make_(stages_, region_, verdict_.level);
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
    auto parts = PartsOf(claim_, stages_, map.conditions, region_);
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
    verdict_.degrees_of_freedom = first.margin.taken.surfaces.front().degrees_of_freedom;
    for (const document::Surface& surface : first.margin.taken.surfaces) {
      verdict_.degrees_of_freedom =
          std::min(verdict_.degrees_of_freedom, surface.degrees_of_freedom);
    }
    verdict_.coverage_factor =
        *std::max_element(first.proving.begin(), first.proving.end());
    verdict_.allowance = quantity::DifferenceFromSi(set_.allowance_si, unit_);
    for (const Problem& problem : set_.problems) {
      RETURN_IF_ERROR(DecideProblem(problem));
      if (fault_) return NotShown(NotShownReason::kModel, *fault_);
    }
    FinishTested();
    if (refuted_) {
      RecordWorst(*refuted_);
      return Finish(Outcome::kRefuted);
    }
    if (worst_) RecordWorst(*worst_);
    if (nothing_tested_) {
      return NotShown(NotShownReason::kUntested, "no part of the region was tested");
    }
    if (untested_) {
      return NotShown(
          NotShownReason::kUntested,
          absl::StrCat(Percent(1 - verdict_.tested_fraction),
                       " of the region was never tested; the part inside the tested "
                       "ranges ",
                       all_hold_ ? "would hold" : "is not shown either"));
    }
    if (all_hold_) return Finish(Outcome::kProven);
    if (!uncertain_) {
      return NotShown(NotShownReason::kBudget,
                      absl::StrCat("bound and limit are too close to tell apart within ",
                                   verdict_.box_count, " boxes"));
    }
    return NotShown(
        NotShownReason::kUncertain,
        absl::StrCat("the confidence band straddles the limit: the estimate there is ",
                     Short(verdict_.estimate), ", its bound ", Short(verdict_.bound), " ",
                     verdict_.unit, Where()));
  }

  // Where an alternative was tested in a part: how much of it, and the box of that.
  struct Tested {
    double fraction = 0;
    std::vector<map::UntestedBox> untested;
    std::optional<bound::Box> inside;  // in the frame
  };

  absl::StatusOr<Tested> TestedBy(const Alternative& alternative,
                                  const ConditionBox& box) const {
    Tested result{.fraction = 1};
    ConditionBox inside = box;
    for (const TestedStage& stage : alternative.tested) {
      ASSIGN_OR_RETURN(TestedShare share, TestedOver(stage.tested, *stage.map,
                                                     *stage.surface, region_, box));
      if (share.tested_fraction <= result.fraction) {
        result.fraction = share.tested_fraction;
        result.untested = std::move(share.untested);
      }
      if (!share.inside) return Tested{.untested = result.untested};
      const auto ranges = InsideRanges(*stage.map, inside);
      if (!ranges) return Tested{.untested = result.untested};
      inside = *ranges;
      if (alternative.tested.size() == 1 && FrameOf(*stage.surface) == set_.frame) {
        result.inside = share.inside;
        return result;
      }
    }
    result.inside = BoxIn(set_.frame, inside);
    return result;
  }

  // Parts of a problem's box such that an alternative is tested in all of each or, but
  // for its inner gaps, in none.
  std::vector<ConditionBox> Cells(const Problem& problem) const {
    constexpr size_t kMostCells = 64;
    std::vector<ConditionBox> cells = {problem.box};
    for (const auto& alternative : problem.alternatives) {
      for (const TestedStage& stage : alternative->tested) {
        for (size_t i = 0; i < problem.box.low_si.size(); ++i) {
          for (double end : {stage.map->tested_low_si[i], stage.map->tested_high_si[i]}) {
            std::vector<ConditionBox> next;
            for (const ConditionBox& cell : cells) {
              if (!(cell.low_si[i] < end && end < cell.high_si[i])) {
                next.push_back(cell);
                continue;
              }
              next.push_back(cell);
              next.back().high_si[i] = end;
              next.push_back(cell);
              next.back().low_si[i] = end;
            }
            if (next.size() <= kMostCells) cells = std::move(next);
          }
        }
      }
    }
    std::erase_if(cells, [&](const ConditionBox& cell) {
      return document::IsEmptyIn(region_, cell);
    });
    return cells;
  }

  absl::Status DecideProblem(const Problem& problem) {
    if (problem.alternatives.size() == 1) {
      const Alternative& alternative = *problem.alternatives.front();
      ASSIGN_OR_RETURN(const Tested tested, TestedBy(alternative, problem.box));
      NoteTested(tested, problem.box);
      if (!tested.inside) return absl::OkStatus();
      return Prove(problem, {&alternative}, *tested.inside);
    }
    // Where all were tested everywhere there is nothing to divide.
    std::vector<const Alternative*> tested_everywhere;
    for (const auto& alternative : problem.alternatives) {
      ASSIGN_OR_RETURN(const Tested tested, TestedBy(*alternative, problem.box));
      if (tested.fraction == 1) tested_everywhere.push_back(alternative.get());
    }
    if (tested_everywhere.size() == problem.alternatives.size()) {
      NoteTested({.fraction = 1, .inside = bound::Box()}, problem.box);
      return Prove(problem, tested_everywhere, BoxIn(set_.frame, problem.box));
    }
    for (const ConditionBox& cell : Cells(problem)) {
      std::vector<const Alternative*> tested_here;
      Tested best;
      const Alternative* best_alternative = nullptr;
      for (const auto& alternative : problem.alternatives) {
        ASSIGN_OR_RETURN(Tested tested, TestedBy(*alternative, cell));
        if (tested.fraction == 1) tested_here.push_back(alternative.get());
        if (best_alternative == nullptr || tested.fraction > best.fraction) {
          best = std::move(tested);
          best_alternative = alternative.get();
        }
      }
      NoteTested(best, cell);
      if (!tested_here.empty()) {
        RETURN_IF_ERROR(Prove(problem, tested_here, BoxIn(set_.frame, cell)));
      } else if (best.inside) {
        RETURN_IF_ERROR(Prove(problem, {best_alternative}, *best.inside));
      }
    }
    return absl::OkStatus();
  }

  void NoteTested(const Tested& tested, const ConditionBox& box) {
    const double volume = PartVolume(box, region_.box);
    if (tested.inside) nothing_tested_ = false;
    if (tested.fraction < 1) {
      untested_ = true;
      const double untested = volume * (1 - tested.fraction);
      const auto known =
          std::find_if(untested_by_box_.begin(), untested_by_box_.end(),
                       [&](const auto& each) { return each.first == box; });
      if (known == untested_by_box_.end()) {
        untested_by_box_.push_back({box, untested});
      } else {
        known->second = std::max(known->second, untested);
      }
    }
    for (map::UntestedBox part : tested.untested) {
      part.region_fraction *= volume;
      AddUntested(part);
    }
  }

  void FinishTested() {
    double untested_fraction = 0;
    for (const auto& [box, fraction] : untested_by_box_) untested_fraction += fraction;
    // Parts may overlap: a fraction all the same.
    verdict_.tested_fraction =
        nothing_tested_ ? 0 : std::clamp(1 - untested_fraction, 0.0, 1.0);
    if (untested_ && verdict_.tested_fraction == 1) {
      verdict_.tested_fraction = std::nextafter(1.0, 0.0);
    }
  }

  void AddUntested(const map::UntestedBox& box) {
    document::UntestedPart part{.region_fraction = box.region_fraction};
    for (size_t i = 0; i < ranges_.size(); ++i) {
      part.region.push_back({ranges_[i].quantity, InUnit(i, box.low_si[i]),
                             InUnit(i, box.high_si[i]), ranges_[i].unit, box.low_si[i],
                             box.high_si[i]});
    }
    const document::StageMap& map = *stages_.front().map;
    if (box.condition >= 0) {
      const size_t i = box.condition;
      part.why =
          absl::StrCat(ranges_[i].quantity, " was tested from ",
                       Short(InUnit(i, map.tested_low_si[i])), " to ",
                       Short(InUnit(i, map.tested_high_si[i])), " ", ranges_[i].unit,
                       " (", Percent(box.region_fraction), " of the region is outside)");
    } else {
      part.why =
          absl::StrCat("inside the tested ranges, but too far from the tested points (",
                       Percent(box.region_fraction), " of the region)");
    }
    if (std::find(verdict_.untested.begin(), verdict_.untested.end(), part) ==
        verdict_.untested.end()) {
      verdict_.untested.push_back(std::move(part));
    }
  }

  // A condition in the unit of the claim; the ends of the region as they were written.
  double InUnit(size_t i, double value_si) const {
    if (value_si == ranges_[i].low_si) return ranges_[i].low;
    if (value_si == ranges_[i].high_si) return ranges_[i].high;
    const auto unit = quantity::FindUnit(ranges_[i].unit);
    return unit.ok() ? quantity::FromSi(value_si, *unit) : value_si;
  }

  // Whether what margins are divided by is above 0 over the box.
  absl::StatusOr<bool> DenominatorHolds(const Alternative& alternative,
                                        const bound::Box& box) const {
    for (const SideMargin& side : alternative.sides) {
      if (!side.margin.has_denominator) continue;
      ASSIGN_OR_RETURN(const auto range,
                       bound::EncloseRange(side.margin.denominator, box));
      if (!(range.range.lo > 0)) return false;
    }
    return true;
  }

  absl::Status Prove(const Problem& problem,
                     const std::vector<const Alternative*>& alternatives,
                     const bound::Box& box) {
    for (const Alternative* alternative : alternatives) {
      ASSIGN_OR_RETURN(const bool positive, DenominatorHolds(*alternative, box));
      if (!positive) {
        fault_ = claim_.turndown || !IsEfficiency(claim_.quantity)
                     ? "what the quantity is divided by is not positive over the whole "
                       "region"
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

  absl::Status ProvePiece(const Problem& problem,
                          const std::vector<const Alternative*>& alternatives,
                          const bound::Region& region) {
    const bool windows = alternatives.front()->sides.size() > 1;
    if (windows && alternatives.size() > 1) {
      ASSIGN_OR_RETURN(const WindowProof proof, ProveSomeWindow(alternatives, region));
      verdict_.box_count += proof.boxes;
      NoteProof(proof.holds, proof.budget_ended);
      certifier_.CannotHold(
          "some stage of several keeps the window, which is shown part by part of the "
          "region: certificates have no form for it");
      if (proof.alternative < 0) return absl::OkStatus();
      const Alternative* const at = alternatives[static_cast<size_t>(proof.alternative)];
      Note({.alternative = at,
            .side = &at->sides[static_cast<size_t>(proof.side)],
            .z = proof.worst_point,
            .margin_si = proof.value_at_worst});
      if (!proof.holds) TryRefute(problem, region, {proof.worst_point});
      return absl::OkStatus();
    }
    for (size_t side = 0; side < alternatives.front()->sides.size(); ++side) {
      std::vector<bound::BandedFunction> functions;
      for (const Alternative* alternative : alternatives) {
        functions.push_back(alternative->sides[side].pessimistic);
      }
      ASSIGN_OR_RETURN(const RegionProof proof, bound::ProveOver(functions, region, {}));
      verdict_.box_count += proof.boxes;
      if (proof.outcome == RegionProof::kEmpty) continue;
      const bool holds = proof.outcome == RegionProof::kHolds;
      NoteProof(holds, proof.outcome == RegionProof::kUndecided);
      certifier_.Holds(alternatives, side, region);
      if (proof.worst_point.empty()) continue;
      const size_t best = static_cast<size_t>(std::max(proof.best_alternative, 0));
      Note({.alternative = alternatives[best],
            .side = &alternatives[best]->sides[side],
            .z = proof.worst_point,
            .margin_si = proof.value_at_worst.lo});
      if (!holds) TryRefute(problem, region, {proof.worst_point});
    }
    return absl::OkStatus();
  }

  void NoteProof(bool holds, bool budget_ended) {
    all_hold_ = all_hold_ && holds;
    uncertain_ = uncertain_ || (!holds && !budget_ended);
  }

  // Keeps the point with the least margin in the claim's own unit.
  void Note(Point point) {
    const double margin = point.margin_si / PerUnit(*point.side, point.z);
    if (worst_ && margin >= worst_margin_) return;
    worst_margin_ = margin;
    worst_ = std::move(point);
  }

  static double PerUnit(const SideMargin& side, const std::vector<double>& z) {
    return side.margin.has_denominator ? side.margin.denominator.Evaluate(z) : 1;
  }

  // Looks for a tested point of the region where every stage that may serve misses the
  // limit on some side.
  void TryRefute(const Problem& problem, const bound::Region& region,
                 std::vector<std::vector<double>> starts) {
    if (refuted_ || problem.lacks_a_stage) return;
    const auto in_region = [&](const std::vector<double>& z) {
      std::vector<bound::Interval> x(z.begin(), z.end());
      return std::all_of(
          region.cuts.begin(), region.cuts.end(),
          [&](const bound::Polynomial& cut) { return cut.Evaluate(x).lo >= 0; });
    };
    for (const auto& alternative : problem.alternatives) {
      for (const SideMargin& side : alternative->sides) {
        if (!side.shortfall || alternative->tested.size() != 1 ||
            !(FrameOf(*alternative->tested[0].surface) == set_.frame)) {
          continue;
        }
        const auto point = map::FindRefutingPoint(*side.shortfall, region.box,
                                                  alternative->tested[0].tested, starts);
        if (point) starts.push_back(*point);
      }
    }
    // The last found are the ones that a search has driven furthest.
    std::reverse(starts.begin(), starts.end());
    for (const std::vector<double>& z : starts) {
      if (!in_region(z)) continue;
      std::optional<Point> least_missed;
      double least = std::numeric_limits<double>::infinity();
      bool all_miss = true;
      for (const auto& alternative : problem.alternatives) {
        std::optional<Point> missed;
        double most = 0;
        if (IsTested(*alternative, z)) {
          for (const SideMargin& side : alternative->sides) {
            if (!side.shortfall) continue;
            const double by = bound::Evaluate(*side.shortfall, z).lo;
            if (!(by > 0)) continue;
            const double in_unit = by / PerUnit(side, z);
            if (in_unit <= most) continue;
            most = in_unit;
            missed = Point{alternative.get(), &side, z, -by};
          }
        }
        if (!missed) {
          all_miss = false;
          break;
        }
        if (most < least) {
          least = most;
          least_missed = missed;
        }
      }
      if (all_miss && least_missed) {
        refuted_ = least_missed;
        certifier_.Fails(problem, region, z);
        return;
      }
    }
  }

  bool IsTested(const Alternative& alternative, const std::vector<double>& z) const {
    for (const TestedStage& stage : alternative.tested) {
      std::vector<double> own = z;
      if (!(FrameOf(*stage.surface) == set_.frame)) {
        const std::vector<double> x = PointOf(set_.frame, z);
        for (size_t i = 0; i < x.size(); ++i) {
          own[i] = (x[i] - stage.surface->centre_si[i]) / stage.surface->half_range_si[i];
        }
      }
      if (!stage.tested.Contains(own)) return false;
    }
    return true;
  }

  void RecordWorst(const Point& point) {
    const SideMargin& side = *point.side;
    const bool granted = refuted_.has_value();
    const OneSide& one = granted ? side.margin.granted : side.margin.taken;
    const Factors& factors = granted ? *side.refuting : side.proving;
    verdict_.coverage_factor = *std::max_element(factors.begin(), factors.end());
    verdict_.worst_point.clear();
    if (stages_.size() > 1) verdict_.worst_stage = point.alternative->stage;
    const std::vector<double>& z = point.z;
    const std::vector<double> x = PointOf(set_.frame, z);
    for (size_t i = 0; i < x.size(); ++i) {
      // z is widened by rounding, so an end of the region may come back a step outside
      // it.
      const double low_si = region_.box.low_si[i], high_si = region_.box.high_si[i];
      double value_si = std::clamp(x[i], low_si, high_si);
      const double slack = 1e-12 * set_.frame.half_range_si[i];
      if (std::fabs(value_si - low_si) <= slack) value_si = low_si;
      if (std::fabs(value_si - high_si) <= slack) value_si = high_si;
      verdict_.worst_point.push_back(
          {ranges_[i].quantity, InUnit(i, value_si), ranges_[i].unit, value_si});
    }
    const double per = PerUnit(side, z);
    const double estimate_si = side.margin.numerator.Evaluate(z) / per;
    // Against another quantity or a line the limit is another at each point.
    const bool moving = claim_.against || claim_.limit_line;
    const double limit =
        moving ? quantity::FromSi(side.margin.limit.Evaluate(z), unit_) : side.side.limit;
    verdict_.estimate = quantity::FromSi(estimate_si, unit_);
    verdict_.standard_error =
        quantity::DifferenceFromSi(StandardErrorAt(one, z) / per, unit_);
    verdict_.systematic =
        quantity::DifferenceFromSi(SystematicAt(one, z, factors) / per, unit_);
    verdict_.margin = quantity::DifferenceFromSi(point.margin_si / per, unit_);
    verdict_.bound = limit + side.side.sign * verdict_.margin;
    worst_limit_ = limit;
    worst_what_ = side.side.what;
    worst_sign_ = side.side.sign;
  }

  // Which of several promises the worst point is of.
  std::string Where() const {
    return worst_what_.empty() ? "" : absl::StrCat(" (", worst_what_, ")");
  }

  Verdict Finish(Outcome outcome) {
    verdict_.outcome = outcome;
    const char* const side = worst_sign_ > 0 ? "at least " : "at most ";
    if (outcome == Outcome::kProven) {
      verdict_.explanation = absl::StrCat(
          "shown at every point of the region with ", Percent(1 - verdict_.level),
          " one-sided confidence, for surfaces of this "
          "form within the allowance; closest by ",
          absl::StrFormat("%.3g", verdict_.margin), " ", verdict_.unit, Where());
    } else {
      verdict_.explanation = absl::StrCat(
          "fails", Where(), ": ", side, Short(worst_limit_), " ", verdict_.unit,
          " is promised, and at this point the "
          "simultaneous confidence band with every allowance granted still misses it by ",
          Short(-verdict_.margin), " ", verdict_.unit);
    }
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
    ASSIGN_OR_RETURN(const Division division, DivideRegion(set_, region_));
    verdict.shares = division.shares;
    for (const SharedPart& part : division.parts) {
      document::RegionPart plain{.state = part.state, .region_fraction = part.fraction};
      if (stages_.size() > 1) plain.stage = part.stage;
      for (size_t i = 0; i < ranges_.size(); ++i) {
        plain.region.push_back({ranges_[i].quantity, InUnit(i, part.box.low_si[i]),
                                InUnit(i, part.box.high_si[i]), ranges_[i].unit,
                                part.box.low_si[i], part.box.high_si[i]});
      }
      verdict.parts.push_back(std::move(plain));
    }
    return absl::OkStatus();
  }

  const document::Claim& claim_;
  const ClaimInputs& inputs_;
  const quantity::Unit unit_;
  const MakeProblemSet make_;
  std::vector<StageInputs> stages_;
  std::vector<document::MeasureRange> ranges_;  // in the order of the map's conditions
  document::RegionPieces region_;
  std::vector<PromisePart> parts_;
  ProblemSet set_;
  Verdict verdict_;
  // What the problems came to.
  std::optional<std::string> fault_;
  bool all_hold_ = true;
  bool uncertain_ = false;
  bool untested_ = false;
  bool nothing_tested_ = true;
  // The most of the problems that share a box.
  std::vector<std::pair<ConditionBox, double>> untested_by_box_;
  std::optional<Point> worst_;
  double worst_margin_ = 0;
  std::optional<Point> refuted_;
  Certifier certifier_;
  double worst_limit_ = 0;
  std::string worst_what_;
  double worst_sign_ = 1;
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
