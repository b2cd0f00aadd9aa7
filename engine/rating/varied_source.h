// A unit's figures as they would have come out on other test days, or read by instruments
// that err within their uncertainty: the surfaces of its map, moved along what they are
// known to vary by.
//
// Example:
//   ASSIGN_OR_RETURN(Variation variation, Variation::Create(source, manifest, points));
//   VariedSource varied(source, variation);
//   metric.Value(varied);                             // as the source itself
//   std::vector<double> days(variation.days().size());
//   days[0] = 1;                                      // one standard error of the first
//   varied.Move(days, {});
//   metric.Value(varied);
//
// Random part. The error of each surface is a sum over test days
// (map/coefficient_spread.h); a day moves all surfaces of all stages at once, as it did
// in the laboratory. A surface that was fitted over several stages together has
// directions of its own instead. Systematic part. The instruments of one quantity err the
// same way at all points and stages: by a part of the value (its gain) and by a constant,
// each within the expanded uncertainty of map/systematic.h; those of a condition by a
// constant, taken through the slope of the surfaces. A movement of 1 is one standard
// error of a day, and the whole expanded uncertainty of an instrument.
//
// What is asked of the source is remembered, so that moving costs a sum over the days for
// each figure and no surface. Thread-safety: Variation is immutable; a VariedSource is
// for one thread. Determinism: figures do not depend on what was asked before.
#ifndef RATEBOUND_ENGINE_RATING_VARIED_SOURCE_H_
#define RATEBOUND_ENGINE_RATING_VARIED_SOURCE_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/map/coefficient_spread.h"
#include "engine/map/model_form.h"
#include "engine/rating/figure_source.h"
#include "engine/rating/map_figure_source.h"

namespace ratebound::rating {

// One way in which all readings of a quantity may be off.
struct SystematicSource {
  enum Kind { kGain, kConstant, kCondition };
  Kind kind = kGain;
  std::string quantity;
  int index = 0;  // of the description's quantities, or of the mode's conditions
};

class Variation {
 public:
  // `source` must outlive the result; `points` holds at least the points of its maps.
  // Surfaces without an estimate of their scatter are no error: see gaps().
  static absl::StatusOr<Variation> Create(const MapFigureSource& source,
                                          const document::LineManifest& manifest,
                                          std::span<const document::TestPoint> points);

  // Names of test days (or points); own directions of a surface are "".
  const std::vector<std::string>& days() const { return days_; }
  const std::vector<SystematicSource>& systematics() const { return systematics_; }
  // The least among the surfaces; 0 where none has an estimate.
  double degrees_of_freedom() const { return degrees_of_freedom_; }
  // What has no estimate and is left out, in sentences.
  const std::vector<std::string>& gaps() const { return gaps_; }

 private:
  friend class VariedSource;
  // One surface of the source, in its order.
  struct Varying {
    map::ModelForm form;
    map::CoefficientSpread spread;  // without sources where it has no estimate
    std::vector<int> days;          // of its sources
    double gain = 0;
    double constant_si = 0;
    std::vector<double> condition_si;
  };

  int Day(const std::string& name);

  std::vector<std::string> days_;
  std::vector<SystematicSource> systematics_;
  std::vector<Varying> varying_;
  double degrees_of_freedom_ = 0;
  std::vector<std::string> gaps_;
};

class VariedSource final : public FigureSource {
 public:
  // Refers to both, which must outlive it.
  VariedSource(const MapFigureSource& source, const Variation& variation);

  // Remembers what is asked from now on, until the first Move. Other questions are
  // answered by moved surfaces.
  void Remember();

  // `days` and `systematics` are empty for none, or one number for each.
  void Move(std::span<const double> days, std::span<const double> systematics);
  // The days move only the surfaces of one quantity of one stage from the next Move on;
  // all where `stage` is below 0.
  void Restrict(int stage, int quantity);

  const SourceDescription& description() const override { return source_.description(); }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override;
  absl::Status WhyNone(int stage, std::span<const double> conditions_si) const override;
  FigureFooting Footing(int stage, std::span<const double> conditions_si) const override;

 private:
  // What is known of one question.
  struct Answer {
    int stage = 0;
    std::vector<double> conditions_si;
    bool any = false;
    std::vector<double> figures_si;
    // By quantity: the surface that gives it, or -1, and its polynomial.
    std::vector<int> surfaces;
    std::vector<double> polynomials;
    std::vector<double> deviations;  // quantities x days
    std::vector<double>
        systematic;  // quantities x systematics; of a figure of 1 for gains
  };

  bool Moves(int stage, int quantity) const {
    return only_stage_ < 0 || (only_stage_ == stage && only_quantity_ == quantity);
  }
  const Answer* Find(int stage, std::span<const double> conditions_si) const;
  Answer Ask(int stage, std::span<const double> conditions_si) const;
  bool FromAnswer(const Answer& answer, std::span<double> figures_si) const;
  bool FromSurfaces(int stage, std::span<const double> conditions_si,
                    std::span<double> figures_si) const;
  void MoveSurfaces() const;

  const MapFigureSource& source_;
  const Variation& variation_;
  std::vector<double> move_days_;         // empty: none
  std::vector<double> move_systematics_;  // empty: none
  int only_stage_ = -1;
  int only_quantity_ = -1;
  bool remembering_ = false;
  mutable std::vector<Answer> answers_;
  mutable bool too_many_ = false;
  mutable size_t next_ = 0;  // where the next question's answer is likely to be
  mutable MapFigureSource moved_;
  mutable bool moved_is_current_ = false;
  mutable std::vector<double> buffer_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_VARIED_SOURCE_H_
