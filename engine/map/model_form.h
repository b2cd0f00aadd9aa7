// What the polynomial of a surface is one of and what it gives, where that is not the
// conditions themselves and the quantity itself (document::SurfaceForm).
//
// Example:
//   ASSIGN_OR_RETURN(ModelForm form, ModelForm::Create(surface.form, conditions));
//   form.Coordinates(point_si, coordinates);           // what is scaled to z
//   double power_w = form.Value(polynomial, point_si);
//   double standard_error_w = std::fabs(form.Slope(polynomial, point_si)) *
//   polynomial_se;
//
// Reciprocal absolute temperature: 1 / (t + 273.15), since a vapour pressure's logarithm
// is nearly a straight line of it (Clausius and Clapeyron).
//
// Logarithm: the polynomial is of ln y, for quantities whose scatter grows with
// themselves. exp of it is the median of what would be measured; the mean of a lognormal
// quantity is exp(s^2 / 2) above, 0.02 % at a scatter s of 2 %, which is left out. Errors
// pass by the slope (delta method): se(y) = y se(ln y).
//
// Carnot: an ideal machine between a source at T_c and a sink at T_h, in kelvin, takes
// power W for the heat Q_c that it draws from the source, W = Q_c (T_h - T_c) / T_c, or
// for the heat Q_h that it gives to the sink, W = Q_h (T_h - T_c) / T_h (first and second
// law of a reversible cycle; any textbook). A real one takes the capacity times that
// factor over its share of the ideal, so power over the factor is about as smooth as
// capacity, and the polynomial is of this ratio. The refrigerant's temperatures lie
// further apart than those of the sink and source, by `approach_k` together. The factor
// vanishes with the lift; a fit to points of a lift of less than kLeastLiftK is refused.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_FORM_H_
#define RATEBOUND_ENGINE_MAP_MODEL_FORM_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"

namespace ratebound::map {

// Below, the error of the temperatures alone is tens of percent of the factor. Common
// practice, no source.
inline constexpr double kLeastLiftK = 3;

class ModelForm {
 public:
  ModelForm() = default;
  // INVALID_ARGUMENT for another number of transforms than conditions, or for a sink or
  // source that is none of them.
  static absl::StatusOr<ModelForm> Create(
      const std::optional<document::SurfaceForm>& form,
      std::span<const std::string> conditions);

  // Neither of the two below changes anything.
  bool plain() const { return !turns_conditions() && !turns_response(); }
  bool turns_conditions() const { return !reciprocal_.empty(); }
  bool turns_response() const { return response_ != document::ResponseTransform::kNone; }
  bool turns_condition(size_t j) const {
    return turns_conditions() && reciprocal_[j] != 0;
  }

  // One for each condition, SI to what is scaled.
  double Coordinate(size_t condition, double value_si) const;
  void Coordinates(std::span<const double> point_si, std::span<double> out) const;

  // What the polynomial is fitted to where the quantity is `value_si`.
  // FAILED_PRECONDITION where it has no such value, in a sentence.
  absl::StatusOr<double> Target(double value_si, std::span<const double> point_si) const;
  // The quantity where the polynomial is `polynomial`.
  double Value(double polynomial, std::span<const double> point_si) const;
  // d quantity / d polynomial there.
  double Slope(double polynomial, std::span<const double> point_si) const;
  // Values of many points, in place; the bits of Value.
  void Values(std::span<const std::span<const double>> columns_si,
              std::span<double> polynomials) const;

 private:
  double Factor(double sink_c, double source_c) const;

  std::vector<char> reciprocal_;  // one for each condition; empty: none is turned
  document::ResponseTransform response_ = document::ResponseTransform::kNone;
  size_t sink_ = 0;
  size_t source_ = 0;
  double approach_k_ = 0;
  bool heating_ = false;
};

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_FORM_H_
