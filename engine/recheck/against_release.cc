#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/recheck/cover.h"
#include "engine/recheck/duties.h"
#include "engine/recheck/margin.h"
#include "engine/recheck/rating.h"
#include "engine/recheck/recheck.h"
#include "engine/recheck/verdict.h"

namespace ratebound::recheck {
namespace {

using document::Certificate;
using document::CertificatePart;
using document::CertifiedFunction;
using document::Claim;
using document::Outcome;
using document::Release;
using document::Verdict;

// A formula that a function states, with the standard errors it takes of each band.
struct Match {
  size_t formula = 0;
  std::vector<double> factors;
};

class ReleaseCheck {
 public:
  ReleaseCheck(const Certificate& certificate, const Release& release)
      : certificate_(certificate),
        release_(release),
        scale_{certificate.parts.front().centre_si,
               certificate.parts.front().half_range_si},
        conditions_(certificate.parts.front().conditions),
        margins_(release, scale_) {}

  absl::StatusOr<RecheckReport> Run() {
    ASSIGN_OR_RETURN(verdict_, VerdictOf(certificate_, release_));
    claim_ = &verdict_->text;
    auto promise = PromiseOf(*verdict_, release_, scale_, conditions_);
    if (!promise.ok()) return Fault(std::string(promise.status().message()));
    promise_ = *std::move(promise);
    const bool readable = promise_.why_not.empty();
    if (readable && !IsScaled()) {
      return Fault("its conditions are scaled otherwise than those of the release");
    }
    if (readable && !promise_.formulas.empty() &&
        !SameNumber(certificate_.allowance_si, promise_.allowance_si)) {
      return Fault("the allowance is not the claim's");
    }
    for (size_t p = 0; p < certificate_.parts.size(); ++p) {
      const CertificatePart& part = certificate_.parts[p];
      const std::string name = absl::StrCat("part ", p);
      if (part.conditions != conditions_ || part.centre_si != scale_.centre_si ||
          part.half_range_si != scale_.half_range_si) {
        return Fault(name +
                     ": other conditions or scales than those of the parts before");
      }
      RETURN_IF_ERROR(CheckBox(part, name));
      matches_.emplace_back();
      for (const CertifiedFunction& function : part.functions) {
        RETURN_IF_ERROR(CheckFunction(part, function, name));
      }
    }
    if (!readable) {
      Report("the parts together", promise_.why_not);
    } else {
      RETURN_IF_ERROR(proven() ? CheckDuties() : CheckMissed());
      if (proven()) RETURN_IF_ERROR(CheckTested());
    }
    return std::move(report_);
  }

 private:
  absl::Status Fault(const std::string& what) const {
    return absl::InvalidArgumentError(
        absl::StrCat("certificate of claim ", certificate_.claim, ": ", what));
  }

  void Report(std::string what, std::string why) {
    report_.ties.push_back(
        {.function = std::move(what), .derived = why.empty(), .why = std::move(why)});
  }

  // Whether the scale is that of a surface for proofs, or the tested ranges come to about
  // 1 in it. In one far from them polynomials round by more than margins come to, and
  // what is formed once more would be alike to anything.
  bool IsScaled() const {
    const auto fits = [&](const document::StageMap& map) {
      const bool of_surface =
          std::any_of(map.surfaces.begin(), map.surfaces.end(), [&](const auto& surface) {
            return surface.purpose == document::SurfacePurpose::kProof && !surface.form &&
                   surface.centre_si == scale_.centre_si &&
                   surface.half_range_si == scale_.half_range_si;
          });
      if (of_surface) return true;
      bool near = map.conditions == conditions_ &&
                  map.tested_low_si.size() == scale_.size() &&
                  map.tested_high_si.size() == scale_.size();
      for (size_t i = 0; i < scale_.size() && near; ++i) {
        const double low =
            (map.tested_low_si[i] - scale_.centre_si[i]) / scale_.half_range_si[i];
        const double high =
            (map.tested_high_si[i] - scale_.centre_si[i]) / scale_.half_range_si[i];
        near = low >= -2 && high <= 2 && high - low >= 1;
      }
      return near;
    };
    return std::any_of(release_.maps.begin(), release_.maps.end(),
                       [&](const document::StageMap& map) {
                         return map.unit == claim_->unit && map.mode == claim_->mode &&
                                fits(map);
                       }) ||
           std::any_of(promise_.own_maps.begin(), promise_.own_maps.end(),
                       [&](const auto& map) { return fits(*map); });
  }

