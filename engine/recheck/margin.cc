#include "engine/recheck/margin.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::recheck {
namespace {

using document::CertifiedFunction;
using document::StageMap;
using document::Surface;

constexpr double kSameWeight = 1e-12;

Span Size(const Span& a) {
  if (a.lo >= 0) return a;
  return a.hi <= 0 ? -a : Span(0, a.greatest());
}

double Middle(const Span& a) { return 0.5 * (a.lo + a.hi); }

// All fitted quantities that a formula names.
std::vector<std::pair<const StageMap*, std::string>> Named(const Formula& formula) {
  std::vector<std::pair<const StageMap*, std::string>> named;
  for (const FormulaTerm& term : formula.numerator) {
    named.emplace_back(term.map, term.quantity);
  }
  for (const FormulaTerm& term : formula.limit_terms) {
    named.emplace_back(term.map, term.quantity);
  }
  if (!formula.over.empty()) named.emplace_back(formula.over_map, formula.over);
  return named;
}

// The degree that all quantities of a stage are fitted by.
int DegreeOf(const Formula& formula, const StageMap* map) {
  int degree = 0;
  for (const auto& [of, quantity] : Named(formula)) {
    const Surface* const surface = of == map ? ProofSurfaceOf(*of, quantity) : nullptr;
    if (surface != nullptr) degree = std::max(degree, surface->degree);
  }
  return degree;
}

// What is stated of a quantity outright: part of the value, and SI.
std::pair<double, double> Stated(const document::LineManifest& manifest,
                                 const std::string& quantity) {
  for (const auto& entry : manifest.systematic_uncertainties) {
    if (entry.quantity == quantity) return {entry.relative_fraction, entry.absolute_si};
  }
  return {0, 0};
}

std::pair<double, double> SystematicOf(const document::LineManifest& manifest,
                                       const StageMap& map, const std::string& quantity) {
  for (const Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        (surface.systematic_fraction > 0 || surface.systematic_absolute_si > 0)) {
      return {surface.systematic_fraction, surface.systematic_absolute_si};
    }
  }
  return Stated(manifest, quantity);
}

double SystematicOfCondition(const document::LineManifest& manifest, const StageMap& map,
                             size_t i) {
  if (i < map.condition_systematic_si.size() && map.condition_systematic_si[i] > 0) {
    return map.condition_systematic_si[i];
  }
  const auto [fraction, si] = Stated(manifest, map.conditions[i]);
  return si + fraction * std::max(std::fabs(map.tested_low_si[i]),
                                  std::fabs(map.tested_high_si[i]));
}

// Shown by even powers and their signs, which is all that a square of nothing needs.
bool IsNowhereNegative(const document::CertifiedPolynomial& square) {
  for (size_t k = 0; k < square.coefficients.size(); ++k) {
    const double error = square.errors.empty() ? 0 : square.errors[k];
    if (!(square.coefficients[k] - error >= 0)) return false;
  }
  return std::all_of(square.exponents.begin(), square.exponents.end(),
                     [](int exponent) { return exponent % 2 == 0; });
}

void AddTerm(std::vector<FormulaTerm>& terms, const FormulaTerm& term,
             const SpanPolynomial& times) {
  const SpanPolynomial factor = Product(term.factor, times);
  for (FormulaTerm& known : terms) {
    if (known.map != term.map || known.quantity != term.quantity) continue;
    AddTimes(known.factor, factor, 1);
    return;
  }
  terms.push_back({term.map, term.quantity, factor});
}

}  // namespace

MarginMaker::Sum MarginMaker::SumOf(const Formula& formula, bool holds) const {
  const size_t n = scale_.size();
  // The limit moved by the allowance, taken off or granted.
  SpanPolynomial limit = formula.limit;
  AddTimes(limit, NumberIn(n, formula.allowance_si),
           holds ? formula.sign : -formula.sign);
  const SpanPolynomial sign = NumberIn(n, formula.sign);
  Sum sum;
  for (const FormulaTerm& term : formula.numerator) AddTerm(sum.terms, term, sign);
  AddTimes(sum.free, formula.free, formula.sign);
  if (!formula.over.empty()) {
    AddTerm(sum.terms, {formula.over_map, formula.over, NumberIn(n, 1)},
            Times(limit, -formula.sign));
  } else {
    const SpanPolynomial over = Times(formula.over_factor, -formula.sign);
    for (const FormulaTerm& term : formula.limit_terms) AddTerm(sum.terms, term, over);
    AddTimes(sum.free, Product(limit, over), 1);
  }
  std::erase_if(sum.terms, [](const FormulaTerm& term) {
    return IsNumber(term.factor) && IsNothing(term.factor);
  });
  return sum;
}

