#include "engine/recheck/recheck.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/recheck/rating.h"
#include "engine/recheck/span.h"
#include "engine/recheck/taylor.h"

namespace ratebound::recheck {
namespace {

using document::Certificate;
using document::CertificatePart;
using document::CertifiedFunction;
using document::CertifiedPolynomial;
using Spans = TaylorSet::Spans;

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr int kMostVariables = 8;
constexpr int kHighestExponent = 32;
// What one certificate may take, so that none of few bytes takes hours or all memory:
// operations, and coefficients held at a time. Proofs in up to four conditions stay below
// with as many leaves as a certificate may have, in eight with tens of thousands.
constexpr int64_t kMostOperations = 10'000'000'000;
constexpr int64_t kMostCoefficients = 10'000'000;
constexpr int64_t kOperationsOfARow = 20;  // to find its place among the monomials

bool Finite(const std::vector<double>& numbers) {
  return std::all_of(numbers.begin(), numbers.end(),
                     [](double x) { return std::isfinite(x); });
}

bool NotNegative(const std::vector<double>& numbers) {
  return Finite(numbers) &&
         std::all_of(numbers.begin(), numbers.end(), [](double x) { return x >= 0; });
}

class PartCheck {
 public:
  // Takes what it comes to off the operations that are left.
  PartCheck(const CertificatePart& part, std::string name, int64_t& operations,
            const Stop& stop)
      : part_(part),
        name_(std::move(name)),
        operations_(operations),
        stop_(stop),
        n_(static_cast<int>(part.conditions.size())),
        set_(n_) {}

  absl::Status Run() {
    RETURN_IF_ERROR(CheckShape());
    RETURN_IF_ERROR(Prepare());
    return part_.holds ? CheckProof() : CheckRefutation();
  }

 private:
  absl::Status Fault(const std::string& what) const {
    return absl::InvalidArgumentError(absl::StrCat(name_, ": ", what));
  }

  std::vector<const CertifiedPolynomial*> Polynomials() const {
    std::vector<const CertifiedPolynomial*> all;
    for (const CertifiedFunction& function : part_.functions) {
      all.push_back(&function.value);
      for (const auto& term : function.terms) all.push_back(&term.square);
    }
    for (const CertifiedPolynomial& cut : part_.cuts) all.push_back(&cut);
    return all;
  }

  absl::Status CheckShape() const {
    const auto sized = [this](const std::vector<double>& x) {
      return static_cast<int>(x.size()) == n_ && Finite(x);
    };
    if (n_ < 1 || n_ > kMostVariables || part_.functions.empty() ||
        !sized(part_.centre_si) || !sized(part_.half_range_si) || !sized(part_.box_low) ||
        !sized(part_.box_high)) {
      return Fault("conditions, scales, box and functions do not make up a claim");
    }
    for (int i = 0; i < n_; ++i) {
      if (part_.box_low[i] > part_.box_high[i] || !(part_.half_range_si[i] > 0)) {
        return Fault(absl::StrCat("side ", i, " of the box, or its scale, is reversed"));
      }
    }
    for (const CertifiedPolynomial* p : Polynomials()) {
      const bool exponents =
          std::all_of(p->exponents.begin(), p->exponents.end(),
                      [](int e) { return e >= 0 && e <= kHighestExponent; });
      if (p->exponents.size() != p->coefficients.size() * n_ || !exponents ||
          !Finite(p->coefficients) || !NotNegative(p->errors) ||
          (!p->errors.empty() && p->errors.size() != p->coefficients.size())) {
        return Fault("a polynomial is none");
      }
    }
    for (const CertifiedFunction& function : part_.functions) {
      for (const CertifiedFunction::Term& term : function.terms) {
        if (!(term.weight > 0) || !std::isfinite(term.weight)) {
          return Fault("the weight of a band is not above 0");
        }
      }
    }
    return absl::OkStatus();
  }

  // Every polynomial over one set of monomials; of a proof in unit coordinates.
  absl::Status Prepare() {
    for (const CertifiedPolynomial* p : Polynomials()) {
      if (!set_.Include(*p)) return Fault("a polynomial has too many terms to check");
    }
    set_.Finish();
    RETURN_IF_ERROR(CheckEffort());
    for (const CertifiedFunction& function : part_.functions) {
      values_.push_back(set_.Spread(function.value));
      squares_.emplace_back();
      for (const auto& term : function.terms) {
        squares_.back().push_back(set_.Spread(term.square));
      }
    }
    for (const CertifiedPolynomial& cut : part_.cuts) cuts_.push_back(set_.Spread(cut));
    return absl::OkStatus();
  }