  bool proven() const { return certificate_.outcome == Outcome::kProven; }

  // A range of the claim in scaled conditions.
  Span ScaledRange(size_t i, double low_si, double high_si) const {
    const Span centre = scale_.centre_si[i];
    const Span half = scale_.half_range_si[i];
    return {((Span(low_si) - centre) / half).lo, ((Span(high_si) - centre) / half).hi};
  }

  // The box lies in the claim's region; that all of it is held, CheckDuties says.
  absl::Status CheckBox(const CertificatePart& part, const std::string& name) const {
    for (size_t i = 0; i < conditions_.size(); ++i) {
      const auto range =
          std::find_if(claim_->region.begin(), claim_->region.end(),
                       [&](const auto& r) { return r.quantity == conditions_[i]; });
      if (range == claim_->region.end()) {
        return Fault(
            absl::StrCat(name, ": ", conditions_[i], " is no condition of the claim"));
      }
      const Span scaled = ScaledRange(i, range->low_si, range->high_si);
      // Ends were rounded outward.
      const double slack = 1e-12 * (1 + std::fabs(scaled.lo) + std::fabs(scaled.hi));
      if (part.box_low[i] < scaled.lo - slack || part.box_high[i] > scaled.hi + slack) {
        return Fault(absl::StrCat(name, ": the range of ", conditions_[i],
                                  " is not that of the claim"));
      }
    }
    return absl::OkStatus();
  }

  const absl::StatusOr<ExpectedMargin>& MarginOf(size_t formula) {
    const auto known = expected_.find(formula);
    if (known != expected_.end()) return known->second;
    return expected_.emplace(formula, margins_.Make(promise_.formulas[formula], proven()))
        .first->second;
  }

  // Which sides of the promise a function is the margin of. One that cannot be formed
  // once more is left without any, with the reason in the report.
  absl::Status CheckFunction(const CertificatePart& part,
                             const CertifiedFunction& function, const std::string& name) {
    std::vector<Match>& matches = matches_.back().emplace_back();
    const std::string title =
        absl::StrCat(name, ", stage ", function.stage, ", ", function.quantity);
    if (!promise_.why_not.empty()) {
      Report(title, promise_.why_not);
      return absl::OkStatus();
    }
    std::set<size_t> tried;
    bool asked = false;
    std::string why, fault;
    for (const Duty& duty : promise_.duties) {
      for (const Way& way : duty.ways) {
        if (way.stage != function.stage) continue;
        asked = true;
        for (const size_t formula : way.sides) {
          if (!tried.insert(formula).second) continue;
          const absl::StatusOr<ExpectedMargin>& margin = MarginOf(formula);
          if (absl::IsFailedPrecondition(margin.status())) {
            why = std::string(margin.status().message());
            continue;
          }
          const auto factors = margin.ok()
                                   ? FactorsOf(function, *margin)
                                   : absl::StatusOr<std::vector<double>>(margin.status());
          if (factors.ok()) {
            matches.push_back({formula, *factors});
          } else if (fault.empty() ||
                     Same(function.value, margin.value_or(ExpectedMargin()).value)) {
            fault = std::string(factors.status().message());
          }
        }
      }
    }
    if (!asked) return Fault(title + ": another stage than the claim's");
    if (tried.empty()) return Fault(title + ": the release has no such stage");
    if (matches.empty() && why.empty()) return Fault(absl::StrCat(title, ": ", fault));
    if (matches.empty()) {
      Report(title, why);
      return absl::OkStatus();
    }
    if (IsItself(promise_.formulas[matches.front().formula]) &&
        function.quantity != claim_->quantity) {
      return Fault(title + ": another quantity than the claim's");
    }
    const std::vector<double>& factors = matches.front().factors;
    const double greatest = *std::max_element(factors.begin(), factors.end());
    if (!SameNumber(function.coverage_factor, greatest)) {
      return Fault(title + ": another factor than its bands have");
    }
    if (!part.holds) {
      ASSIGN_OR_RETURN(why, RefutingFactorFault(part, function, matches.front(), title));
    } else {
      why.clear();
    }
    if (why.empty()) why = DenominatorFault(part, matches);
    Report(title, why);
    return absl::OkStatus();
  }