absl::StatusOr<const Fitted*> MarginMaker::Refit(const StageMap& map,
                                                 const std::vector<FitPart>& parts,
                                                 int degree) {
  std::string key = absl::StrCat(map.stage, "/", map.regime, "/", degree);
  for (const FitPart& part : parts) {
    absl::StrAppend(&key, "/", part.quantity, "/", std::bit_cast<uint64_t>(part.factor));
  }
  const auto known = known_.find(key);
  if (known != known_.end()) return &known->second;
  ASSIGN_OR_RETURN(Fitted fitted,
                   FitOnceMore(map, release_.points, parts, degree, scale_));
  return &known_.emplace(std::move(key), std::move(fitted)).first->second;
}

// The surface of the release where it stands and has the degree of all that is taken of
// its stage, and a fit of that degree elsewhere.
absl::StatusOr<const Fitted*> MarginMaker::Find(const Formula& formula,
                                                const FormulaTerm& term) {
  const Surface* const surface = ProofSurfaceOf(*term.map, term.quantity);
  if (surface == nullptr) {
    return absl::InvalidArgumentError(
        absl::StrCat("the release has no surface of ", term.quantity, " for proofs"));
  }
  const int degree = DegreeOf(formula, term.map);
  const bool stands = !surface->coefficients_si.empty();
  if (surface->degree != degree || !stands)
    return Refit(*term.map, {{term.quantity, 1}}, degree);
  const std::string key = absl::StrCat("surface/", term.map->stage, "/", term.quantity);
  const auto known = known_.find(key);
  if (known != known_.end()) return &known->second;
  ASSIGN_OR_RETURN(Fitted fitted, FittedIn(*term.map, *surface, scale_));
  return &known_.emplace(key, std::move(fitted)).first->second;
}

void MarginMaker::AddSystematic(const FormulaTerm& term, const Fitted& fitted,
                                size_t band, Span& constant,
                                ExpectedMargin& margin) const {
  const auto [fraction, absolute_si] =
      SystematicOf(release_.manifest, *term.map, term.quantity);
  if (IsNumber(term.factor)) {
    const Span size = Size(NumberOf(term.factor));
    constant = constant + size * Span(absolute_si);
    if (!(fraction > 0)) return;
    const Span weight = size * Span(fraction);
    margin.terms.emplace_back(weight, Product(fitted.value, fitted.value));
    margin.of_band.push_back({{weight, fitted.variance}, band});
    return;
  }
  const SpanPolynomial square = Product(term.factor, term.factor);
  if (absolute_si > 0) margin.terms.emplace_back(absolute_si, square);
  if (!(fraction > 0)) return;
  const SpanPolynomial value = Product(term.factor, fitted.value);
  margin.terms.emplace_back(fraction, Product(value, value));
  margin.of_band.push_back({{fraction, Product(square, fitted.variance)}, band});
}

absl::Status MarginMaker::AddSeparately(const Formula& formula, const Sum& sum,
                                        Span& constant, ExpectedMargin& margin) {
  for (const FormulaTerm& term : sum.terms) {
    ASSIGN_OR_RETURN(const Fitted* const fitted, Find(formula, term));
    AddTimes(margin.value, Product(term.factor, fitted->value), 1);
    margin.bands.push_back({Product(Product(term.factor, term.factor), fitted->variance),
                            fitted->degrees_of_freedom, fitted->band_degrees});
    AddSystematic(term, *fitted, margin.bands.size() - 1, constant, margin);
  }
  return absl::OkStatus();
}

absl::Status MarginMaker::AddCombined(const Formula& formula, const Sum& sum,
                                      Span& constant, ExpectedMargin& margin) {
  std::vector<FitPart> parts;
  for (const FormulaTerm& term : sum.terms) {
    parts.push_back({term.quantity, Middle(NumberOf(term.factor))});
  }
  const StageMap& map = *sum.terms.front().map;
  ASSIGN_OR_RETURN(const Fitted* const fitted,
                   Refit(map, parts, DegreeOf(formula, &map)));
  margin.value = fitted->value;
  margin.bands.push_back(
      {fitted->variance, fitted->degrees_of_freedom, fitted->band_degrees});
  for (const FormulaTerm& term : sum.terms) {
    ASSIGN_OR_RETURN(const Fitted* const own, Find(formula, term));
    AddSystematic(term, *own, 0, constant, margin);
  }
  return absl::OkStatus();
}

