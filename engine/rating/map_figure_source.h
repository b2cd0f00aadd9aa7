// Figures of a unit from the performance maps of its stages, with coefficients that can
// be replaced.
//
// Example:
//   ASSIGN_OR_RETURN(MapFigureSource source,
//                    MapFigureSource::Create(unit, models, procedure.mode_kind,
//                                            QuantitiesOf(procedure)));
//   MapFigureSource moved = source;                        // a copy costs one vector
//   moved.SetCoefficients(0, drawn_si);                    // of source.surfaces()[0]
//   metric.Value(moved);
//
// A stage with maps of several regimes (wet and dry coil) is answered by the one whose
// footing at the conditions is best, and by none where two are equally good, since a
// surface never speaks for another regime; that choice allocates. Footings do not depend
// on coefficients.
//
// Thread-safety: const calls concurrently; a copy for each thread that sets coefficients.
#ifndef RATEBOUND_ENGINE_RATING_MAP_FIGURE_SOURCE_H_
#define RATEBOUND_ENGINE_RATING_MAP_FIGURE_SOURCE_H_

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/map/stage_model.h"
#include "engine/rating/coefficient_surface.h"
#include "engine/rating/figure_source.h"

namespace ratebound::rating {

// One fitted surface of a source.
struct SourceSurface {
  int stage = 0;
  int quantity = 0;                           // of description().quantities
  const map::StageModel* model = nullptr;     // of its stage and regime
  const document::Surface* fitted = nullptr;  // with its covariance; of the model
  int first_coefficient = 0;                  // in the flat array
  int coefficient_count = 0;
};

class MapFigureSource : public FigureSource {
 public:
  // The unit's first mode of `kind` and, of `models`, those of this unit and mode; models
  // of other units and modes are passed over, so that all of a line can be given. Without
  // such a mode the source has one of the other kind, which a metric refuses by scope.
  // Of `quantities`, those that no stage has a table surface of are left out.
  // The models must outlive the source and its copies. INVALID_ARGUMENT for a unit
  // without modes or a map whose conditions are not those of its mode.
  static absl::StatusOr<MapFigureSource> Create(const document::Unit& unit,
                                                std::span<const map::StageModel> models,
                                                document::ModeKind kind,
                                                std::span<const std::string> quantities);

  const SourceDescription& description() const override { return plan_->description; }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override;
  absl::Status WhyNone(int stage, std::span<const double> conditions_si) const override;
  FigureFooting Footing(int stage, std::span<const double> conditions_si) const override;
  // Over all regimes of the stage.
  std::optional<TestedRange> RangeOf(int stage, int condition) const override;

  // All surfaces, and their coefficients as document::Surface orders them.
  std::span<const SourceSurface> surfaces() const { return plan_->surfaces; }
  std::vector<double> Coefficients(int surface) const;
  // As many as coefficient_count.
  void SetCoefficients(int surface, std::span<const double> coefficients_si);
  // d figure / d coefficient of a surface at conditions in the order of the mode.
  void SlopesAt(int surface, std::span<const double> conditions_si,
                std::span<double> slopes) const;
  // Which surface gives a figure there, or -1 where none does.
  int SurfaceAt(int stage, int quantity, std::span<const double> conditions_si) const;

 private:
  // A stage in one regime.
  struct Regime {
    const map::StageModel* model = nullptr;
    std::vector<int> order;  // of the map's conditions among those of the mode
    bool same_order = true;
    std::vector<int> surfaces;  // one for each quantity; -1 where it has none
  };
  // What copies share.
  struct Plan {
    SourceDescription description;
    std::vector<std::vector<Regime>> stages;
    std::vector<SourceSurface> surfaces;
    std::vector<CoefficientSurface> evaluators;  // of the surfaces
  };

  MapFigureSource() = default;
  static absl::StatusOr<Regime> AddRegime(const map::StageModel& model, int stage,
                                          Plan& plan, std::vector<double>& nested);
  // Null, with the reason where it is asked for.
  const Regime* Find(int stage, std::span<const double> conditions_si,
                     std::string* why = nullptr) const;

  std::shared_ptr<const Plan> plan_;
  std::vector<double> nested_;  // coefficients of all surfaces
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_MAP_FIGURE_SOURCE_H_
