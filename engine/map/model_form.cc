#include "engine/map/model_form.h"

#include <algorithm>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/number/columns.h"
#include "engine/number/elementary.h"

namespace ratebound::map {
namespace {

using document::ConditionTransform;
using document::ResponseTransform;

constexpr double kAbsoluteZeroC = -273.15;

}  // namespace

absl::StatusOr<ModelForm> ModelForm::Create(
    const std::optional<document::SurfaceForm>& form,
    std::span<const std::string> conditions) {
  ModelForm made;
  if (!form) return made;
  if (!form->condition_transforms.empty()) {
    if (form->condition_transforms.size() != conditions.size()) {
      return absl::InvalidArgumentError(absl::StrCat(form->condition_transforms.size(),
                                                     " transforms for ",
                                                     conditions.size(), " conditions"));
    }
    for (ConditionTransform transform : form->condition_transforms) {
      made.reciprocal_.push_back(transform == ConditionTransform::kReciprocalAbsolute);
    }
    if (std::count(made.reciprocal_.begin(), made.reciprocal_.end(), 1) == 0) {
      made.reciprocal_.clear();
    }
  }
  made.response_ = form->response_transform;
  if (made.response_ != ResponseTransform::kCarnot) return made;
  const auto find = [&](const std::string& name) {
    return static_cast<size_t>(std::find(conditions.begin(), conditions.end(), name) -
                               conditions.begin());
  };
  made.sink_ = find(form->sink_condition);
  made.source_ = find(form->source_condition);
  made.approach_k_ = form->approach_k;
  made.heating_ = form->heating;
  if (made.sink_ == conditions.size() || made.source_ == conditions.size()) {
    return absl::InvalidArgumentError(absl::StrCat(
        "sink '", form->sink_condition, "' or source '", form->source_condition,
        "' is none of the conditions of the surface"));
  }
  return made;
}

double ModelForm::Coordinate(size_t condition, double value_si) const {
  return turns_condition(condition) ? 1 / (value_si - kAbsoluteZeroC) : value_si;
}

void ModelForm::Coordinates(std::span<const double> point_si,
                            std::span<double> out) const {
  for (size_t j = 0; j < point_si.size(); ++j) out[j] = Coordinate(j, point_si[j]);
}

double ModelForm::Factor(double sink_c, double source_c) const {
  const double reference_k = (heating_ ? sink_c : source_c) - kAbsoluteZeroC;
  return (sink_c - source_c + approach_k_) / reference_k;
}

absl::StatusOr<double> ModelForm::Target(double value_si,
                                         std::span<const double> point_si) const {
  switch (response_) {
    case ResponseTransform::kNone:
      break;
    case ResponseTransform::kLog:
      if (value_si > 0) return number::Log(value_si);
      return absl::FailedPreconditionError(
          "the logarithm needs values above 0 at all points");
    case ResponseTransform::kCarnot: {
      const double lift_k = point_si[sink_] - point_si[source_] + approach_k_;
      if (lift_k >= kLeastLiftK) {
        return value_si / Factor(point_si[sink_], point_si[source_]);
      }
      return absl::FailedPreconditionError(absl::StrFormat(
          "a point has a lift of %.3g K between source and sink with the approach; "
          "the form needs %g K at all points",
          lift_k, kLeastLiftK));
    }
  }
  return value_si;
}

double ModelForm::Value(double polynomial, std::span<const double> point_si) const {
  switch (response_) {
    case ResponseTransform::kNone:
      break;
    case ResponseTransform::kLog:
      return number::Exp(polynomial);
    case ResponseTransform::kCarnot:
      return polynomial * Factor(point_si[sink_], point_si[source_]);
  }
  return polynomial;
}

double ModelForm::Slope(double polynomial, std::span<const double> point_si) const {
  switch (response_) {
    case ResponseTransform::kNone:
      break;
    case ResponseTransform::kLog:
      return number::Exp(polynomial);
    case ResponseTransform::kCarnot:
      return Factor(point_si[sink_], point_si[source_]);
  }
  return 1;
}

void ModelForm::Values(std::span<const std::span<const double>> columns_si,
                       std::span<double> polynomials) const {
  switch (response_) {
    case ResponseTransform::kNone:
      break;
    case ResponseTransform::kLog:
      number::ExpColumn(polynomials, polynomials);
      break;
    case ResponseTransform::kCarnot:
      for (size_t i = 0; i < polynomials.size(); ++i) {
        polynomials[i] *= Factor(columns_si[sink_][i], columns_si[source_][i]);
      }
      break;
  }
}

}  // namespace ratebound::map