  absl::Status CheckEffort() const {
    const auto count = [](const auto& items) {
      return static_cast<int64_t>(items.size());
    };
    const int64_t size = count(set_);
    const int64_t polynomials = count(Polynomials());
    if (polynomials * size > kMostCoefficients) {
      return Fault("more polynomials than can be checked");
    }
    operations_ -= size * n_ * kOperationsOfARow;
    operations_ -= polynomials * (size + 3 * set_.products());
    const int64_t combining = count(part_.functions) + count(part_.cuts);
    for (const document::CertifiedLeaf& leaf : part_.leaves) {
      operations_ -= 2 * set_.products() + n_ * n_ * n_ +
                     (2 + combining + count(leaf.tangents)) * size;
    }
    return operations_ >= 0 ? absl::OkStatus() : Fault("too long a proof to be checked");
  }

  absl::Status CheckRefutation() const {
    if (!part_.splits.empty() || !part_.leaves.empty() || !part_.combinations.empty() ||
        !part_.anchors.empty() || part_.lower_bound != 0) {
      return Fault("a refutation with parts of a proof");
    }
    if (static_cast<int>(part_.worst_point.size()) != n_ || !Finite(part_.worst_point)) {
      return Fault("the worst point is none");
    }
    for (int i = 0; i < n_; ++i) {
      if (part_.worst_point[i] < part_.box_low[i] ||
          part_.worst_point[i] > part_.box_high[i]) {
        return Fault("the worst point lies outside the box");
      }
    }
    const Spans x(part_.worst_point.begin(), part_.worst_point.end());
    for (const Spans& cut : cuts_) {
      if (!(set_.At(x, cut).lo >= 0)) {
        return Fault("the worst point is not shown to lie inside the cuts");
      }
    }
    double least = kInfinity;
    for (size_t k = 0; k < values_.size(); ++k) {
      Span value = set_.At(x, values_[k]);
      for (size_t j = 0; j < squares_[k].size(); ++j) {
        value = value - Span(part_.functions[k].terms[j].weight) *
                            Root(set_.At(x, squares_[k][j]));
      }
      least = std::min(least, value.lo);
    }
    if (!(least > 0 && part_.missing > 0 && least >= part_.missing)) {
      return Fault(absl::StrCat("what is said to be missing, ", part_.missing,
                                ", does not follow: at least ", least));
    }
    return absl::OkStatus();
  }

  absl::Status CheckProof() {
    if (!part_.worst_point.empty() || part_.missing != 0) {
      return Fault("a proof with a worst point");
    }
    RETURN_IF_ERROR(CheckUnitBox());
    RETURN_IF_ERROR(CheckCombinations());
    const size_t anchors = part_.anchors.size() / n_;
    if (part_.anchors.size() != anchors * n_ || !Finite(part_.anchors)) {
      return Fault("the anchors are no points");
    }
    struct Part {
      std::vector<double> lo;
      std::vector<double> hi;
    };
    std::vector<Part> open(1);
    for (int i = 0; i < n_; ++i) {
      open[0].lo.push_back(part_.unit_radius[i] > 0 ? -1 : 0);
      open[0].hi.push_back(part_.unit_radius[i] > 0 ? 1 : 0);
    }
    size_t next_leaf = 0;
    for (const int split : part_.splits) {
      if (open.empty()) return Fault("more halvings than the box has parts");
      Part part = std::move(open.back());
      open.pop_back();
      if (split < 0) {
        if (split != -1 || next_leaf >= part_.leaves.size()) {
          return Fault("halvings and leaves do not fit each other");
        }
        if (stop_ && stop_()) return absl::CancelledError("told to stop");
        RETURN_IF_ERROR(CheckLeaf(next_leaf++, part.lo, part.hi));
        continue;
      }
      if (split >= n_) return Fault("a condition is halved that there is not");
      const double middle = 0.5 * (part.lo[split] + part.hi[split]);
      if (!(part.lo[split] < middle && middle < part.hi[split])) {
        return Fault("a part is halved that has no width");
      }
      Part upper = part;
      upper.lo[split] = middle;
      part.hi[split] = middle;
      open.push_back(std::move(upper));
      open.push_back(std::move(part));
    }
    if (!open.empty() || next_leaf != part_.leaves.size()) {
      return Fault("the leaves do not cover the box");
    }
    if (!(part_.lower_bound >= 0 && part_.lower_bound <= least_ && least_ < kInfinity)) {
      return Fault(absl::StrCat("the lower bound ", part_.lower_bound,
                                " does not follow; the leaves show ", least_));
    }
    return absl::OkStatus();
  }

