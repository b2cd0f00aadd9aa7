#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/claim/recheck.h"
#include "engine/claim/recheck_duties.h"
#include "engine/claim/recheck_span.h"
#include "engine/number/distribution.h"

namespace ratebound::claim {
namespace {

using document::Certificate;
using document::CertificatePart;
using document::CertifiedFunction;
using document::CertifiedPolynomial;
using document::Claim;
using document::Outcome;
using document::Release;
using document::StageMap;
using document::Surface;
using document::Verdict;

// Coefficients by exponents, each with all that rounding could have made of it.
using Derived = std::map<std::vector<int>, Span>;

void AddTo(Derived& p, const std::vector<int>& row, const Span& value) {
  const auto [at, fresh] = p.emplace(row, value);
  if (!fresh) at->second = at->second + value;
}

std::vector<int> Row(const Surface& surface, size_t term) {
  const size_t n = surface.centre_si.size();
  const auto from = surface.exponents.begin() + static_cast<int64_t>(term * n);
  return {from, from + static_cast<int64_t>(n)};
}

Derived Product(const Derived& a, const Derived& b) {
  Derived product;
  for (const auto& [a_row, a_value] : a) {
    for (const auto& [b_row, b_value] : b) {
      std::vector<int> row = a_row;
      for (size_t i = 0; i < row.size(); ++i) row[i] += b_row[i];
      AddTo(product, row, a_value * b_value);
    }
  }
  return product;
}

// Each term of the surface in the scaled conditions of the part: of its own, itself.
std::vector<Derived> BasisOf(const Surface& surface, const CertificatePart& part) {
  const size_t n = surface.centre_si.size();
  std::vector<Derived> own(n);  // each scaled condition
  for (size_t i = 0; i < n; ++i) {
    std::vector<int> row(n, 0);
    const Span half = surface.half_range_si[i];
    if (surface.centre_si[i] != part.centre_si[i]) {
      AddTo(own[i], row, (Span(part.centre_si[i]) - Span(surface.centre_si[i])) / half);
    }
    row[i] = 1;
    const bool same = surface.half_range_si[i] == part.half_range_si[i];
    AddTo(own[i], row, same ? Span(1) : Span(part.half_range_si[i]) / half);
  }
  std::vector<Derived> basis;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    const std::vector<int> row = Row(surface, t);
    Derived term = {{std::vector<int>(n, 0), Span(1)}};
    for (size_t i = 0; i < n; ++i) {
      for (int k = 0; k < row[i]; ++k) term = Product(term, own[i]);
    }
    basis.push_back(std::move(term));
  }
  return basis;
}

void AddTimes(Derived& sum, const Derived& p, const Span& factor) {
  for (const auto& [row, value] : p) AddTo(sum, row, factor * value);
}

Derived ValueOf(const Surface& surface, const std::vector<Derived>& basis) {
  Derived value;
  for (size_t t = 0; t < basis.size(); ++t) {
    AddTimes(value, basis[t], surface.coefficients_si[t]);
  }
  return value;
}

Derived VarianceOf(const Surface& surface, const std::vector<Derived>& basis) {
  Derived variance;
  size_t next = 0;
  for (size_t i = 0; i < basis.size(); ++i) {
    for (size_t j = 0; j <= i; ++j, ++next) {
      const Span entry = surface.covariance_si[next];
      AddTimes(variance, Product(basis[i], basis[j]), i == j ? entry : entry + entry);
    }
  }
  return variance;
}

Derived SlopeOf(const Derived& value, size_t variable) {
  Derived slope;
  for (const auto& [row, coefficient] : value) {
    if (row[variable] == 0) continue;
    std::vector<int> less = row;
    --less[variable];
    AddTo(slope, less, Span(row[variable]) * coefficient);
  }
  return slope;
}

// Whether each coefficient may be that of the certificate: no further apart than rounding
// explains, two parts in 10^13 of the largest for sums of many.
bool Same(const CertifiedPolynomial& certified, const Derived& derived) {
  const size_t n = derived.empty() ? 0 : derived.begin()->first.size();
  Derived left = derived;
  double largest = 0;
  for (const auto& [row, value] : derived) largest = std::max(largest, value.greatest());
  for (size_t k = 0; k < certified.coefficients.size(); ++k) {
    if (certified.exponents.size() != certified.coefficients.size() * n) return false;
    const auto from = certified.exponents.begin() + static_cast<int64_t>(k * n);
    const std::vector<int> row(from, from + static_cast<int64_t>(n));
    const double error = certified.errors.empty() ? 0 : certified.errors[k];
    // An error bound that is wide would let anything pass for the claim's function.
    if (!(error <= 1e-12 * largest)) return false;
    const auto at = left.find(row);
    const Span expected = at == left.end() ? Span(0) : at->second;
    if (certified.coefficients[k] + error < expected.lo ||
        certified.coefficients[k] - error > expected.hi) {
      return false;
    }
    if (at != left.end()) left.erase(at);
  }
  // What the certificate leaves out is nothing.
  return std::all_of(left.begin(), left.end(), [](const auto& item) {
    return item.second.lo <= 0 && item.second.hi >= 0;
  });
}

bool SameNumber(double a, double b) {
  return std::fabs(a - b) <= 1e-13 * std::max(std::fabs(a), std::fabs(b));
}

const StageMap* FindMap(const Release& release, const Claim& claim,
                        const std::string& stage) {
  for (const StageMap& map : release.maps) {
    if (map.unit == claim.unit && map.mode == claim.mode && map.stage == stage) {
      return &map;
    }
  }
  return nullptr;
}

// Systematic uncertainty that the manifest states outright: part of the value, and SI.
std::pair<double, double> Stated(const Release& release, const std::string& quantity) {
  for (const auto& entry : release.manifest.systematic_uncertainties) {
    if (entry.quantity == quantity) return {entry.relative_fraction, entry.absolute_si};
  }
  return {0, 0};
}

struct Expected {
  Derived value;
  std::vector<std::pair<double, Derived>> terms;  // weights and squares
};

// The margin of "quantity at least (sign 1) or at most (sign -1) a limit", with
// everything taken off it, or of a refutation what is missing with everything granted.
Expected Derive(const Release& release, const StageMap& map, const Surface& surface,
                const CertificatePart& part, const DutySide& side, double allowance_si,
                double factor) {
  const std::vector<int> one(surface.centre_si.size(), 0);
  const std::vector<Derived> basis = BasisOf(surface, part);
  const Derived value = ValueOf(surface, basis);
  Expected expected;
  const double turn = part.holds ? side.sign : -side.sign;
  AddTimes(expected.value, value, turn);
  AddTo(expected.value, one, Span(-turn * side.limit_si));
  AddTo(expected.value, one, Span(-allowance_si));
  double fraction = 0;
  double absolute_si = 0;
  for (const Surface& other : map.surfaces) {
    if (other.quantity != surface.quantity || fraction > 0 || absolute_si > 0) continue;
    fraction = other.systematic_fraction;
    absolute_si = other.systematic_absolute_si;
  }
  if (!(fraction > 0 || absolute_si > 0)) {
    std::tie(fraction, absolute_si) = Stated(release, surface.quantity);
  }
  AddTo(expected.value, one, Span(-absolute_si));
  if (fraction > 0) expected.terms.emplace_back(fraction, Product(value, value));
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    double of_condition = 0;
    if (i < map.condition_systematic_si.size()) {
      of_condition = map.condition_systematic_si[i];
    }
    if (!(of_condition > 0)) {
      const auto [of_value, si] = Stated(release, map.conditions[i]);
      of_condition = si + of_value * std::max(std::fabs(map.tested_low_si[i]),
                                              std::fabs(map.tested_high_si[i]));
    }
    if (!(of_condition > 0)) continue;
    const Derived slope = SlopeOf(value, i);
    if (slope.empty()) continue;
    expected.terms.emplace_back(of_condition / part.half_range_si[i],
                                Product(slope, slope));
  }
  const Derived variance = VarianceOf(surface, basis);
  expected.terms.emplace_back(factor, variance);
  if (fraction > 0) expected.terms.emplace_back(factor * fraction, variance);
  return expected;
}