  // Whether it is of the claim's own quantity, as fitted.
  bool IsItself(const Formula& formula) const {
    return claim_->IsPlain() && formula.numerator.size() == 1 &&
           formula.numerator[0].quantity == claim_->quantity &&
           formula.limit_terms.empty();
  }

  // That a margin is one of the quantity takes what it is divided by to be above 0.
  std::string DenominatorFault(const CertificatePart& part,
                               const std::vector<Match>& matches) {
    for (const Match& match : matches) {
      const SpanPolynomial& over = MarginOf(match.formula)->denominator;
      const bool positive =
          over.empty() ||
          (part.holds ? IsPositive(over, part.box_low, part.box_high)
                      : IsPositive(over, part.worst_point, part.worst_point));
      if (!positive) return "what it is divided by is not shown to be above 0";
    }
    return "";
  }

  // What the verdict states of its worst stage; that a band of a search is no narrower
  // than one of a single place is all that is known of others.
  absl::StatusOr<std::string> RefutingFactorFault(const CertificatePart& part,
                                                  const CertifiedFunction& function,
                                                  const Match& match,
                                                  const std::string& title) {
    const std::vector<ExpectedMargin::Band>& bands = MarginOf(match.formula)->bands;
    for (size_t k = 0; k < bands.size(); ++k) {
      if (IsLess(match.factors[k],
                 QuantileOf(certificate_.level, bands.size(), bands[k].band_degrees))) {
        return Fault(title + ": a smaller factor than that of a single place");
      }
    }
    if (!IsLess(function.coverage_factor, verdict_->coverage_factor)) {
      return bands.size() == 1
                 ? ""
                 : "the factors of a refutation's several bands do not stand in releases";
    }
    if (part.functions.size() > 1 && function.stage != verdict_->worst_stage) {
      return "its factor is smaller than that of the worst stage, and releases carry no "
             "other";
    }
    return Fault(title + ": a smaller factor than the verdict's");
  }

  // Why the factors of a function are too small for a duty; empty where they are not.
  std::string ProvingFactorFault(const Match& match, const Duty& duty) {
    const std::vector<ExpectedMargin::Band>& bands = MarginOf(match.formula)->bands;
    const double level = certificate_.level / static_cast<double>(duty.ways.size());
    std::vector<double> needed;
    for (const ExpectedMargin::Band& band : bands) {
      needed.push_back(QuantileOf(level, bands.size(), band.degrees_of_freedom));
    }
    for (size_t k = 0; k < bands.size(); ++k) {
      if (IsLess(match.factors[k], needed[k])) {
        return absl::StrCat("the factor ", match.factors[k],
                            " is smaller than the level asks for, ", needed[k]);
      }
    }
    // The verdict states the degrees of freedom of what it looked at first.
    if (match.formula != 0 || !(verdict_->degrees_of_freedom > 0)) return "";
    const double first = QuantileOf(level, bands.size(), verdict_->degrees_of_freedom);
    const double greatest = *std::max_element(match.factors.begin(), match.factors.end());
    if (!IsLess(greatest, first)) return "";
    return absl::StrCat("the factor ", greatest,
                        " is smaller than the verdict's degrees of freedom ask for, ",
                        first);
  }

  // What a part shows of a duty: nothing, where one of its functions is of none of its
  // ways, or of another side. A function that was not formed is taken for what it is said
  // to be.
  std::vector<Shown> ShownBy(size_t p, const Duty& duty, std::string& fault) {
    const CertificatePart& part = certificate_.parts[p];
    const size_t sides = SidesOf(duty);
    std::vector<Shown> shown;
    for (size_t side = 0; side < sides; ++side) {
      int only = -1;
      bool all = true;
      for (size_t f = 0; f < part.functions.size() && all; ++f) {
        const int way = WayOf(p, f, duty, side, fault);
        all = way >= 0;
        only = f == 0 || only == way ? way : -1;
      }
      if (all) {
        shown.push_back(
            {.low = &part.box_low, .high = &part.box_high, .side = side, .way = only});
      }
    }
    return shown;
  }

  static size_t SidesOf(const Duty& duty) {
    size_t sides = 0;
    for (const Way& way : duty.ways) sides = std::max(sides, way.sides.size());
    return sides;
  }