  // The box lies in centre +- radius, and the polynomials go over to these coordinates.
  absl::Status CheckUnitBox() {
    if (static_cast<int>(part_.unit_centre.size()) != n_ || !Finite(part_.unit_centre) ||
        static_cast<int>(part_.unit_radius.size()) != n_ ||
        !NotNegative(part_.unit_radius)) {
      return Fault("the unit coordinates are none");
    }
    for (int i = 0; i < n_; ++i) {
      const Span centre = part_.unit_centre[i];
      const double reach = std::max((Span(part_.box_high[i]) - centre).hi,
                                    (centre - Span(part_.box_low[i])).hi);
      const bool point = part_.box_low[i] == part_.box_high[i] &&
                         part_.unit_centre[i] == part_.box_low[i];
      if (!point && !(reach <= part_.unit_radius[i])) {
        return Fault(absl::StrCat("the unit coordinates leave out a part of side ", i));
      }
    }
    const Spans radius(part_.unit_radius.begin(), part_.unit_radius.end());
    const auto turn = [&](Spans& p) {
      set_.Move(part_.unit_centre, p);
      set_.Stretch(radius, p);
    };
    for (Spans& p : values_) turn(p);
    for (auto& squares : squares_) {
      for (Spans& p : squares) turn(p);
    }
    for (Spans& p : cuts_) turn(p);
    return absl::OkStatus();
  }

  struct Combined {
    Spans value;
    Span weight = 0;  // sum of the weights
    // Of each term its weight and its square.
    std::vector<std::pair<Span, const Spans*>> terms;
  };

  absl::Status CheckCombinations() const {
    for (const document::CertifiedCombination& combination : part_.combinations) {
      if (combination.weights.size() != values_.size() ||
          combination.multipliers.size() != cuts_.size() ||
          !NotNegative(combination.weights) || !NotNegative(combination.multipliers)) {
        return Fault("a combination has weights that are none");
      }
      if (std::all_of(combination.weights.begin(), combination.weights.end(),
                      [](double weight) { return weight == 0; })) {
        return Fault("a combination of nothing");
      }
    }
    return absl::OkStatus();
  }

  // Made when a leaf asks for another than the leaf before: all of them would be more
  // than some memories hold.
  const Combined& CombinedOf(int index) {
    if (index == combined_index_) return combined_;
    combined_index_ = index;
    combined_ = {.value = Spans(set_.size())};
    const document::CertifiedCombination& combination =
        part_.combinations[static_cast<size_t>(index)];
    const auto add = [&](const Spans& p, const Span& factor) {
      for (size_t t = 0; t < p.size(); ++t) {
        combined_.value[t] = combined_.value[t] + factor * p[t];
      }
    };
    for (size_t k = 0; k < values_.size(); ++k) {
      const double weight = combination.weights[k];
      if (weight == 0) continue;
      combined_.weight = combined_.weight + Span(weight);
      add(values_[k], weight);
      for (size_t j = 0; j < squares_[k].size(); ++j) {
        combined_.terms.emplace_back(
            Span(weight) * Span(part_.functions[k].terms[j].weight), &squares_[k][j]);
      }
    }
    for (size_t c = 0; c < cuts_.size(); ++c) {
      add(cuts_[c], -combination.multipliers[c]);
    }
    return combined_;
  }