// Every expected term stands in the certificate; more would only be stricter.
bool HasTerms(const CertifiedFunction& function, const Expected& expected) {
  std::vector<bool> used(function.terms.size(), false);
  for (const auto& [weight, square] : expected.terms) {
    bool found = false;
    for (size_t k = 0; k < function.terms.size() && !found; ++k) {
      found = !used[k] && SameNumber(function.terms[k].weight, weight) &&
              Same(function.terms[k].square, square);
      if (found) used[k] = true;
    }
    const bool nothing = std::all_of(square.begin(), square.end(),
                                     [](const auto& item) { return item.second.zero(); });
    if (!found && !nothing) return false;
  }
  return true;
}

class ReleaseCheck {
 public:
  ReleaseCheck(const Certificate& certificate, const Release& release)
      : certificate_(certificate), release_(release) {}

  absl::StatusOr<RecheckReport> Run() {
    RETURN_IF_ERROR(CheckVerdict());
    const std::vector<std::string>& conditions = certificate_.parts.front().conditions;
    auto duties = DutiesOf(*claim_, release_.manifest, conditions);
    if (!duties.ok()) return Fault(std::string(duties.status().message()));
    duties_ = *std::move(duties);
    RETURN_IF_ERROR(CheckAllowance());
    for (size_t p = 0; p < certificate_.parts.size(); ++p) {
      const std::string name = absl::StrCat("part ", p);
      if (certificate_.parts[p].conditions != conditions) {
        return Fault(name + ": other conditions than those of the parts before");
      }
      RETURN_IF_ERROR(CheckPart(certificate_.parts[p], name));
    }
    RETURN_IF_ERROR(proven() ? CheckDuties() : CheckMissed());
    return std::move(report_);
  }

