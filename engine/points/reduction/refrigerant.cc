// Saturation temperatures from pressures, superheat and subcooling.
//
// Between two entries of the manifest's table ln p is a straight line over 1/T, which is
// the Clausius-Clapeyron relation with a constant heat of vaporisation and an ideal
// vapour.
#include <algorithm>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/reduction/reducer.h"

namespace ratebound::points {
namespace {

using base::ShortestText;
using number::ValueOf;

// Absolute pressure in Pa; empty where it was not read.
template <class T>
std::optional<T> PressureOf(Reducer<T>& r, const RefrigerantSide& side) {
  T pressure_pa;
  std::string name;
  if (r.Has(side.absolute)) {
    name = r.NameOf(side.absolute);
    pressure_pa = r.Read(side.absolute);
  } else if (r.Has(side.gauge)) {
    name = r.NameOf(side.gauge);
    pressure_pa = r.Read(side.gauge) + *r.barometer_pa;
  } else {
    return std::nullopt;
  }
  if (!(pressure_pa > 0)) {
    r.Fault(absl::StrCat(name, " means an absolute pressure of ",
                         ShortestText(ValueOf(pressure_pa)), " Pa, not above 0"));
    return std::nullopt;
  }
  r.Step(1, side.name + " pressure", pressure_pa, "Pa",
         r.Has(side.absolute) ? "as read" : "gauge reading + barometric pressure");
  return pressure_pa;
}

// Empty, with a warning, outside the table.
template <class T>
std::optional<T> SaturationC(Reducer<T>& r, const RefrigerantSide& side,
                             const T& pressure_pa) {
  using number::Log;
  const SaturationLine& line = *r.core.saturation;
  const T log_pressure = Log(pressure_pa);
  const double value = ValueOf(log_pressure);
  const auto& logs = line.log_pressure;
  if (!(value >= logs.front() && value <= logs.back())) {
    r.results.warnings.push_back(
        absl::StrFormat("%s pressure of %.6g Pa is outside the saturation table (%s)",
                        side.name, ValueOf(pressure_pa), line.source));
    return std::nullopt;
  }
  const size_t upper = std::clamp<size_t>(
      static_cast<size_t>(std::upper_bound(logs.begin(), logs.end(), value) -
                          logs.begin()),
      1, logs.size() - 1);
  const double slope = (line.per_kelvin[upper] - line.per_kelvin[upper - 1]) /
                       (logs[upper] - logs[upper - 1]);
  const T per_kelvin =
      line.per_kelvin[upper - 1] + (log_pressure - logs[upper - 1]) * slope;
  const T saturated_c = 1.0 / per_kelvin - 273.15;
  r.Step(1, absl::StrCat("saturation at ", side.name, " pressure"), saturated_c, "degC",
         "dew point, by a straight line of ln(pressure) over 1/T",
         {line.source, document::Basis::kUnspecified});
  return saturated_c;
}

}  // namespace

template <class T>
void ReduceRefrigerant(Reducer<T>& r) {
  for (const RefrigerantSide& side : r.core.refrigerant) {
    std::optional<T> saturated_c;
    if (r.core.saturation.has_value()) {
      if (const auto pressure_pa = PressureOf(r, side); pressure_pa.has_value()) {
        saturated_c = SaturationC(r, side, *pressure_pa);
        if (saturated_c.has_value()) r.Put(side.saturated_output, *saturated_c);
      }
    } else if (r.Has(side.saturated)) {
      saturated_c = r.Read(side.saturated);
    }
    if (!saturated_c.has_value() || !r.Has(side.temperature)) continue;
    const bool superheat = side.difference_output == OutputId::kSuperheat;
    const T& temperature_c = r.Read(side.temperature);
    const T difference_k =
        superheat ? temperature_c - *saturated_c : *saturated_c - temperature_c;
    r.Put(side.difference_output, difference_k);
    r.Step(0, superheat ? "superheat" : "subcooling", difference_k, "delta_K",
           superheat ? "suction_temp - saturation at suction pressure"
                     : "saturation at discharge pressure (dew point, also of a blend) - "
                       "liquid_line_temp");
  }
}
template void ReduceRefrigerant(Reducer<double>&);
template void ReduceRefrigerant(Reducer<number::Dual<kGradientWidth>>&);

}  // namespace ratebound::points