  // -1 where it is of none.
  int WayOf(size_t p, size_t f, const Duty& duty, size_t side, std::string& fault) {
    const std::vector<Match>& matches = matches_[p][f];
    for (size_t w = 0; w < duty.ways.size(); ++w) {
      const Way& way = duty.ways[w];
      if (way.stage != certificate_.parts[p].functions[f].stage) continue;
      if (matches.empty()) return static_cast<int>(w);
      for (const Match& match : matches) {
        if (side >= way.sides.size() || way.sides[side] != match.formula) continue;
        std::string why = proven() ? ProvingFactorFault(match, duty) : "";
        if (why.empty()) return static_cast<int>(w);
        fault = std::move(why);
      }
    }
    return -1;
  }

  // Whether each of the cuts is a half-space of the piece.
  bool AreOf(const std::vector<document::CertifiedPolynomial>& cuts,
             const std::vector<document::HalfSpace>& piece) const {
    return std::all_of(cuts.begin(), cuts.end(), [&](const auto& cut) {
      return std::any_of(piece.begin(), piece.end(), [&](const auto& half_space) {
        return Same(cut, CutIn(scale_, half_space));
      });
    });
  }

  // Whether each half-space of the piece is one of the cuts.
  bool HoldAll(const std::vector<document::CertifiedPolynomial>& cuts,
               const std::vector<document::HalfSpace>& piece) const {
    return std::all_of(piece.begin(), piece.end(), [&](const auto& half_space) {
      return std::any_of(cuts.begin(), cuts.end(), [&](const auto& cut) {
        return Same(cut, CutIn(scale_, half_space));
      });
    });
  }

  // Every duty is shown all over its box, in every piece of the region.
  absl::Status CheckDuties() {
    std::vector<std::vector<bool>> of_piece;  // of each part
    for (const CertificatePart& part : certificate_.parts) {
      std::vector<bool>& of = of_piece.emplace_back();
      for (const auto& piece : promise_.pieces) of.push_back(AreOf(part.cuts, piece));
      if (std::find(of.begin(), of.end(), true) == of.end()) {
        return Fault("a part has cuts that are not the claim's");
      }
    }
    for (const Duty& duty : promise_.duties) {
      const std::string who = "no part shows " + duty.text;
      std::string fault;
      std::vector<std::vector<Shown>> shown;
      bool any = false;
      for (size_t p = 0; p < certificate_.parts.size(); ++p) {
        shown.push_back(ShownBy(p, duty, fault));
        any = any || !shown.back().empty();
      }
      const std::string because = fault.empty() ? "" : ": " + fault;
      if (!any && promise_.pieces.size() == 1 && promise_.pieces.front().empty()) {
        return Fault(who + because);
      }
      const Reach box = ScaledBox(duty.box);
      for (size_t c = 0; c < promise_.pieces.size(); ++c) {
        std::vector<Shown> here;
        for (size_t p = 0; p < shown.size(); ++p) {
          if (of_piece[p][c]) here.insert(here.end(), shown[p].begin(), shown[p].end());
        }
        const std::string left_out = LeftOut(
            box, here, SidesOf(duty),
            [&](const Reach& cell) { return IsEmpty(cell, promise_.pieces[c]); },
            conditions_);
        if (left_out.empty()) continue;
        return Fault(absl::StrCat(who, " over all of the region: the range ", left_out,
                                  " is not held", because));
      }
    }
    return absl::OkStatus();
  }

  // Whether each duty's box lies inside the tested ranges of its ways' own stages, but
  // for what no piece of the region reaches. How near the points are, it does not say.
  absl::Status CheckTested() const {
    for (const Duty& duty : promise_.duties) {
      std::vector<Reach> ranges;
      for (const Way& way : duty.ways) {
        if (!way.sides.empty()) ranges.push_back(TestedRange(way));
      }
      std::vector<Shown> tested;
      for (const Reach& range : ranges) {
        tested.push_back({.low = &range.low, .high = &range.high});
      }
      const Reach box = ScaledBox(duty.box);
      for (const auto& piece : promise_.pieces) {
        const std::string left_out = LeftOut(
            box, tested, 1, [&](const Reach& cell) { return IsEmpty(cell, piece); },
            conditions_);
        if (left_out.empty()) continue;
        return Fault(absl::StrCat(duty.text, ": the range ", left_out,
                                  " was not tested all over the region"));
      }
    }
    return absl::OkStatus();
  }

