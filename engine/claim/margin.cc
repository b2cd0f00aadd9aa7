#include "engine/claim/margin.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/level.h"
#include "engine/map/systematic.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::Polynomial;

// Adds weight * |q|; a weight of nothing adds nothing.
absl::Status AddAbsolute(double weight, const Polynomial& q,
                         std::vector<BandedFunction::Term>* terms) {
  if (weight == 0) return absl::OkStatus();
  ASSIGN_OR_RETURN(Polynomial square, bound::SumOfSquares(std::span(&q, 1)));
  terms->push_back({weight, std::move(square)});
  return absl::OkStatus();
}

// The margin as a sum over fitted quantities: each once.
struct Combined {
  std::vector<MarginTerm> terms;
  Factor free = Factor::Number(0);

  absl::Status Add(const MarginTerm& term, const Factor& times) {
    ASSIGN_OR_RETURN(Factor factor, Factor::Times(term.factor, times));
    for (MarginTerm& known : terms) {
      if (known.stage != term.stage || known.quantity != term.quantity) continue;
      ASSIGN_OR_RETURN(known.factor, Factor::Plus(known.factor, factor));
      return absl::OkStatus();
    }
    terms.push_back({term.stage, term.quantity, std::move(factor)});
    return absl::OkStatus();
  }
};

// A fitted quantity by itself.
struct Response {
  const StageInputs* stage = nullptr;
  std::string quantity;
  document::Surface surface;
  Polynomial value;
  Polynomial variance;
};

class MarginMaker {
 public:
  MarginMaker(const document::LineManifest& manifest, const MarginForm& form)
      : manifest_(manifest), form_(form), variables_(form.frame.variables()) {}

  absl::StatusOr<Margin> Make() {
    if (!form_.over.empty() && !form_.limit_terms.empty()) {
      return absl::InvalidArgumentError(
          "a ratio of two quantities cannot be held against a third; make a claim of "
          "numbers of it");
    }
    Margin margin;
    margin.frame = form_.frame;
    margin.allowance_si = form_.allowance_si;
    RETURN_IF_ERROR(Describe(margin));
    ASSIGN_OR_RETURN(margin.taken, Side(form_.sign * form_.allowance_si));
    ASSIGN_OR_RETURN(margin.granted, Side(-form_.sign * form_.allowance_si));
    return margin;
  }

 private:
  // What becomes of the margin in the claim's own quantity.
  absl::Status Describe(Margin& margin) {
    const auto sum = [&](const std::vector<MarginTerm>& terms,
                         const Factor& free) -> absl::StatusOr<Polynomial> {
      ASSIGN_OR_RETURN(Polynomial total, free.As(variables_));
      for (const MarginTerm& term : terms) {
        ASSIGN_OR_RETURN(const Response* response, Find(term));
        ASSIGN_OR_RETURN(const Polynomial part, Times(term.factor, response->value));
        ASSIGN_OR_RETURN(total, Sum(total, part));
      }
      return total;
    };
    ASSIGN_OR_RETURN(margin.numerator, sum(form_.numerator, form_.free));
    ASSIGN_OR_RETURN(margin.limit, sum(form_.limit_terms, form_.limit));
    margin.has_denominator = !form_.over.empty() || !form_.over_factor.is_number ||
                             form_.over_factor.number != 1;
    if (!form_.over.empty()) {
      ASSIGN_OR_RETURN(const Response* response,
                       Find({form_.over_stage, form_.over, {}}));
      margin.denominator = response->value;
    } else {
      ASSIGN_OR_RETURN(margin.denominator, form_.over_factor.As(variables_));
    }
    return absl::OkStatus();
  }

