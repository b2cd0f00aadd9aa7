#include "engine/points/uncertainty/input_draws.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

template <typename Draw>
void FillWith(const number::RandomStream& stream, uint64_t first, uint32_t lane,
              std::span<double> deviates, Draw draw) {
  for (size_t i = 0; i < deviates.size(); ++i) {
    deviates[i] = draw(stream.At(first + i, lane));
  }
}

}  // namespace

absl::StatusOr<InputDraws> InputDraws::Create(const InputUncertainty& inputs,
                                              uint64_t seed, DrawnPart part) {
  InputDraws draws(inputs, seed);
  for (const Cause& cause : inputs.causes()) {
    if (cause.kind == Cause::Kind::kCorrelated) {
      for (const int c : cause.components) {
        const Component& component = inputs.components()[static_cast<size_t>(c)];
        if (component.distribution == Distribution::kNormal) continue;
        return absl::InvalidArgumentError(absl::StrCat(
            "component '", base::Absl(base::Printable(component.name)), "' of input ",
            component.input,
            " is not normal, and a correlation coefficient does not say how it goes "
            "together with another; name its common cause in `shared`, or take it as "
            "normal"));
      }
    }
    for (int k = 0; k < cause.factor_count; ++k) {
      draws.factors_.push_back(FactorOf(cause, part));
    }
  }
  draws.weights_.resize(static_cast<size_t>(inputs.weight_count()));
  inputs.Weigh(inputs.standard_uncertainties(), draws.weights_);
  return draws;
}

InputDraws::Factor InputDraws::FactorOf(const Cause& cause, DrawnPart part) {
  const DrawnPart own = cause.systematic ? DrawnPart::kSystematic : DrawnPart::kRandom;
  if (part != DrawnPart::kTotal && part != own) return {};
  const double degrees_of_freedom = cause.degrees_of_freedom;
  const bool is_exact =
      std::isinf(degrees_of_freedom) || cause.kind == Cause::Kind::kCorrelated;
  switch (cause.distribution) {
    case Distribution::kNormal:
      if (is_exact) return {.deviate = Deviate::kNormal};
      return {.deviate = Deviate::kStudentT, .parameter = degrees_of_freedom};
    case Distribution::kRectangular: {
      if (is_exact) return {.deviate = Deviate::kRectangular};
      const double half_width = std::sqrt(3.0);
      return {.deviate = Deviate::kTrapezoid,
              .parameter =
                  std::min(half_width, half_width / std::sqrt(2 * degrees_of_freedom))};
    }
    case Distribution::kTriangular:
      return {.deviate = Deviate::kTriangular};
    case Distribution::kArcsine:
      return {.deviate = Deviate::kArcsine};
  }
  return {};
}

void InputDraws::FillFactor(uint64_t first, uint32_t lane,
                            std::span<double> deviates) const {
  const Factor& factor = factors_[lane];
  switch (factor.deviate) {
    case Deviate::kNone:
      std::ranges::fill(deviates, 0.0);
      return;
    case Deviate::kNormal:
      return FillWith(stream_, first, lane, deviates, number::NormalDraw);
    case Deviate::kStudentT:
      return FillWith(stream_, first, lane, deviates, [&](const number::UniformPair& u) {
        return number::StudentTDraw(u, factor.parameter);
      });
    case Deviate::kRectangular:
      return FillWith(stream_, first, lane, deviates, number::RectangularDraw);
    case Deviate::kTrapezoid:
      return FillWith(stream_, first, lane, deviates, [&](const number::UniformPair& u) {
        return number::CurvilinearTrapezoidDraw(u, factor.parameter);
      });
    case Deviate::kTriangular:
      return FillWith(stream_, first, lane, deviates, number::TriangularDraw);
    case Deviate::kArcsine:
      return FillWith(stream_, first, lane, deviates, number::ArcsineDraw);
  }
}

void InputDraws::Fill(uint64_t first, int count, std::span<double> factors,
                      std::span<double> errors) const {
  const size_t size = static_cast<size_t>(count);
  for (size_t lane = 0; lane < factors_.size(); ++lane) {
    FillFactor(first, static_cast<uint32_t>(lane), factors.subspan(lane * size, size));
  }
  inputs_->AddUp(factors, weights_, count, errors);
}

}  // namespace ratebound::points
