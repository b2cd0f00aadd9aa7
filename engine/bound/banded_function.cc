#include "engine/bound/banded_function.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/bound/bernstein.h"

namespace ratebound::bound {

absl::Status CheckBandedFunction(const BandedFunction& g, const Box& box) {
  base::FaultList faults;
  const int n = g.f.variables();
  faults.AddStatus(CheckBox(box, n));
  faults.AddStatus(CheckRangeable(g.f));
  for (size_t j = 0; j < g.terms.size(); ++j) {
    const BandedFunction::Term& term = g.terms[j];
    if (!std::isfinite(term.weight) || term.weight < 0) {
      faults.Add({.field = absl::StrCat("band term ", j),
                  .message = absl::StrCat("weight ", term.weight),
                  .remedy = "give a finite weight that is not negative"});
    }
    if (term.square.variables() != n) {
      faults.Add({.field = absl::StrCat("band term ", j),
                  .message = absl::StrCat(term.square.variables(), " variables"),
                  .remedy = absl::StrCat("give ", n, " as in the polynomial itself")});
    }
    faults.AddStatus(CheckRangeable(term.square));
  }
  return faults.ToStatus();
}

Interval Evaluate(const BandedFunction& g, std::span<const double> x) {
  std::vector<Interval> point(x.begin(), x.end());
  Interval value = g.f.Evaluate(point);
  for (const BandedFunction::Term& term : g.terms) {
    if (term.weight == 0) continue;
    const Interval square = term.square.Evaluate(point);
    // A square that vanishes may round below nothing.
    value -= Interval(term.weight) * (square.hi < 0 ? Interval(0) : Sqrt(square));
  }
  return value;
}

}  // namespace ratebound::bound