  // The margin to the limit moved by `shift_si`.
  absl::StatusOr<OneSide> Side(double shift_si) {
    const double sign = form_.sign;
    Combined combined;
    for (const MarginTerm& term : form_.numerator) {
      RETURN_IF_ERROR(combined.Add(term, Factor::Number(sign)));
    }
    // One by one: a sum knows what its rounding can cost.
    std::vector<Factor> free;
    const auto add_free = [&](const Factor& a, const Factor& b) -> absl::Status {
      ASSIGN_OR_RETURN(free.emplace_back(), Factor::Times(a, b));
      return absl::OkStatus();
    };
    RETURN_IF_ERROR(add_free(form_.free, Factor::Number(sign)));
    if (!form_.over.empty()) {
      ASSIGN_OR_RETURN(const Factor moved,
                       Factor::Plus(form_.limit, Factor::Number(shift_si)));
      RETURN_IF_ERROR(combined.Add({form_.over_stage, form_.over, Factor::Number(1)},
                                   Negative(sign, moved)));
    } else {
      for (const MarginTerm& term : form_.limit_terms) {
        RETURN_IF_ERROR(combined.Add(term, Negative(sign, form_.over_factor)));
      }
      RETURN_IF_ERROR(add_free(form_.limit, Negative(sign, form_.over_factor)));
      RETURN_IF_ERROR(
          add_free(Factor::Number(shift_si), Negative(sign, form_.over_factor)));
    }
    std::erase_if(combined.terms, [](const MarginTerm& term) {
      return term.factor.is_number && term.factor.number == 0;
    });
    OneSide side;
    ASSIGN_OR_RETURN(const bool one, TryCombination(combined.terms, side));
    if (!one) RETURN_IF_ERROR(AddSeparately(combined.terms, side));
    for (const Factor& part : free) {
      if (part.is_number && part.number == 0) continue;
      ASSIGN_OR_RETURN(const Polynomial polynomial, part.As(variables_));
      ASSIGN_OR_RETURN(side.value, Sum(side.value, polynomial));
    }
    RETURN_IF_ERROR(AddConditions(side));
    return side;
  }

  static Factor Negative(double sign, const Factor& factor) {
    auto product = Factor::Times(factor, Factor::Number(-sign));
    return product.ok() ? *std::move(product) : factor;  // a number never fails
  }

  static absl::StatusOr<Polynomial> Times(const Factor& factor, const Polynomial& p) {
    if (factor.is_number) return p.Scale(factor.number);
    return Product(factor.polynomial, p);
  }

  // One quantity of a plain factor of 1, or several of one stage, each with a number.
  absl::StatusOr<bool> TryCombination(const std::vector<MarginTerm>& terms,
                                      OneSide& side) {
    if (terms.empty()) return absl::InvalidArgumentError("the claim rests on no surface");
    for (const MarginTerm& term : terms) {
      if (!term.factor.is_number || term.stage != terms[0].stage) return false;
    }
    if (terms.size() == 1) return false;  // by itself
    std::vector<CombinationPart> parts;
    for (const MarginTerm& term : terms) {
      parts.push_back({term.quantity, term.factor.number});
    }
    ASSIGN_OR_RETURN(document::Surface surface,
                     terms[0].stage->fit(parts, DegreeOf(*terms[0].stage)));
    ASSIGN_OR_RETURN(side.value, ValueIn(form_.frame, surface));
    ASSIGN_OR_RETURN(Polynomial variance,
                     FormIn(form_.frame, surface, surface.covariance_si));
    side.variances.push_back(std::move(variance));
    side.surfaces.push_back(std::move(surface));
    side.stages.push_back(terms[0].stage);
    side.parts.push_back(std::move(parts));
    for (const MarginTerm& term : terms) {
      ASSIGN_OR_RETURN(const Response* response, Find(term));
      RETURN_IF_ERROR(AddSystematic(term, *response, 0, side));
    }
    return true;
  }

