#include "engine/bound/range_bounder.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/unit_box.h"

namespace ratebound::bound {
namespace {

// How far outside [-1, 1] the end of a part may come by rounding.
constexpr double kEndRounding = 1e-9;

}  // namespace

struct RangeBounder::State {
  State(const Polynomial& p, const Box& whole) : polynomial(p), map(whole), unit(p, map) {
    if (!BernsteinForm::Fits(unit.set)) return;
    form = std::make_unique<BernsteinForm>(unit.set);
    error = Succ(unit.error +
                 RoundingBound(BernsteinForm::Roundings(unit.set), unit.absolute_sum));
  }

  Polynomial polynomial;
  UnitMap map;
  UnitPolynomial unit;
  std::unique_ptr<BernsteinForm> form;  // null where the tensor would be too large
  double error = kInfinity;
};

RangeBounder::RangeBounder(std::unique_ptr<State> state) : state_(std::move(state)) {}
RangeBounder::RangeBounder(RangeBounder&&) noexcept = default;
RangeBounder& RangeBounder::operator=(RangeBounder&&) noexcept = default;
RangeBounder::~RangeBounder() = default;

absl::StatusOr<RangeBounder> RangeBounder::Create(const Polynomial& polynomial,
                                                  const Box& whole) {
  RETURN_IF_ERROR(CheckBox(whole, polynomial.variables()));
  RETURN_IF_ERROR(CheckRangeable(polynomial));
  return RangeBounder(std::make_unique<State>(polynomial, whole));
}

Interval RangeBounder::Range(const Box& part) {
  State& state = *state_;
  const int n = state.map.variables;
  if (part.variables() != n) return Interval::Entire();
  if (state.form == nullptr || !(state.error < kInfinity)) {
    const auto range = EncloseRange(state.polynomial, part);
    return range.ok() ? range->range : Interval::Entire();
  }
  std::array<double, kMostVariables> lo{};
  std::array<double, kMostVariables> hi{};
  for (int i = 0; i < n; ++i) {
    const double centre = state.map.centre[i];
    const double radius = state.map.radius[i];
    if (radius == 0) {
      if (part.lo[i] != centre || part.hi[i] != centre) return Interval::Entire();
      continue;
    }
    // A difference and a quotient are each off by half a unit in the last place.
    lo[i] = Pred(Pred(Pred((part.lo[i] - centre) / radius)));
    hi[i] = Succ(Succ(Succ((part.hi[i] - centre) / radius)));
    if (!(lo[i] >= -1 - kEndRounding && lo[i] <= hi[i] && hi[i] <= 1 + kEndRounding)) {
      return Interval::Entire();
    }
    // The unit box covers the whole box, so a part of it has no point outside.
    lo[i] = std::clamp(lo[i], -1.0, 1.0);
    hi[i] = std::clamp(hi[i], -1.0, 1.0);
  }
  const BernsteinForm::Extremes extremes =
      state.form->Compute(state.unit.coefficients.data(), lo.data(), hi.data());
  return {Pred(extremes.least - state.error), Succ(extremes.greatest + state.error)};
}

}  // namespace ratebound::bound
