// The functions that a certificate should state, formed once more from a release: margins
// as engine/claim/margin.h defines them, written apart from it.
//
// Example:
//   MarginMaker maker(release, scale);
//   ASSIGN_OR_RETURN(const ExpectedMargin margin, maker.Make(formula, part.holds));
//   ASSIGN_OR_RETURN(const std::vector<double> factors, FactorsOf(function, margin));
//
// A quantity N / D with D > 0 and the limit L: "at least" is N - (L + A) D, "at most" is
// (L - A) D - N, A the allowance; of a refutation, which grants it, what is missing is
// (L - A) D - N, or N - (L + A) D. Where all factors of the fitted quantities are numbers
// and of one stage, their sum is one fit; otherwise each has a band of its own.
//
// Errors: as fit.h; INVALID_ARGUMENT saying what a function lacks.
// Thread-safety: one thread at a time.
#ifndef RATEBOUND_ENGINE_RECHECK_MARGIN_H_
#define RATEBOUND_ENGINE_RECHECK_MARGIN_H_

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/release.h"
#include "engine/recheck/fit.h"
#include "engine/recheck/polynomial.h"

namespace ratebound::recheck {

struct FormulaTerm {
  const document::StageMap* map = nullptr;
  std::string quantity;  // one that is fitted
  SpanPolynomial factor;
};

// One side of a promise. Of the denominator either `over` is named or `over_factor` is
// it.
struct Formula {
  std::vector<FormulaTerm> numerator;
  SpanPolynomial free;  // of the conditions alone
  const document::StageMap* over_map = nullptr;
  std::string over;
  SpanPolynomial over_factor;
  SpanPolynomial limit;
  std::vector<FormulaTerm> limit_terms;
  double sign = 1;  // 1 for at least, -1 for at most
  double allowance_si = 0;
};

struct ExpectedMargin {
  SpanPolynomial value;
  using Term = std::pair<Span, SpanPolynomial>;  // weight and square
  std::vector<Term> terms;                       // but for those of bands
  struct Band {
    SpanPolynomial variance;
    double degrees_of_freedom = 0;
    double band_degrees = 0;
  };
  std::vector<Band> bands;
  // So many parts of a band's standard error.
  std::vector<std::pair<Term, size_t>> of_band;
  // What the quantity is divided by, which has to be positive; empty where by nothing.
  SpanPolynomial denominator;
};

class MarginMaker {
 public:
  // What is handed over must outlive it.
  MarginMaker(const document::Release& release, const ConditionScale& scale)
      : release_(release), scale_(scale) {}

  absl::StatusOr<ExpectedMargin> Make(const Formula& formula, bool holds);

 private:
  struct Sum {
    std::vector<FormulaTerm> terms;
    SpanPolynomial free;
  };

  Sum SumOf(const Formula& formula, bool holds) const;
  absl::Status AddSeparately(const Formula& formula, const Sum& sum, Span& constant,
                             ExpectedMargin& margin);
  absl::Status AddCombined(const Formula& formula, const Sum& sum, Span& constant,
                           ExpectedMargin& margin);
  void AddConditions(const Formula& formula, ExpectedMargin& margin) const;
  absl::StatusOr<const Fitted*> Find(const Formula& formula, const FormulaTerm& term);
  absl::StatusOr<const Fitted*> Refit(const document::StageMap& map,
                                      const std::vector<FitPart>& parts, int degree);
  void AddSystematic(const FormulaTerm& term, const Fitted& fitted, size_t band,
                     Span& constant, ExpectedMargin& margin) const;

  const document::Release& release_;
  const ConditionScale& scale_;
  std::map<std::string, Fitted> known_;
};

// How many standard errors the function takes of each band. INVALID_ARGUMENT where its
// value is another or one of its terms is missing.
absl::StatusOr<std::vector<double>> FactorsOf(const document::CertifiedFunction& function,
                                              const ExpectedMargin& margin);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_MARGIN_H_