  // Common to all maps that the way's quantities are of, and a little more.
  Reach TestedRange(const Way& way) const {
    constexpr double kEndRounding = 1e-9;  // of the range
    constexpr double kInfinity = std::numeric_limits<double>::infinity();
    Reach range{.low = std::vector<double>(conditions_.size(), -kInfinity),
                .high = std::vector<double>(conditions_.size(), kInfinity)};
    for (const size_t side : way.sides) {
      for (const FormulaTerm& term : promise_.formulas[side].numerator) {
        const document::StageMap& map = *term.map;
        for (size_t i = 0; i < conditions_.size(); ++i) {
          const double low_si = map.tested_low_si[i], high_si = map.tested_high_si[i];
          const double slack_si = kEndRounding * (high_si - low_si);
          const Span scaled = ScaledRange(i, low_si - slack_si, high_si + slack_si);
          range.low[i] = std::max(range.low[i], scaled.lo);
          range.high[i] = std::min(range.high[i], scaled.hi);
        }
      }
    }
    return range;
  }

  Reach ScaledBox(const document::ConditionBox& box) const {
    Reach scaled;
    for (size_t i = 0; i < conditions_.size(); ++i) {
      const Span range = ScaledRange(i, box.low_si[i], box.high_si[i]);
      scaled.low.push_back(range.lo);
      scaled.high.push_back(range.hi);
    }
    return scaled;
  }

  bool IsEmpty(const Reach& cell, const std::vector<document::HalfSpace>& piece) const {
    document::ConditionBox box;
    for (size_t i = 0; i < conditions_.size(); ++i) {
      box.low_si.push_back(scale_.centre_si[i] + scale_.half_range_si[i] * cell.low[i]);
      box.high_si.push_back(scale_.centre_si[i] + scale_.half_range_si[i] * cell.high[i]);
    }
    return document::IsEmpty(box, piece);
  }

  // Some duty is missed by every way of it, at a point of the region.
  absl::Status CheckMissed() {
    const CertificatePart& part = certificate_.parts.front();
    const bool inside =
        std::any_of(promise_.pieces.begin(), promise_.pieces.end(),
                    [&](const auto& piece) { return HoldAll(part.cuts, piece); });
    if (!inside) return Fault("the point is not held to the cuts of the region");
    for (const Duty& duty : promise_.duties) {
      bool missed = true;
      for (size_t i = 0; i < part.worst_point.size() && missed; ++i) {
        const Span range = ScaledRange(i, duty.box.low_si[i], duty.box.high_si[i]);
        const double z = part.worst_point[i];
        const double slack = 1e-12 * (1 + std::fabs(z));
        missed = range.lo - slack <= z && z <= range.hi + slack;
      }
      for (size_t w = 0; w < duty.ways.size() && missed; ++w) {
        missed = IsMissed(duty, static_cast<int>(w));
      }
      if (missed) return absl::OkStatus();
    }
    return Fault("what it refutes is not what the claim promises at that point");
  }

  bool IsMissed(const Duty& duty, int way) {
    const Duty alone{.box = duty.box, .ways = {duty.ways[static_cast<size_t>(way)]}};
    std::string fault;
    for (size_t f = 0; f < certificate_.parts.front().functions.size(); ++f) {
      for (size_t side = 0; side < SidesOf(duty); ++side) {
        if (WayOf(0, f, alone, side, fault) >= 0) return true;
      }
    }
    return false;
  }

  const Certificate& certificate_;
  const Release& release_;
  const ConditionScale scale_;
  const std::vector<std::string>& conditions_;
  const Verdict* verdict_ = nullptr;
  const Claim* claim_ = nullptr;
  Promise promise_;
  MarginMaker margins_;
  std::map<size_t, absl::StatusOr<ExpectedMargin>> expected_;
  std::vector<std::vector<std::vector<Match>>> matches_;  // of each part's functions
  RecheckReport report_;
};

}  // namespace

bool RecheckReport::all_derived() const {
  return std::all_of(ties.begin(), ties.end(),
                     [](const Tie& tie) { return tie.derived; });
}

absl::StatusOr<RecheckReport> RecheckAgainst(const Certificate& certificate,
                                             const Release& release, const Stop& stop) {
  RETURN_IF_ERROR(Recheck(certificate, stop));
  if (certificate.rating) return RecheckRatingAgainst(certificate, release);
  return ReleaseCheck(certificate, release).Run();
}

}  // namespace ratebound::recheck