// Through the slope of the margin, by the greatest of the stages.
void MarginMaker::AddConditions(const Formula& formula, ExpectedMargin& margin) const {
  for (size_t i = 0; i < scale_.size(); ++i) {
    double greatest_si = 0;
    for (const auto& [map, quantity] : Named(formula)) {
      greatest_si =
          std::max(greatest_si, SystematicOfCondition(release_.manifest, *map, i));
    }
    const SpanPolynomial slope = SlopeOf(margin.value, i);
    if (!(greatest_si > 0) || slope.empty()) continue;
    margin.terms.emplace_back(greatest_si / scale_.half_range_si[i],
                              Product(slope, slope));
  }
}

absl::StatusOr<ExpectedMargin> MarginMaker::Make(const Formula& formula, bool holds) {
  const Sum sum = SumOf(formula, holds);
  if (sum.terms.empty()) {
    return absl::InvalidArgumentError("the claim rests on no surface");
  }
  const bool combined =
      sum.terms.size() > 1 &&
      std::all_of(sum.terms.begin(), sum.terms.end(), [&](const FormulaTerm& term) {
        return term.map == sum.terms.front().map && IsNumber(term.factor);
      });
  ExpectedMargin margin;
  Span constant = 0;
  RETURN_IF_ERROR(combined ? AddCombined(formula, sum, constant, margin)
                           : AddSeparately(formula, sum, constant, margin));
  AddTimes(margin.value, sum.free, 1);
  AddConditions(formula, margin);
  // Of a refutation what is missing.
  if (!holds) margin.value = Times(margin.value, -1);
  AddTo(margin.value, std::vector<int>(scale_.size(), 0), -constant);
  if (!formula.over.empty()) {
    ASSIGN_OR_RETURN(const Fitted* const over,
                     Find(formula, {formula.over_map, formula.over, {}}));
    margin.denominator = over->value;
  } else if (!IsNumber(formula.over_factor)) {
    margin.denominator = formula.over_factor;
  }
  return margin;
}

absl::StatusOr<std::vector<double>> FactorsOf(const CertifiedFunction& function,
                                              const ExpectedMargin& margin) {
  if (!Same(function.value, margin.value)) {
    return absl::InvalidArgumentError("the margin is not that of surface and limit");
  }
  const auto lacks = [](const std::string& what) {
    return absl::InvalidArgumentError(
        absl::StrCat("band or systematic uncertainty is not the surface's: ", what));
  };
  std::vector<bool> used(function.terms.size(), false);
  // The largest of the terms of a square: a band weighs more than parts of it.
  const auto take = [&](const SpanPolynomial& square,
                        std::optional<Span> weight) -> std::optional<double> {
    std::optional<size_t> found;
    for (size_t k = 0; k < function.terms.size(); ++k) {
      const CertifiedFunction::Term& term = function.terms[k];
      if (used[k] || (found && term.weight <= function.terms[*found].weight) ||
          (weight && std::fabs(term.weight - Middle(*weight)) >
                         kSameWeight * std::fabs(term.weight)) ||
          !Same(term.square, square)) {
        continue;
      }
      found = k;
    }
    if (!found) return std::nullopt;
    used[*found] = true;
    return function.terms[*found].weight;
  };
  std::vector<double> factors;
  for (const ExpectedMargin::Band& band : margin.bands) {
    const auto factor = take(band.variance, std::nullopt);
    if (!factor) return lacks("a band is missing");
    factors.push_back(*factor);
  }
  for (const auto& [term, band] : margin.of_band) {
    if (IsNothing(term.second)) continue;
    if (!take(term.second, term.first * Span(factors[band]))) {
      return lacks("a part of a band is missing");
    }
  }
  for (const auto& [weight, square] : margin.terms) {
    if (IsNothing(square)) continue;
    if (!take(square, weight)) return lacks("an instrument's part is missing");
  }
  // Below 0 a square would add to the margin in place of taking off it.
  for (size_t k = 0; k < used.size(); ++k) {
    if (used[k] || IsNowhereNegative(function.terms[k].square)) continue;
    return lacks("a term is of none of its uncertainties");
  }
  return factors;
}

}  // namespace ratebound::recheck
