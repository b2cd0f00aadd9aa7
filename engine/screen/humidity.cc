#include "engine/screen/humidity.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/fluid/moist_air.h"
#include "engine/screen/figures.h"

namespace ratebound::screen {
namespace {

using document::SiValue;
using fluid::Si;

double PressureOf(const document::TestPoint& point) {
  if (const auto barometer_pa = point.Find("barometric_pressure")) return *barometer_pa;
  if (const auto altitude_m = point.Find("altitude")) {
    return fluid::StandardPressure<Si>(*altitude_m);
  }
  return Si::kSeaLevelPressure;
}

double FromDewPoint(double dew_point_c, double pressure_pa) {
  return fluid::HumidityRatioFromDewPoint<Si>(dew_point_c, pressure_pa,
                                              fluid::PhaseAt<Si>(dew_point_c));
}
double FromWetBulb(double dry_bulb_c, double wet_bulb_c, double pressure_pa) {
  return fluid::HumidityRatioFromWetBulb<Si>(dry_bulb_c, wet_bulb_c, pressure_pa,
                                             fluid::PhaseAt<Si>(wet_bulb_c));
}
double FromRelativeHumidity(double dry_bulb_c, double part, double pressure_pa) {
  return fluid::HumidityRatioFromRelativeHumidity<Si>(dry_bulb_c, part, pressure_pa,
                                                      fluid::PhaseAt<Si>(dry_bulb_c));
}

}  // namespace

std::optional<Humidity> HumidityOf(const document::LineManifest& manifest,
                                   const document::TestPoint& point,
                                   std::string_view side) {
  const double pressure_pa = PressureOf(point);
  const auto find = [&](std::string_view what) {
    return point.FindValue(base::Std(absl::StrCat(base::Absl(side), base::Absl(what))));
  };
  const auto slack = [&](const SiValue& value, double otherwise_si) {
    return KnownUncertaintySi(manifest, value).value_or(otherwise_si);
  };
  const auto checked = [](Humidity humidity) -> std::optional<Humidity> {
    if (!std::isfinite(humidity.ratio) || !std::isfinite(humidity.slack) ||
        humidity.ratio < 0) {
      return std::nullopt;
    }
    return humidity;
  };
  if (const SiValue* const ratio = find("_air_humidity_ratio")) {
    return checked(
        {ratio->value_si, slack(*ratio, kHumidityRatioSlack), ratio->quantity});
  }
  if (const SiValue* const dew = find("_air_dew_point")) {
    const double there = FromDewPoint(dew->value_si, pressure_pa);
    const double off = slack(*dew, kHumidityTemperatureSlackK);
    return checked(
        {there, FromDewPoint(dew->value_si + off, pressure_pa) - there, dew->quantity});
  }
  const SiValue* const dry = find("_air_db");
  if (dry == nullptr) return std::nullopt;
  const double dry_off_k = slack(*dry, kHumidityTemperatureSlackK);
  const auto state = [&](const SiValue& reading, double off, auto ratio_of) {
    const double there = ratio_of(dry->value_si, reading.value_si, pressure_pa);
    const double by_reading =
        ratio_of(dry->value_si, reading.value_si + off, pressure_pa) - there;
    const double by_dry_bulb =
        ratio_of(dry->value_si + dry_off_k, reading.value_si, pressure_pa) - there;
    return checked(
        {there, std::fabs(by_reading) + std::fabs(by_dry_bulb), reading.quantity});
  };
  if (const SiValue* const wet = find("_air_wb")) {
    return state(*wet, slack(*wet, kHumidityTemperatureSlackK), FromWetBulb);
  }
  if (const SiValue* const relative = find("_air_relative_humidity")) {
    return state(*relative, slack(*relative, kRelativeHumiditySlack),
                 FromRelativeHumidity);
  }
  return std::nullopt;
}

double SaturatedHumidityRatio(const document::TestPoint& point, double dry_bulb_c) {
  return FromDewPoint(dry_bulb_c, PressureOf(point));
}

}  // namespace ratebound::screen
