#include "engine/fluid/liquid.h"

#include <array>
#include <cmath>
#include <string>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::fluid {
namespace {

constexpr double kCriticalPa = 22.064e6;  // IF97, equation 4

const std::array<std::string, 3>& Names() {
  static const auto* const names =
      new std::array<std::string, 3>{"water", "ethylene_glycol", "propylene_glycol"};
  return *names;
}

absl::Status CheckConcentration(const Liquid& liquid) {
  const double fraction = liquid.concentration_fraction;
  const std::string_view name = LiquidKindName(liquid.kind);
  if (liquid.kind == LiquidKind::kWater) {
    if (fraction == 0) return absl::OkStatus();
    return absl::InvalidArgumentError(
        absl::StrCat("water has a concentration of 0, not ", base::ShortestText(fraction),
                     "; name the glycol or leave the concentration out"));
  }
  if (fraction >= 0 && fraction <= kGlycolHighestFraction) return absl::OkStatus();
  std::string remedy = fraction > 1 && fraction <= 100 ? "; is it a percentage?" : "";
  return absl::InvalidArgumentError(absl::StrFormat(
      "%s is known from 0 to %s by mass; asked for %s%s", base::Absl(name),
      base::ShortestText(kGlycolHighestFraction), base::ShortestText(fraction), remedy));
}

std::string Mixture(const Liquid& liquid) {
  std::string text(LiquidKindName(liquid.kind));
  if (liquid.kind != LiquidKind::kWater) {
    absl::StrAppendFormat(&text, " at %.4g %% by mass",
                          100 * liquid.concentration_fraction);
  }
  return text;
}

}  // namespace

std::string_view LiquidKindName(LiquidKind kind) {
  return Names()[static_cast<size_t>(kind)];
}

absl::StatusOr<LiquidKind> ParseLiquidKind(std::string_view name) {
  for (size_t i = 0; i < Names().size(); ++i) {
    if (Names()[i] == name) return static_cast<LiquidKind>(i);
  }
  return absl::InvalidArgumentError(absl::StrCat(
      "unknown liquid '", base::Printable(name), "'", base::DidYouMean(name, Names()),
      "; known are water, ethylene_glycol and propylene_glycol"));
}

absl::Status CheckLiquid(const Liquid& liquid, double temperature_c, double pressure_pa) {
  RETURN_IF_ERROR(CheckConcentration(liquid));
  // Negated, so that not-a-number is refused.
  const double freezing_c = FreezingPoint(liquid);
  if (!(temperature_c >= freezing_c)) {
    return absl::InvalidArgumentError(absl::StrFormat(
        "%s freezes at %.1f degC; asked for %s degC", Mixture(liquid),
        // No "-0.0".
        freezing_c > -0.05 ? 0.0 : freezing_c, base::ShortestText(temperature_c)));
  }
  const bool water = liquid.kind == LiquidKind::kWater;
  const double highest_c = water ? kWaterHighestC : kGlycolHighestC;
  if (!(temperature_c <= highest_c)) {
    return absl::InvalidArgumentError(absl::StrFormat(
        "%s is known up to %s degC; asked for %s degC", Mixture(liquid),
        base::ShortestText(highest_c), base::ShortestText(temperature_c)));
  }
  if (!(pressure_pa > 0 && pressure_pa <= kWaterHighestPa)) {
    return absl::InvalidArgumentError(absl::StrFormat(
        "%s is known from above 0 to %.9g kPa absolute; asked for %.9g kPa",
        Mixture(liquid), kWaterHighestPa / 1000, pressure_pa / 1000));
  }
  if (water) {
    const double saturation_pa = WaterSaturationPressure(temperature_c);
    if (!(pressure_pa >= saturation_pa)) {
      return absl::InvalidArgumentError(absl::StrFormat(
          "water of %s degC is liquid from %.9g kPa absolute; asked for %.9g kPa",
          base::ShortestText(temperature_c), saturation_pa / 1000, pressure_pa / 1000));
    }
  }
  return absl::OkStatus();
}

absl::StatusOr<LiquidState> Describe(const Liquid& liquid, double temperature_c,
                                     double pressure_pa) {
  RETURN_IF_ERROR(CheckLiquid(liquid, temperature_c, pressure_pa));
  LiquidState state{
      .liquid = liquid,
      .temperature_c = temperature_c,
      .pressure_pa = pressure_pa,
      .density_kg_m3 = Density(liquid, temperature_c, pressure_pa),
      .specific_heat_j_kg_k = SpecificHeat(liquid, temperature_c, pressure_pa),
      .viscosity_pa_s = Viscosity(liquid, temperature_c, pressure_pa),
      .conductivity_w_m_k = Conductivity(liquid, temperature_c, pressure_pa),
      .freezing_point_c = FreezingPoint(liquid),
  };
  if (liquid.kind == LiquidKind::kWater && pressure_pa <= kCriticalPa) {
    state.saturation_c = WaterSaturationTemperature(pressure_pa);
  }
  return state;
}

}  // namespace ratebound::fluid