  absl::Status CheckLeaf(size_t index, const std::vector<double>& lo,
                         const std::vector<double>& hi) {
    const document::CertifiedLeaf& leaf = part_.leaves[index];
    const auto fault = [&](const std::string& what) {
      return Fault(absl::StrCat("leaf ", index, ": ", what));
    };
    if (leaf.anchor < -1 || leaf.anchor >= static_cast<int>(part_.anchors.size()) / n_ ||
        leaf.combination < -1 ||
        leaf.combination >= static_cast<int>(part_.combinations.size()) ||
        leaf.cut < -1 || leaf.cut >= static_cast<int>(cuts_.size()) ||
        (leaf.combination < 0) == (leaf.cut < 0)) {
      return fault("points to what there is not");
    }
    std::vector<double> anchor(n_);
    Spans reach(n_);
    std::vector<double> low(n_, 0.0);
    std::vector<double> high(n_, 0.0);
    for (int i = 0; i < n_; ++i) {
      anchor[i] = leaf.anchor < 0
                      ? 0.5 * (lo[i] + hi[i])
                      : std::clamp(part_.anchors[leaf.anchor * n_ + i], lo[i], hi[i]);
      const double below = lo[i] == anchor[i] ? 0 : (Span(anchor[i]) - Span(lo[i])).hi;
      const double above = hi[i] == anchor[i] ? 0 : (Span(hi[i]) - Span(anchor[i])).hi;
      const double larger = std::max(below, above);
      reach[i] = larger;
      if (larger == 0) continue;
      if (below > 0) low[i] = std::max(-1.0, (-(Span(below) / Span(larger))).lo);
      if (above > 0) high[i] = std::min(1.0, (Span(above) / Span(larger)).hi);
    }
    if (leaf.cut >= 0) {
      if (leaf.bound != 0 || !leaf.tangents.empty()) {
        return fault("a bound beside a cut");
      }
      Spans p = cuts_[leaf.cut];
      for (Span& t : p) t = -t;
      set_.Move(anchor, p);
      set_.Stretch(reach, p);
      if (set_.LeastOver(low, high, p) > 0) return absl::OkStatus();
      return fault("the cut is not shown to be negative");
    }
    const Combined& combined = CombinedOf(leaf.combination);
    if (leaf.tangents.size() != combined.terms.size() || !Finite(leaf.tangents)) {
      return fault("tangents and terms do not fit each other");
    }
    Spans p = combined.value;
    for (size_t j = 0; j < leaf.tangents.size(); ++j) {
      const auto& [weight, square] = combined.terms[j];
      if (!(leaf.tangents[j] > 0)) return fault("a tangent is not above 0");
      const Span s = leaf.tangents[j];
      for (size_t t = 0; t < p.size(); ++t) p[t] = p[t] - s * (*square)[t];
      Span& constant = p[set_.constant()];
      constant = constant - weight * weight / (Span(4) * s);
    }
    set_.Move(anchor, p);
    set_.Stretch(reach, p);
    const double least = set_.LeastOver(low, high, p);
    if (!(leaf.bound >= 0 && least >= leaf.bound)) {
      return fault(
          absl::StrCat("the bound ", leaf.bound, " does not follow; shown is ", least));
    }
    least_ = std::min(least_, (Span(leaf.bound) / combined.weight).lo);
    return absl::OkStatus();
  }

  const CertificatePart& part_;
  const std::string name_;
  int64_t& operations_;
  const Stop& stop_;
  const int n_;
  TaylorSet set_;
  std::vector<Spans> values_;
  std::vector<std::vector<Spans>> squares_;
  std::vector<Spans> cuts_;
  Combined combined_;
  int combined_index_ = -1;
  double least_ = kInfinity;
};

}  // namespace

absl::Status Recheck(const Certificate& certificate, const Stop& stop) {
  const auto fault = [&](const std::string& what) {
    return absl::InvalidArgumentError(
        absl::StrCat("certificate of claim ", certificate.claim, ": ", what));
  };
  if (certificate.seal != document::SealOf(certificate)) {
    return fault("the seal is not that of its contents: something was changed");
  }
  if (!(certificate.level > 0 && certificate.level < 1) || certificate.look < 1 ||
      !(certificate.allowance_si >= 0) || !std::isfinite(certificate.allowance_si)) {
    return fault("level, look or allowance is none");
  }
  const bool proven = certificate.outcome == document::Outcome::kProven;
  const bool refuted = certificate.outcome == document::Outcome::kRefuted;
  if (certificate.rating && (proven || refuted)) return RecheckRating(certificate);
  if ((!proven && !refuted) || certificate.parts.empty() ||
      (refuted && certificate.parts.size() != 1)) {
    return fault("neither a proof nor a refutation");
  }
  int64_t operations = kMostOperations;
  for (size_t p = 0; p < certificate.parts.size(); ++p) {
    const CertificatePart& part = certificate.parts[p];
    if (part.holds != proven) return fault("the parts do not make up the verdict");
    const std::string name =
        absl::StrCat("certificate of claim ", certificate.claim, ", part ", p);
    RETURN_IF_ERROR(PartCheck(part, name, operations, stop).Run());
  }
  return absl::OkStatus();
}

}  // namespace ratebound::recheck
