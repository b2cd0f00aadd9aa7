#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/recheck.h"
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

Derived ValueOf(const Surface& surface) {
  Derived value;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    AddTo(value, Row(surface, t), surface.coefficients_si[t]);
  }
  return value;
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

Derived VarianceOf(const Surface& surface) {
  Derived variance;
  size_t next = 0;
  for (size_t i = 0; i < surface.coefficients_si.size(); ++i) {
    for (size_t j = 0; j <= i; ++j, ++next) {
      std::vector<int> row = Row(surface, i);
      const std::vector<int> other = Row(surface, j);
      for (size_t v = 0; v < row.size(); ++v) row[v] += other[v];
      const Span entry = surface.covariance_si[next];
      AddTo(variance, row, i == j ? entry : entry + entry);
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
                double sign, double limit_si, double allowance_si, double factor,
                bool refutation) {
  const std::vector<int> one(surface.centre_si.size(), 0);
  const Derived value = ValueOf(surface);
  Expected expected;
  const double turn = refutation ? -1 : 1;
  for (const auto& [row, coefficient] : value) {
    AddTo(expected.value, row, Span(turn * sign) * coefficient);
  }
  AddTo(expected.value, one, Span(-turn * sign * limit_si));
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
      const auto [part, si] = Stated(release, map.conditions[i]);
      of_condition = si + part * std::max(std::fabs(map.tested_low_si[i]),
                                          std::fabs(map.tested_high_si[i]));
    }
    if (!(of_condition > 0)) continue;
    const Derived slope = SlopeOf(value, i);
    if (slope.empty()) continue;
    expected.terms.emplace_back(of_condition / surface.half_range_si[i],
                                Product(slope, slope));
  }
  const Derived variance = VarianceOf(surface);
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
    for (size_t p = 0; p < certificate_.parts.size(); ++p) {
      RETURN_IF_ERROR(CheckPart(certificate_.parts[p], absl::StrCat("part ", p)));
    }
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
    const double allowance_si =
        claim_->allowance.absolute_si +
        claim_->allowance.relative_fraction * std::fabs(claim_->limit_si);
    if (claim_->IsPlain() && !SameNumber(certificate_.allowance_si, allowance_si)) {
      return Fault("the allowance is not the claim's");
    }
    return absl::OkStatus();
  }

  // The box is the claim's region (proven), or lies in it (refuted).
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
      const bool covers = part.box_low[i] <= low.lo && part.box_high[i] >= high.hi;
      // Ends were rounded outward.
      const double slack = 1e-12 * (1 + low.greatest() + high.greatest());
      const bool within =
          part.box_low[i] >= low.lo - slack && part.box_high[i] <= high.hi + slack;
      if (!within || (part.holds && !covers)) {
        return Fault(absl::StrCat(name, ": the range of ", part.conditions[i],
                                  " is not that of the claim"));
      }
    }
    return absl::OkStatus();
  }

  // Why a function of this claim cannot be derived here; empty where it can.
  std::string Underivable() const {
    if (!claim_->IsPlain()) return "the claim is more than one quantity and a limit";
    if (claim_->against || claim_->limit_line || claim_->limit_table) {
      return "the limit is another quantity, a line or a table";
    }
    if (!claim_->cuts.empty()) return "the region is cut";
    if (claim_->relation == document::Relation::kWithin) return "there are two limits";
    return "";
  }

  absl::Status CheckPart(const CertificatePart& part, const std::string& name) {
    RETURN_IF_ERROR(CheckBox(part, name));
    std::string why = Underivable();
    if (why.empty() && !part.cuts.empty()) {
      return Fault(absl::StrCat(name, ": cuts that the claim does not have"));
    }
    for (const CertifiedFunction& function : part.functions) {
      RecheckReport::Tie tie{.function = absl::StrCat(name, ", stage ", function.stage,
                                                      ", ", function.quantity)};
      tie.why = why;
      if (tie.why.empty()) {
        RETURN_IF_ERROR(Derive(part, function, tie));
      }
      tie.derived = tie.why.empty();
      report_.ties.push_back(std::move(tie));
    }
    return absl::OkStatus();
  }

  absl::Status Derive(const CertificatePart& part, const CertifiedFunction& function,
                      RecheckReport::Tie& tie) const {
    const StageMap* const map = FindMap(release_, *claim_, function.stage);
    if (map == nullptr) return Fault(tie.function + ": the release has no such stage");
    const Surface* surface = nullptr;
    for (const Surface& one : map->surfaces) {
      if (one.quantity == function.quantity &&
          one.purpose == document::SurfacePurpose::kProof) {
        surface = &one;
      }
    }
    if (surface == nullptr) {
      tie.why = "a fitted combination, which releases do not carry";
      return absl::OkStatus();
    }
    if (function.quantity != claim_->quantity) {
      return Fault(tie.function + ": another quantity than the claim's");
    }
    if (!claim_->serving && function.stage != claim_->stage) {
      return Fault(tie.function + ": another stage than the claim's");
    }
    if (surface->form) {
      tie.why = "the surface is of a transformed quantity or condition";
      return absl::OkStatus();
    }
    const size_t terms = surface->coefficients_si.size();
    if (map->conditions != part.conditions || surface->centre_si != part.centre_si ||
        surface->half_range_si != part.half_range_si ||
        surface->exponents.size() != terms * part.conditions.size() ||
        surface->covariance_si.size() != terms * (terms + 1) / 2 ||
        map->tested_low_si.size() != part.conditions.size() ||
        map->tested_high_si.size() != part.conditions.size()) {
      return Fault(tie.function + ": conditions or scales are not those of the surface");
    }
    RETURN_IF_ERROR(CheckFactor(part, function, *surface, tie.function));
    const Expected expected = claim::Derive(
        release_, *map, *surface,
        claim_->relation == document::Relation::kAtLeast ? 1 : -1, claim_->limit_si,
        certificate_.allowance_si, function.coverage_factor, !part.holds);
    if (!Same(function.value, expected.value)) {
      return Fault(tie.function + ": the margin is not that of surface and limit");
    }
    if (!HasTerms(function, expected)) {
      return Fault(tie.function +
                   ": band or systematic uncertainty is not the surface's");
    }
    return absl::OkStatus();
  }

  // A proof takes at least Student's quantile at the level, shared out among the stages
  // of which some has to serve; a refutation what the verdict states.
  absl::Status CheckFactor(const CertificatePart& part, const CertifiedFunction& function,
                           const Surface& surface, const std::string& name) const {
    if (!part.holds) {
      if (function.coverage_factor >= verdict_->coverage_factor * (1 - 1e-12)) {
        return absl::OkStatus();
      }
      return Fault(name + ": a smaller factor than the verdict's");
    }
    const double level = certificate_.level / static_cast<double>(part.functions.size());
    const double least =
        -number::StudentTQuantile(level, surface.degrees_of_freedom) * (1 - 1e-9);
    if (function.coverage_factor >= least) return absl::OkStatus();
    return Fault(absl::StrCat(name, ": the factor ", function.coverage_factor,
                              " is smaller than the level asks for, ", least));
  }

  const Certificate& certificate_;
  const Release& release_;
  const Verdict* verdict_ = nullptr;
  const Claim* claim_ = nullptr;
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