 private:
  absl::Status Fault(const std::string& what) const {
    return absl::InvalidArgumentError(
        absl::StrCat("certificate of claim ", certificate_.claim, ": ", what));
  }

  absl::Status CheckVerdict() {
    for (const Verdict& verdict : release_.verdicts) {
      if (verdict.claim == certificate_.claim) verdict_ = &verdict;
    }
    if (verdict_ == nullptr) return Fault("the release has no verdict on this claim");
    claim_ = &verdict_->text;
    if (verdict_->outcome != certificate_.outcome) {
      return Fault("the release has another verdict");
    }
    if (verdict_->data_digest != certificate_.release_digest) {
      return Fault("it rests on other data than the release");
    }
    if (verdict_->level != certificate_.level || verdict_->look != certificate_.look ||
        verdict_->model != certificate_.model) {
      return Fault("level, look or model are not those of the verdict");
    }
    // The k-th look spends 1 / (k (k + 1)) of what the claim allows.
    const double allowed = (1 - claim_->confidence) /
                           (static_cast<double>(verdict_->look) * (verdict_->look + 1));
    if (!SameNumber(certificate_.level, allowed)) {
      return Fault("the level is not that of the claim's confidence at this look");
    }
    return absl::OkStatus();
  }

  bool proven() const { return certificate_.outcome == Outcome::kProven; }

  // That at the greatest limit; of a line, which has one at every point, as stated.
  absl::Status CheckAllowance() const {
    if (!claim_->IsPlain() || claim_->limit_line) return absl::OkStatus();
    double greatest_si = 0;
    for (const Duty& duty : duties_) {
      for (const DutySide& side : duty.sides) {
        greatest_si = std::max(greatest_si, AllowanceAt(*claim_, side.limit_si));
      }
    }
    if (SameNumber(certificate_.allowance_si, greatest_si)) return absl::OkStatus();
    return Fault("the allowance is not the claim's");
  }