  absl::Status AddSeparately(const std::vector<MarginTerm>& terms, OneSide& side) {
    side.value = Polynomial::Constant(variables_, 0);
    for (const MarginTerm& term : terms) {
      ASSIGN_OR_RETURN(const Response* response, Find(term));
      ASSIGN_OR_RETURN(const Polynomial value, Times(term.factor, response->value));
      ASSIGN_OR_RETURN(side.value, Sum(side.value, value));
      ASSIGN_OR_RETURN(const Polynomial once, Times(term.factor, response->variance));
      ASSIGN_OR_RETURN(Polynomial variance, Times(term.factor, once));
      side.variances.push_back(std::move(variance));
      side.surfaces.push_back(response->surface);
      side.stages.push_back(term.stage);
      side.parts.push_back({{term.quantity, 1}});
      RETURN_IF_ERROR(AddSystematic(term, *response, side.surfaces.size() - 1, side));
    }
    return absl::OkStatus();
  }

  // The systematic uncertainty of a measured response times its factor, with the
  // response's own value and variance; `surface` is the one whose band it follows.
  absl::Status AddSystematic(const MarginTerm& term, const Response& response,
                             size_t surface, OneSide& side) {
    const map::SystematicPart systematic =
        map::SystematicOfResponse(manifest_, *term.stage->map, term.quantity);
    if (term.factor.is_number) {
      const double size = std::fabs(term.factor.number);
      const double weight = size * systematic.fraction;
      side.constant += size * systematic.absolute_si;
      if (weight > 0) side.of_band.push_back({{weight, response.variance}, surface});
      return AddAbsolute(weight, response.value, &side.absolute);
    }
    const Polynomial& factor = term.factor.polynomial;
    RETURN_IF_ERROR(AddAbsolute(systematic.absolute_si, factor, &side.absolute));
    if (!(systematic.fraction > 0)) return absl::OkStatus();
    ASSIGN_OR_RETURN(const Polynomial value, Product(factor, response.value));
    ASSIGN_OR_RETURN(const Polynomial once, Product(factor, response.variance));
    ASSIGN_OR_RETURN(Polynomial variance, Product(factor, once));
    side.of_band.push_back({{systematic.fraction, std::move(variance)}, surface});
    return AddAbsolute(systematic.fraction, value, &side.absolute);
  }

  // The uncertainty of the conditions, through the slope of what is proven: the greatest
  // of the stages, whose instruments may differ.
  absl::Status AddConditions(OneSide& side) {
    for (int i = 0; i < variables_; ++i) {
      double greatest_si = 0;
      for (const StageInputs* stage : stages_) {
        greatest_si = std::max(
            greatest_si,
            map::SystematicOfCondition(manifest_, *stage->map, static_cast<size_t>(i)));
      }
      RETURN_IF_ERROR(AddAbsolute(greatest_si / form_.frame.half_range_si[i],
                                  side.value.Derivative(i), &side.absolute));
    }
    return absl::OkStatus();
  }

  // Enough for all quantities of a stage that the claim rests on: the model of a
  // combination holds the models of its parts.
  int DegreeOf(const StageInputs& stage) const {
    int degree = 0;
    const auto look = [&](const StageInputs* of, const std::string& quantity) {
      if (of != &stage || quantity.empty()) return;
      const document::Surface* surface = FindProofSurface(*stage.map, quantity);
      if (surface != nullptr) degree = std::max(degree, surface->degree);
    };
    for (const MarginTerm& term : form_.numerator) look(term.stage, term.quantity);
    for (const MarginTerm& term : form_.limit_terms) look(term.stage, term.quantity);
    look(form_.over_stage, form_.over);
    return degree;
  }

  bool StandsAlone(const StageInputs* stage) const {
    size_t count = form_.over_stage == stage && !form_.over.empty() ? 1 : 0;
    for (const MarginTerm& term : form_.numerator) count += term.stage == stage;
    for (const MarginTerm& term : form_.limit_terms) count += term.stage == stage;
    return count == 1;
  }

