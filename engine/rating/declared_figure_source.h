// Figures that somebody declares for test conditions, one by one: a data sheet, or the
// lab's points where a procedure asks for exactly those. Nothing lies between them.
//
// Example:
//   DeclaredFigureSource source(description, {{.id = "A", .stage = 1,
//       .conditions_si = {35}, .figures_si = {10e3, 2.5e3}}}, {0.1});
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_RATING_DECLARED_FIGURE_SOURCE_H_
#define RATEBOUND_ENGINE_RATING_DECLARED_FIGURE_SOURCE_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/rating/figure_source.h"

namespace ratebound::rating {

struct DeclaredFigures {
  std::string id;
  int stage = 0;
  std::vector<double> conditions_si;  // of mode.conditions
  std::vector<double> figures_si;     // of the quantities; NaN where not declared
  document::Footing footing = document::Footing::kTested;
};

class DeclaredFigureSource : public FigureSource {
 public:
  // A declared point answers for conditions within `tolerances_si` of its own, one for
  // each condition; of several the nearest, by the greatest part of a tolerance.
  // INVALID_ARGUMENT for sizes that do not fit or a stage that does not exist.
  static absl::StatusOr<DeclaredFigureSource> Create(SourceDescription description,
                                                     std::vector<DeclaredFigures> points,
                                                     std::vector<double> tolerances_si);

  const SourceDescription& description() const override { return description_; }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override;
  absl::Status WhyNone(int stage, std::span<const double> conditions_si) const override;
  FigureFooting Footing(int stage, std::span<const double> conditions_si) const override;

 private:
  DeclaredFigureSource() = default;
  const DeclaredFigures* Find(int stage, std::span<const double> conditions_si) const;

  SourceDescription description_;
  std::vector<DeclaredFigures> points_;
  std::vector<double> tolerances_si_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_DECLARED_FIGURE_SOURCE_H_
