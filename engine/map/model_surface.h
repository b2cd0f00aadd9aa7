// A fitted surface of any form, made ready to be evaluated: the polynomial of
// engine/fit/surface_evaluate.h behind the transforms of model_form.h.
//
// Example:
//   ASSIGN_OR_RETURN(ModelSurface power, ModelSurface::Create(surface, map.conditions));
//   power.At(point_si);                        // W
//   power.StandardErrorAt(point_si);           // W, first order; 0 without a band
//   ASSIGN_OR_RETURN(ModelSurface leverage,
//                    ModelSurface::Create(surface, map.conditions,
//                                         SurfaceMatrix::kLeverage));
//   leverage.QuadraticAt(point_si);            // leverage there, as the fit saw it
//
// A plain surface costs what its polynomial costs, with the same bits; a logarithm adds
// an exponential for each point, at four a time for columns. Batch and single evaluation
// give the same bits.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_SURFACE_H_
#define RATEBOUND_ENGINE_MAP_MODEL_SURFACE_H_

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/fit/surface_evaluate.h"
#include "engine/map/model_form.h"

namespace ratebound::map {

// Which of a surface's two matrices goes with the polynomial.
enum class SurfaceMatrix { kCovariance, kLeverage };

class ModelSurface {
 public:
  // INVALID_ARGUMENT for sizes, exponents or a form that do not fit together.
  static absl::StatusOr<ModelSurface> Create(
      const document::Surface& surface, std::span<const std::string> conditions,
      SurfaceMatrix matrix = SurfaceMatrix::kCovariance);

  bool has_band() const { return !polynomial_.covariance().empty(); }

  // `point_si` holds one number for each condition.
  double At(std::span<const double> point_si) const;
  double StandardErrorAt(std::span<const double> point_si) const;
  // The polynomial's own: phi' matrix phi.
  double QuadraticAt(std::span<const double> point_si) const;

  // values_si[i] = At(row i). INVALID_ARGUMENT as PolynomialSurface::Evaluate.
  absl::Status Evaluate(std::span<const std::span<const double>> columns_si,
                        std::span<double> values_si) const;

 private:
  ModelSurface(fit::PolynomialSurface polynomial, ModelForm form)
      : polynomial_(std::move(polynomial)), form_(std::move(form)) {}

  fit::PolynomialSurface polynomial_;
  ModelForm form_;
};

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_SURFACE_H_
