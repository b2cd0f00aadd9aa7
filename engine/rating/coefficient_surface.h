// A fitted surface whose coefficients stand elsewhere, so that they can be replaced: by
// those of a draw, or by ones that are moved a little to see what follows.
//
// The value has the bits of map::ModelSurface with the same coefficients.
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_RATING_COEFFICIENT_SURFACE_H_
#define RATEBOUND_ENGINE_RATING_COEFFICIENT_SURFACE_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/map/model_form.h"

namespace ratebound::rating {

class CoefficientSurface {
 public:
  static constexpr int kMostConditions = 8;

  // INVALID_ARGUMENT as map::ModelSurface::Create.
  static absl::StatusOr<CoefficientSurface> Create(
      const document::Surface& surface, std::span<const std::string> conditions);

  int terms() const { return static_cast<int>(order_.size()); }
  // Coefficients in the order of document::Surface, turned into that of `At`.
  void Nest(std::span<const double> coefficients_si, std::span<double> nested) const;
  void Unnest(std::span<const double> nested, std::span<double> coefficients_si) const;

  // `point_si` holds one number for each condition.
  double At(std::span<const double> point_si, const double* nested) const;
  // d At / d coefficient, in the order of document::Surface.
  void SlopesAt(std::span<const double> point_si, const double* nested,
                std::span<double> slopes) const;

 private:
  double Polynomial(const double* coordinates, const double* nested) const;

  int variables_ = 0;
  int degree_ = 0;
  std::vector<int> order_;      // of the surface's terms in the nested scheme
  std::vector<int> exponents_;  // terms x variables, in the order of document::Surface
  std::vector<double> centres_;
  std::vector<double> reciprocals_;  // of the half ranges
  map::ModelForm form_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_COEFFICIENT_SURFACE_H_