  // The box lies in the claim's region; that all of it is held, CheckDuties says.
  absl::Status CheckBox(const CertificatePart& part, const std::string& name) const {
    for (size_t i = 0; i < part.conditions.size(); ++i) {
      const auto range =
          std::find_if(claim_->region.begin(), claim_->region.end(),
                       [&](const auto& r) { return r.quantity == part.conditions[i]; });
      if (range == claim_->region.end()) {
        return Fault(absl::StrCat(name, ": ", part.conditions[i],
                                  " is no condition of the claim"));
      }
      const Span centre = part.centre_si[i];
      const Span half = part.half_range_si[i];
      const Span low = (Span(range->low_si) - centre) / half;
      const Span high = (Span(range->high_si) - centre) / half;
      // Ends were rounded outward.
      const double slack = 1e-12 * (1 + low.greatest() + high.greatest());
      const bool within =
          part.box_low[i] >= low.lo - slack && part.box_high[i] <= high.hi + slack;
      if (!within) {
        return Fault(absl::StrCat(name, ": the range of ", part.conditions[i],
                                  " is not that of the claim"));
      }
    }
    return absl::OkStatus();
  }

  // Why a function of this claim cannot be derived here; empty where it can.
  std::string Underivable() const {
    if (!claim_->IsPlain()) return "the claim is more than one quantity and a limit";
    if (claim_->against || claim_->limit_line) {
      return "the limit is another quantity or a line";
    }
    return "";
  }

  absl::Status CheckPart(const CertificatePart& part, const std::string& name) {
    RETURN_IF_ERROR(CheckBox(part, name));
    const std::string why = Underivable();
    if (claim_->IsPlain() && claim_->cuts.empty() && !part.cuts.empty()) {
      return Fault(absl::StrCat(name, ": cuts that the claim does not have"));
    }
    std::vector<std::optional<DutySide>>& sides = sides_.emplace_back();
    for (const CertifiedFunction& function : part.functions) {
      if (claim_->IsPlain() && !IsAsked(function.stage)) {
        return Fault(absl::StrCat(name, ", stage ", function.stage,
                                  ": another stage than the claim's"));
      }
      RecheckReport::Tie tie{.function = absl::StrCat(name, ", stage ", function.stage,
                                                      ", ", function.quantity)};
      tie.why = why;
      sides.emplace_back();
      if (tie.why.empty()) {
        ASSIGN_OR_RETURN(sides.back(), Derive(part, function, tie));
      }
      tie.derived = tie.why.empty();
      report_.ties.push_back(std::move(tie));
    }
    return absl::OkStatus();
  }

  bool IsAsked(const std::string& stage) const {
    return std::any_of(duties_.begin(), duties_.end(), [&](const Duty& duty) {
      return std::find(duty.stages.begin(), duty.stages.end(), stage) !=
             duty.stages.end();
    });
  }

  // Whether a function of the part may be one of the duty's stage and side. One that was
  // not derived is taken for what it is said to be.
  bool MayBe(size_t part, size_t function, const Duty& duty, const DutySide& side) const {
    const std::string& stage = certificate_.parts[part].functions[function].stage;
    const std::optional<DutySide>& derived = sides_[part][function];
    return std::find(duty.stages.begin(), duty.stages.end(), stage) !=
               duty.stages.end() &&
           (!derived || *derived == side);
  }

  // Values where parts of the region may meet: ends of the claim's own parts and of what
  // was tested.
  std::vector<std::vector<double>> Ends() const {
    const std::vector<std::string>& conditions = certificate_.parts.front().conditions;
    std::vector<std::vector<double>> ends(conditions.size());
    for (size_t i = 0; i < conditions.size(); ++i) {
      for (const Duty& duty : duties_) {
        ends[i].push_back(duty.box.low_si[i]);
        ends[i].push_back(duty.box.high_si[i]);
      }
      for (const StageMap& map : release_.maps) {
        if (map.unit != claim_->unit || map.mode != claim_->mode ||
            map.conditions != conditions || map.tested_low_si.size() <= i ||
            map.tested_high_si.size() <= i) {
          continue;
        }
        ends[i].push_back(map.tested_low_si[i]);
        ends[i].push_back(map.tested_high_si[i]);
      }
    }
    return ends;
  }

  void Report(std::string what, std::string why) {
    report_.ties.push_back({.function = std::move(what), .why = std::move(why)});
  }

