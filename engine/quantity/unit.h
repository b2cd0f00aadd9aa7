// The trade's units at the edge of the engine: looked up by name, turned to the SI and
// back.
//
// Example:
//   ASSIGN_OR_RETURN(Unit degf, FindUnit("degF", Dimension::kTemperature));
//   double entering_water_c = ToSi(90, degf);          // 32.222...
//   double rise_k = DifferenceToSi(10, degf);          // 5.555...: a difference, no
//   offset FindUnit("in_wg");   // INVALID_ARGUMENT: ... write in_wg_4c or in_wg_60f
//
// No unit has two names and no name two meanings; names are case-sensitive. Gauge
// pressures (psig) become absolute only by AbsoluteFromGauge, which asks for the
// barometer.
//
// Exactness: factors are held to 31 digits, from the definitions beside them in unit.cc,
// so ToSi and FromSi give the exact conversion rounded once. Hence 32, 212, -40, 50 and
// 95 degF are 0, 100, -40, 10 and 35 degC to the bit, and 12000 Btu/h is the same double
// as 1 ton. There and back gives the same double or a neighbour; every tenth of a degF
// from 32 to 300 comes back as itself, and colder ones, where the Celsius number is the
// larger, within 1.5e-14 degF.
//
// Memory: units are values whose names live for ever. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_QUANTITY_UNIT_H_
#define RATEBOUND_ENGINE_QUANTITY_UNIT_H_

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/number/error_free.h"
#include "engine/quantity/dimension.h"

namespace ratebound::quantity {

struct Unit {
  std::string_view name;
  Dimension dimension = Dimension::kFraction;  // the first that it measures
  uint32_t dimensions = 0;                     // all that it measures, bit 1 << Dimension
  // si = (value + shift) * scale, or scale / value where reciprocal (kW/ton).
  number::DoubleDouble scale;
  number::DoubleDouble shift;
  bool reciprocal = false;

  bool Measures(Dimension other) const {
    return (dimensions >> static_cast<int>(other) & 1u) != 0;
  }
  friend bool operator==(const Unit& a, const Unit& b) { return a.name == b.name; }
};

// INVALID_ARGUMENT with the nearest name, and what the trade's ambiguous names may mean.
absl::StatusOr<Unit> FindUnit(std::string_view name);
// The same, for a unit that must measure `dimension`; the message lists those that do.
absl::StatusOr<Unit> FindUnit(std::string_view name, Dimension dimension);

std::span<const Unit> AllUnits();
// The unit that the engine itself uses: degC, Pa, W, m3/s, ...
const Unit& SiUnit(Dimension dimension);
// "degC, degF, K, degR", for messages.
std::string UnitNames(Dimension dimension);
// " kBtu/h", to be printed behind a number; empty for "1" and for none, since a ratio
// stands by itself.
std::string AfterNumber(std::string_view unit_name);

// Infinities and NaN pass through as plain arithmetic has them.
double ToSi(double value, const Unit& unit);
double FromSi(double value_si, const Unit& unit);

// A difference or an uncertainty of a value in `unit`: no offset, so 9 degF are 5 K. NaN
// for kW/ton, whose differences depend on where they are taken.
double DifferenceToSi(double difference, const Unit& unit);
double DifferenceFromSi(double difference_si, const Unit& unit);

// A gauge reads against the air around it.
inline double AbsoluteFromGauge(double gauge_pa, double barometric_pa) {
  return gauge_pa + barometric_pa;
}

// What a difference of two values of a dimension is: a temperature difference for
// temperatures, a pressure difference for pressures, otherwise the dimension itself.
Dimension DifferenceOf(Dimension dimension);

}  // namespace ratebound::quantity

#endif  // RATEBOUND_ENGINE_QUANTITY_UNIT_H_