  // The quantity's proof surface; beside others of its stage, fitted once more by the
  // degree of all.
  absl::StatusOr<const Response*> Find(const MarginTerm& term) {
    for (const std::unique_ptr<Response>& known : responses_) {
      if (known->stage == term.stage && known->quantity == term.quantity) {
        return known.get();
      }
    }
    auto response = std::make_unique<Response>();
    response->stage = term.stage;
    response->quantity = term.quantity;
    const document::Surface* proof = FindProofSurface(*term.stage->map, term.quantity);
    if (proof == nullptr) {
      return absl::InvalidArgumentError(
          absl::StrCat("there is no proof surface of ", term.quantity));
    }
    if (StandsAlone(term.stage)) {
      response->surface = *proof;
    } else {
      const CombinationPart alone[] = {{term.quantity, 1}};
      ASSIGN_OR_RETURN(response->surface, term.stage->fit(alone, DegreeOf(*term.stage)));
    }
    const document::Surface& surface = response->surface;
    ASSIGN_OR_RETURN(response->value, ValueIn(form_.frame, surface));
    ASSIGN_OR_RETURN(response->variance,
                     FormIn(form_.frame, surface, surface.covariance_si));
    if (std::find(stages_.begin(), stages_.end(), term.stage) == stages_.end()) {
      stages_.push_back(term.stage);
    }
    responses_.push_back(std::move(response));
    return responses_.back().get();
  }

  const document::LineManifest& manifest_;
  const MarginForm& form_;
  const int variables_;
  std::vector<std::unique_ptr<Response>> responses_;
  std::vector<const StageInputs*> stages_;
};

absl::StatusOr<BandedFunction> Banded(const OneSide& side, const Polynomial& value,
                                      const Factors& factors) {
  BandedFunction g{.terms = side.absolute};
  ASSIGN_OR_RETURN(g.f,
                   Sum(value, Polynomial::Constant(value.variables(), -side.constant)));
  for (size_t k = 0; k < side.variances.size(); ++k) {
    g.terms.push_back({factors[k], side.variances[k]});
  }
  for (const OneSide::BandPart& part : side.of_band) {
    g.terms.push_back({factors[part.surface] * part.term.weight, part.term.square});
  }
  return g;
}

double RootAt(const Polynomial& square, std::span<const double> z) {
  return std::sqrt(std::max(0.0, square.Evaluate(z)));
}

}  // namespace

absl::StatusOr<Margin> MakeMargin(const document::LineManifest& manifest,
                                  const MarginForm& form) {
  return MarginMaker(manifest, form).Make();
}

Factors ProvingFactors(const OneSide& side, double level) {
  const int count = static_cast<int>(side.surfaces.size());
  Factors factors;
  for (const document::Surface& surface : side.surfaces) {
    factors.push_back(
        ProvingFactor(JointLevel(level, count), surface.degrees_of_freedom));
  }
  return factors;
}

std::optional<Factors> RefutingFactors(const OneSide& side, double level) {
  const int count = static_cast<int>(side.surfaces.size());
  Factors factors;
  for (const document::Surface& surface : side.surfaces) {
    const auto factor = RefutingFactor(JointLevel(level, count),
                                       static_cast<int>(surface.coefficients_si.size()),
                                       BandDegrees(surface), surface.cluster_robust);
    if (!factor) return std::nullopt;
    factors.push_back(*factor);
  }
  return factors;
}

absl::StatusOr<BandedFunction> Pessimistic(const Margin& margin, const Factors& factors) {
  return Banded(margin.taken, margin.taken.value, factors);
}

absl::StatusOr<BandedFunction> Shortfall(const Margin& margin, const Factors& factors) {
  return Banded(margin.granted, margin.granted.value.Scale(-1), factors);
}

double SystematicAt(const OneSide& side, std::span<const double> z,
                    const Factors& factors) {
  double sum = side.constant;
  for (const BandedFunction::Term& term : side.absolute) {
    sum += term.weight * RootAt(term.square, z);
  }
  for (const OneSide::BandPart& part : side.of_band) {
    sum += factors[part.surface] * part.term.weight * RootAt(part.term.square, z);
  }
  return sum;
}

double StandardErrorAt(const OneSide& side, std::span<const double> z) {
  double sum = 0;
  for (const Polynomial& variance : side.variances) sum += RootAt(variance, z);
  return sum;
}

}  // namespace ratebound::claim