  // Every stage that must serve keeps every limit all over its part of the region.
  absl::Status CheckDuties() {
    if (duties_.empty()) {
      Report("the parts together", "the claim is more than one quantity and a limit");
      return absl::OkStatus();
    }
    if (!claim_->cuts.empty()) {
      Report("the cuts of the region", "they are as the certificate has them");
    }
    const std::vector<std::vector<double>> ends = Ends();
    for (const Duty& duty : duties_) {
      for (const DutySide& side : duty.sides) {
        std::vector<const CertificatePart*> parts;
        for (size_t p = 0; p < certificate_.parts.size(); ++p) {
          const CertificatePart& part = certificate_.parts[p];
          bool all = true;
          for (size_t f = 0; f < part.functions.size() && all; ++f) {
            all = MayBe(p, f, duty, side);
          }
          if (!all) continue;
          parts.push_back(&part);
          // What several stages share out; of those said to be one function each, too.
          for (size_t f = 0; f < part.functions.size(); ++f) {
            RETURN_IF_ERROR(CheckProvingFactor(p, f, duty));
          }
        }
        const std::string who =
            absl::StrCat("no part shows stage ", absl::StrJoin(duty.stages, " or "), " ",
                         side.sign > 0 ? "at least" : "at most", " its limit");
        if (parts.empty()) return Fault(who);
        // Parts that the cuts leave nothing of are none.
        if (!claim_->cuts.empty()) continue;
        const std::string left_out = LeftOut(duty.box, ends, parts);
        if (!left_out.empty()) {
          return Fault(absl::StrCat(who, " over all of the region: the range ", left_out,
                                    " is not held"));
        }
      }
    }
    return absl::OkStatus();
  }

  // Some duty is missed by every stage of it.
  absl::Status CheckMissed() {
    if (duties_.empty()) return absl::OkStatus();
    const CertificatePart& part = certificate_.parts.front();
    for (const Duty& duty : duties_) {
      bool missed = true;
      for (size_t i = 0; i < part.worst_point.size() && missed; ++i) {
        const Span x = Span(part.centre_si[i]) +
                       Span(part.half_range_si[i]) * Span(part.worst_point[i]);
        const double slack = 1e-12 * (part.half_range_si[i] + x.greatest());
        missed =
            x.hi >= duty.box.low_si[i] - slack && x.lo <= duty.box.high_si[i] + slack;
      }
      for (size_t s = 0; s < duty.stages.size() && missed; ++s) {
        const Duty one = {.box = duty.box, .stages = {duty.stages[s]}};
        bool any = false;
        for (size_t f = 0; f < part.functions.size() && !any; ++f) {
          any = std::any_of(duty.sides.begin(), duty.sides.end(),
                            [&](const DutySide& side) { return MayBe(0, f, one, side); });
        }
        missed = any;
      }
      if (missed) return absl::OkStatus();
    }
    return Fault("what it refutes is not what the claim promises at that point");
  }

