// Figures that a function gives: a formula, a table in code, or the `evaluate` of a
// RatedUnit.
//
// Example:
//   FunctionFigureSource source(
//       {.unit = unit, .mode = unit.modes[0], .quantities = {"total_capacity",
//       "power_input"}},
//       [](int stage, std::span<const double> conditions_si, std::span<double> out) {
//         out[0] = 50e3 * (stage + 1);       // W
//         out[1] = out[0] / 4;
//         return true;
//       });
//
// Thread-safety: as the functions.
#ifndef RATEBOUND_ENGINE_RATING_FUNCTION_FIGURE_SOURCE_H_
#define RATEBOUND_ENGINE_RATING_FUNCTION_FIGURE_SOURCE_H_

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "engine/rating/figure_source.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

class FunctionFigureSource : public FigureSource {
 public:
  using Function = std::function<bool(int stage, std::span<const double> conditions_si,
                                      std::span<double> figures_si)>;

  // All figures are of `footing`.
  FunctionFigureSource(SourceDescription description, Function function,
                       document::Footing footing = document::Footing::kTested);

  const SourceDescription& description() const override { return description_; }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override {
    return function_(stage, conditions_si, figures_si);
  }
  absl::Status WhyNone(int stage, std::span<const double> conditions_si) const override;
  FigureFooting Footing(int stage, std::span<const double> conditions_si) const override;

 private:
  SourceDescription description_;
  Function function_;
  document::Footing footing_;
};

// The figures of a RatedUnit, which must outlive the source. `evaluate` is asked by name,
// so this one does allocate.
class RatedUnitSource : public FigureSource {
 public:
  RatedUnitSource(const RatedUnit& rated_unit, std::vector<std::string> quantities);

  const SourceDescription& description() const override { return description_; }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override;
  absl::Status WhyNone(int stage, std::span<const double> conditions_si) const override;
  FigureFooting Footing(int stage, std::span<const double> conditions_si) const override;

 private:
  absl::StatusOr<StageFigures> Ask(int stage,
                                   std::span<const double> conditions_si) const;

  const RatedUnit& rated_unit_;
  SourceDescription description_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_FUNCTION_FIGURE_SOURCE_H_
