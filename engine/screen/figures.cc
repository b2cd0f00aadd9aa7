#include "engine/screen/figures.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::screen {
namespace {

using quantity::Dimension;

std::string InSi(Dimension dimension, double value_si) {
  const bool kelvins = dimension == Dimension::kTemperature ||
                       dimension == Dimension::kTemperatureDifference;
  const std::string unit(quantity::SiUnit(dimension).name);
  const std::string number =
      kelvins ? absl::StrFormat("%.2f", value_si) : absl::StrFormat("%.5g", value_si);
  return unit == "1" ? number : absl::StrCat(number, " ", unit);
}

}  // namespace

std::optional<double> KnownUncertaintySi(const document::LineManifest& manifest,
                                         const document::SiValue& value) {
  if (value.uncertainty) return value.uncertainty->expanded_si;
  for (const document::SystematicUncertainty& u : manifest.systematic_uncertainties) {
    if (u.quantity == value.quantity) {
      return u.absolute_si + u.relative_fraction * std::fabs(value.value_si);
    }
  }
  return std::nullopt;
}

std::string Shown(std::string_view quantity, double value_si) {
  const auto known = quantity::FindQuantity(quantity);
  if (!known.ok()) return absl::StrFormat("%.5g", value_si);
  return InSi((*known)->dimension, value_si);
}

std::string ShownDifference(std::string_view quantity, double difference_si) {
  const auto known = quantity::FindQuantity(quantity);
  if (!known.ok()) return absl::StrFormat("%.5g", difference_si);
  const Dimension dimension = quantity::DifferenceOf((*known)->dimension);
  if (dimension == Dimension::kTemperatureDifference) {
    return absl::StrFormat("%.2f K", difference_si);
  }
  return InSi(dimension, difference_si);
}

}  // namespace ratebound::screen