  // Which limit the function is the margin of; empty, with the reason in the tie, where
  // it cannot be derived.
  absl::StatusOr<std::optional<DutySide>> Derive(const CertificatePart& part,
                                                 const CertifiedFunction& function,
                                                 RecheckReport::Tie& tie) const {
    const StageMap* const map = FindMap(release_, *claim_, function.stage);
    if (map == nullptr) return Fault(tie.function + ": the release has no such stage");
    const Surface* const surface = FindSurface(*map, function);
    if (surface == nullptr) {
      tie.why = "a fitted combination, which releases do not carry";
      return std::nullopt;
    }
    if (function.quantity != claim_->quantity) {
      return Fault(tie.function + ": another quantity than the claim's");
    }
    if (surface->form) {
      tie.why = "the surface is of a transformed quantity or condition";
      return std::nullopt;
    }
    const size_t terms = surface->coefficients_si.size();
    if (map->conditions != part.conditions ||
        surface->centre_si.size() != part.conditions.size() ||
        surface->half_range_si.size() != part.conditions.size() ||
        !std::all_of(surface->half_range_si.begin(), surface->half_range_si.end(),
                     [](double half) { return half > 0; }) ||
        surface->exponents.size() != terms * part.conditions.size() ||
        surface->covariance_si.size() != terms * (terms + 1) / 2 ||
        map->tested_low_si.size() != part.conditions.size() ||
        map->tested_high_si.size() != part.conditions.size()) {
      return Fault(tie.function + ": conditions or scales are not those of the surface");
    }
    if (!part.holds) {
      RETURN_IF_ERROR(CheckRefutingFactor(part, function, tie));
    }
    bool value_alike = false;
    std::vector<DutySide> tried;
    for (const Duty& duty : duties_) {
      for (const DutySide& side : duty.sides) {
        if (std::find(tried.begin(), tried.end(), side) != tried.end()) continue;
        tried.push_back(side);
        const Expected expected =
            claim::Derive(release_, *map, *surface, part, side,
                          AllowanceAt(*claim_, side.limit_si), function.coverage_factor);
        if (!Same(function.value, expected.value)) continue;
        value_alike = true;
        if (HasTerms(function, expected)) return side;
      }
    }
    return Fault(tie.function +
                 (value_alike ? ": band or systematic uncertainty is not the surface's"
                              : ": the margin is not that of surface and limit"));
  }

  // At least Student's quantile at the level, shared out among the stages of which some
  // has to serve.
  absl::Status CheckProvingFactor(size_t p, size_t f, const Duty& duty) const {
    if (!sides_[p][f]) return absl::OkStatus();
    const CertifiedFunction& function = certificate_.parts[p].functions[f];
    const StageMap* const map = FindMap(release_, *claim_, function.stage);
    const Surface* const surface = map == nullptr ? nullptr : FindSurface(*map, function);
    if (surface == nullptr) return Fault("a function of no surface");
    const double level = certificate_.level / static_cast<double>(duty.stages.size());
    const double least =
        -number::StudentTQuantile(level, surface->degrees_of_freedom) * (1 - 1e-9);
    if (function.coverage_factor >= least) return absl::OkStatus();
    return Fault(absl::StrCat(
        "part ", p, ", stage ", function.stage, ", ", function.quantity, ": the factor ",
        function.coverage_factor, " is smaller than the level asks for, ", least));
  }

  // What the verdict states; it states that of one stage.
  absl::Status CheckRefutingFactor(const CertificatePart& part,
                                   const CertifiedFunction& function,
                                   RecheckReport::Tie& tie) const {
    if (function.coverage_factor >= verdict_->coverage_factor * (1 - 1e-12)) {
      return absl::OkStatus();
    }
    if (part.functions.size() > 1 && function.stage != verdict_->worst_stage) {
      tie.why =
          "its factor is smaller than that of the worst stage, and releases carry no "
          "other";
      return absl::OkStatus();
    }
    return Fault(tie.function + ": a smaller factor than the verdict's");
  }

  static const Surface* FindSurface(const StageMap& map,
                                    const CertifiedFunction& function) {
    const Surface* found = nullptr;
    for (const Surface& one : map.surfaces) {
      if (one.quantity == function.quantity &&
          one.purpose == document::SurfacePurpose::kProof) {
        found = &one;
      }
    }
    return found;
  }

  const Certificate& certificate_;
  const Release& release_;
  const Verdict* verdict_ = nullptr;
  const Claim* claim_ = nullptr;
  std::vector<Duty> duties_;  // empty where the claim is of another kind
  // Of each part's functions: the limit that each is the margin of, where it was derived.
  std::vector<std::vector<std::optional<DutySide>>> sides_;
  RecheckReport report_;
};

}  // namespace

bool RecheckReport::all_derived() const {
  return std::all_of(ties.begin(), ties.end(),
                     [](const Tie& tie) { return tie.derived; });
}

absl::StatusOr<RecheckReport> RecheckAgainst(const Certificate& certificate,
                                             const Release& release) {
  RETURN_IF_ERROR(Recheck(certificate));
  return ReleaseCheck(certificate, release).Run();
}

}  // namespace ratebound::claim
