#include "engine/quantity/unit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <limits>
#include <numeric>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::quantity {
namespace {

using base::Absl;
using number::DoubleDouble;
using enum Dimension;

// Both whole numbers below 2^53, so the quotient is good to 31 digits.
constexpr DoubleDouble Ratio(double numerator, double denominator = 1) {
  return DoubleDouble(numerator) / DoubleDouble(denominator);
}

constexpr Unit Linear(std::string_view name, std::initializer_list<Dimension> dimensions,
                      DoubleDouble scale, DoubleDouble shift = DoubleDouble(0.0)) {
  Unit unit{
      .name = name, .dimension = *dimensions.begin(), .scale = scale, .shift = shift};
  for (Dimension dimension : dimensions)
    unit.dimensions |= 1u << static_cast<int>(dimension);
  return unit;
}
constexpr Unit Reciprocal(std::string_view name, Dimension dimension,
                          DoubleDouble scale) {
  Unit unit = Linear(name, {dimension}, scale);
  unit.reciprocal = true;
  return unit;
}

// Definitions. Exact by international agreement (1959) or by statute, as in NIST Special
// Publication 811 (2008), appendix B, from memory: the foot, the pound, standard gravity,
// the International Table Btu, the US gallon of 231 cubic inches, the ton of
// refrigeration of 12,000 Btu/h (288,000 Btu a day).
constexpr DoubleDouble kInchM = Ratio(254, 10000);
constexpr DoubleDouble kFootM = Ratio(3048, 10000);
constexpr DoubleDouble kSquareFootM2 = kFootM * kFootM;
constexpr DoubleDouble kCubicFootM3 = kSquareFootM2 * kFootM;
constexpr DoubleDouble kPoundKg = Ratio(45359237, 100000000);
constexpr DoubleDouble kGravityMPerS2 = Ratio(980665, 100000);
constexpr DoubleDouble kPoundForceN = kPoundKg * kGravityMPerS2;
constexpr DoubleDouble kPsiPa = kPoundForceN / (kInchM * kInchM);
constexpr DoubleDouble kBtuJ = Ratio(105505585262, 100000000);
constexpr DoubleDouble kBtuPerHourW = kBtuJ / Ratio(3600);
constexpr DoubleDouble kTonW = kBtuPerHourW * Ratio(12000);
constexpr DoubleDouble kGallonM3 = Ratio(231) * kInchM * kInchM * kInchM;
constexpr DoubleDouble kFiveNinths = Ratio(5, 9);
constexpr DoubleDouble kIcePointK = Ratio(27315, 100);
// Columns of liquid have no exact definition. in_wg_4c is the conventional inch of water,
// of 1000 kg/m3 (water is densest at 4 degC; with its measured 999.972 kg/m3 SP 811 gives
// 249.082 Pa, 28 parts in a million less). in_wg_60f is SP 811's "inch of water (60
// degF)", 248.84 Pa, the one of air-flow test codes. Mercury is conventional, 13,595.1
// kg/m3, at 0 degC.
constexpr DoubleDouble kInchWater4cPa = kInchM * Ratio(1000) * kGravityMPerS2;
constexpr DoubleDouble kInchWater60fPa = Ratio(24884, 100);
constexpr DoubleDouble kMercuryPaPerM = Ratio(135951, 10) * kGravityMPerS2;

// In a dimension's list the first is the engine's own unit.
constexpr std::array kUnits = {
    Linear("degC", {kTemperature}, Ratio(1)),
    Linear("degF", {kTemperature}, kFiveNinths, Ratio(-32)),
    Linear("K", {kTemperature}, Ratio(1), -kIcePointK),
    // 459.67 degR is 0 degF.
    Linear("degR", {kTemperature}, kFiveNinths, Ratio(-49167, 100)),
    Linear("delta_K", {kTemperatureDifference}, Ratio(1)),
    Linear("delta_degC", {kTemperatureDifference}, Ratio(1)),
    Linear("delta_degF", {kTemperatureDifference}, kFiveNinths),

    // Units without a reference serve all three kinds of pressure; the quantity says
    // which.
    Linear("Pa", {kPressure, kPressureDifference, kGaugePressure}, Ratio(1)),
    Linear("hPa", {kPressure, kPressureDifference, kGaugePressure}, Ratio(100)),
    Linear("kPa", {kPressure, kPressureDifference, kGaugePressure}, Ratio(1000)),
    Linear("MPa", {kPressure, kPressureDifference, kGaugePressure}, Ratio(1000000)),
    Linear("bar", {kPressure, kPressureDifference, kGaugePressure}, Ratio(100000)),
    Linear("psia", {kPressure}, kPsiPa),
    Linear("inHg", {kPressure}, kMercuryPaPerM* kInchM),
    Linear("mmHg", {kPressure}, kMercuryPaPerM / Ratio(1000)),
    Linear("psid", {kPressureDifference}, kPsiPa),
    Linear("psig", {kGaugePressure}, kPsiPa),
    Linear("in_wg_4c", {kPressureDifference, kGaugePressure}, kInchWater4cPa),
    Linear("in_wg_60f", {kPressureDifference, kGaugePressure}, kInchWater60fPa),
    Linear("ft_wg_4c", {kPressureDifference, kGaugePressure}, Ratio(12) * kInchWater4cPa),
    Linear("ft_wg_60f", {kPressureDifference, kGaugePressure},
           Ratio(12) * kInchWater60fPa),

    Linear("W", {kPower}, Ratio(1)),
    Linear("kW", {kPower}, Ratio(1000)),
    Linear("MW", {kPower}, Ratio(1000000)),
    Linear("Btu/h", {kPower}, kBtuPerHourW),
    Linear("kBtu/h", {kPower}, kBtuPerHourW* Ratio(1000)),
    Linear("ton", {kPower}, kTonW),
    // Mechanical horsepower, 550 ft lbf/s.
    Linear("hp", {kPower}, Ratio(550) * kFootM * kPoundForceN),

    Linear("J", {kEnergy}, Ratio(1)),
    Linear("kJ", {kEnergy}, Ratio(1000)),
    Linear("MJ", {kEnergy}, Ratio(1000000)),
    Linear("Wh", {kEnergy}, Ratio(3600)),
    Linear("kWh", {kEnergy}, Ratio(3600000)),
    Linear("Btu", {kEnergy}, kBtuJ),

    Linear("m3/s", {kVolumeFlow}, Ratio(1)),
    Linear("m3/h", {kVolumeFlow}, Ratio(1, 3600)),
    Linear("L/s", {kVolumeFlow}, Ratio(1, 1000)),
    Linear("L/min", {kVolumeFlow}, Ratio(1, 60000)),
    Linear("L/h", {kVolumeFlow}, Ratio(1, 3600000)),
    Linear("cfm", {kVolumeFlow}, kCubicFootM3 / Ratio(60)),
    Linear("gpm", {kVolumeFlow}, kGallonM3 / Ratio(60)),

    Linear("kg/s", {kMassFlow}, Ratio(1)),
    Linear("kg/h", {kMassFlow}, Ratio(1, 3600)),
    Linear("g/s", {kMassFlow}, Ratio(1, 1000)),
    Linear("lb/h", {kMassFlow}, kPoundKg / Ratio(3600)),
    Linear("lb/min", {kMassFlow}, kPoundKg / Ratio(60)),

    Linear("W/W", {kEnergyRatio}, Ratio(1)),
    Linear("Btu/Wh", {kEnergyRatio}, kBtuPerHourW),
    Reciprocal("kW/ton", kEnergyRatio, kTonW / Ratio(1000)),

    Linear("kg/kg", {kHumidityRatio}, Ratio(1)),
    Linear("g/kg", {kHumidityRatio}, Ratio(1, 1000)),
    Linear("lb/lb", {kHumidityRatio}, Ratio(1)),
    // A pound is 7000 grains.
    Linear("gr/lb", {kHumidityRatio}, Ratio(1, 7000)),

    Linear("1", {kFraction}, Ratio(1)),
    Linear("%", {kFraction}, Ratio(1, 100)),

    Linear("J/kg", {kSpecificEnergy}, Ratio(1)),
    Linear("kJ/kg", {kSpecificEnergy}, Ratio(1000)),
    Linear("Btu/lb", {kSpecificEnergy}, kBtuJ / kPoundKg),
    Linear("J/kg-K", {kSpecificHeat}, Ratio(1)),
    Linear("kJ/kg-K", {kSpecificHeat}, Ratio(1000)),
    // Exactly 4186.8 J/kg-K: the International Table Btu is defined so.
    Linear("Btu/lb-degF", {kSpecificHeat}, Ratio(41868, 10)),
    Linear("kg/m3", {kDensity}, Ratio(1)),
    Linear("lb/ft3", {kDensity}, kPoundKg / kCubicFootM3),
    Linear("m3/kg", {kSpecificVolume}, Ratio(1)),
    Linear("ft3/lb", {kSpecificVolume}, kCubicFootM3 / kPoundKg),
    Linear("J/m3", {kSpecificFanPower}, Ratio(1)),
    Linear("W/cfm", {kSpecificFanPower}, Ratio(60) / kCubicFootM3),

    Linear("V", {kVoltage}, Ratio(1)),
    Linear("A", {kCurrent}, Ratio(1)),
    Linear("Hz", {kFrequency}, Ratio(1)),
    Linear("rev/s", {kRotationalSpeed}, Ratio(1)),
    Linear("rpm", {kRotationalSpeed}, Ratio(1, 60)),
    Linear("m/s", {kVelocity}, Ratio(1)),
    Linear("ft/min", {kVelocity}, kFootM / Ratio(60)),

    Linear("m", {kLength}, Ratio(1)),
    Linear("mm", {kLength}, Ratio(1, 1000)),
    Linear("ft", {kLength}, kFootM),
    Linear("in", {kLength}, kInchM),
    Linear("m2", {kArea}, Ratio(1)),
    Linear("ft2", {kArea}, kSquareFootM2),
    Linear("m3", {kVolume}, Ratio(1)),
    Linear("L", {kVolume}, Ratio(1, 1000)),
    Linear("ft3", {kVolume}, kCubicFootM3),
    Linear("gal", {kVolume}, kGallonM3),
    Linear("kg", {kMass}, Ratio(1)),
    Linear("g", {kMass}, Ratio(1, 1000)),
    Linear("lb", {kMass}, kPoundKg),
    Linear("s", {kTime}, Ratio(1)),
    Linear("min", {kTime}, Ratio(60)),
    Linear("h", {kTime}, Ratio(3600)),
};

// Indices of kUnits in the order of their names.
constexpr auto kByName = [] {
  std::array<int, kUnits.size()> order{};
  for (size_t i = 0; i < order.size(); ++i) order[i] = static_cast<int>(i);
  std::sort(order.begin(), order.end(),
            [](int a, int b) { return kUnits[a].name < kUnits[b].name; });
  return order;
}();

const Unit* Lookup(std::string_view name) {
  const auto found = std::lower_bound(
      kByName.begin(), kByName.end(), name,
      [](int i, std::string_view wanted) { return kUnits[i].name < wanted; });
  return found != kByName.end() && kUnits[*found].name == name ? &kUnits[*found]
                                                               : nullptr;
}

// Names that people write and that mean more than one thing, or need a word of help.
struct Refusal {
  std::string_view name;
  std::string_view remedy;
};
constexpr std::string_view kWaterColumn =
    "an inch of water depends on the water's temperature: write in_wg_4c (249.089 Pa) or "
    "in_wg_60f (248.84 Pa), as the lab's instrument is calibrated";
constexpr std::string_view kWaterFoot =
    "a foot of water depends on the water's temperature: write ft_wg_4c or ft_wg_60f";
constexpr std::string_view kThousandBtu =
    "M is a thousand to some and a million to others: write kBtu/h for a thousand Btu/h";
constexpr std::string_view kFahrenheit =
    "write degF for a temperature, delta_degF for a difference";
constexpr std::string_view kCelsius =
    "write degC for a temperature, delta_degC for a difference";
constexpr std::string_view kStandardAir =
    "standard air is a quantity of its own: write standard_air_flow with the unit cfm";
constexpr Refusal kRefusals[] = {
    {"F", kFahrenheit},
    {"\xC2\xB0"
     "F",
     kFahrenheit},
    {"C", kCelsius},
    {"\xC2\xB0"
     "C",
     kCelsius},
    {"R", "write degR"},
    {"deg", "write degF or degC"},
    {"psi",
     "write psia for absolute pressure, psig for a gauge's reading, psid for a "
     "difference"},
    {"inwg", kWaterColumn},
    {"in_wg", kWaterColumn},
    {"in.wg", kWaterColumn},
    {"in wg", kWaterColumn},
    {"inwc", kWaterColumn},
    {"in_wc", kWaterColumn},
    {"iwc", kWaterColumn},
    {"inH2O", kWaterColumn},
    {"in_H2O", kWaterColumn},
    {"ftwg", kWaterFoot},
    {"ft_wg", kWaterFoot},
    {"ftH2O", kWaterFoot},
    {"ft_H2O", kWaterFoot},
    {"MBH", kThousandBtu},
    {"MBtuh", kThousandBtu},
    {"MBtu/h", kThousandBtu},
    {"scfm", kStandardAir},
    {"SCFM", kStandardAir},
    {"EER", "write Btu/Wh"},
    {"COP", "write W/W"},
    {"TR", "write ton (12,000 Btu/h)"},
    {"tons", "write ton (12,000 Btu/h)"},
    {"gr", "write gr/lb for grains of water to a pound of dry air"},
    {"oz", "write lb, kg or g"},
};

std::string HelpWith(std::string_view name) {
  for (const Refusal& refusal : kRefusals) {
    if (refusal.name == name) return absl::StrCat("; ", Absl(refusal.remedy));
  }
  std::vector<std::string> known;
  for (const Unit& unit : kUnits) known.emplace_back(unit.name);
  return base::DidYouMean(name, known);
}

absl::Status UnknownUnit(std::string_view name, const std::string& names) {
  return absl::InvalidArgumentError(
      absl::StrCat("unknown unit '", base::Printable(name), "'", HelpWith(name), names));
}

std::string ListOf(Dimension dimension) {
  return absl::StrCat("; units of ", Absl(DimensionName(dimension)), ": ",
                      UnitNames(dimension));
}

}  // namespace

std::string_view DimensionName(Dimension dimension) {
  switch (dimension) {
    case kTemperature:
      return "temperature";
    case kTemperatureDifference:
      return "temperature difference";
    case kPressure:
      return "absolute pressure";
    case kPressureDifference:
      return "pressure difference";
    case kGaugePressure:
      return "gauge pressure";
    case kPower:
      return "power";
    case kEnergy:
      return "energy";
    case kVolumeFlow:
      return "volume flow";
    case kMassFlow:
      return "mass flow";
    case kEnergyRatio:
      return "energy ratio";
    case kHumidityRatio:
      return "humidity ratio";
    case kFraction:
      return "fraction";
    case kSpecificEnergy:
      return "energy per mass";
    case kSpecificHeat:
      return "specific heat";
    case kDensity:
      return "density";
    case kSpecificVolume:
      return "specific volume";
    case kSpecificFanPower:
      return "power per air flow";
    case kVoltage:
      return "voltage";
    case kCurrent:
      return "current";
    case kFrequency:
      return "frequency";
    case kRotationalSpeed:
      return "rotational speed";
    case kVelocity:
      return "velocity";
    case kLength:
      return "length";
    case kArea:
      return "area";
    case kVolume:
      return "volume";
    case kMass:
      return "mass";
    case kTime:
      return "time";
  }
  return "";
}

absl::StatusOr<Unit> FindUnit(std::string_view name) {
  if (const Unit* unit = Lookup(name)) return *unit;
  std::vector<std::string> known;
  for (const Unit& unit : kUnits) known.emplace_back(unit.name);
  const Unit* nearest = Lookup(base::NearestName(name, known));
  return UnknownUnit(name, nearest == nullptr ? "" : ListOf(nearest->dimension));
}

absl::StatusOr<Unit> FindUnit(std::string_view name, Dimension dimension) {
  const Unit* unit = Lookup(name);
  if (unit == nullptr) return UnknownUnit(name, ListOf(dimension));
  if (!unit->Measures(dimension)) {
    return absl::InvalidArgumentError(absl::StrCat("'", Absl(name), "' is a unit of ",
                                                   Absl(DimensionName(unit->dimension)),
                                                   ListOf(dimension)));
  }
  return *unit;
}

std::span<const Unit> AllUnits() { return kUnits; }

const Unit& SiUnit(Dimension dimension) {
  return *std::find_if(kUnits.begin(), kUnits.end(),
                       [&](const Unit& unit) { return unit.Measures(dimension); });
}

std::string UnitNames(Dimension dimension) {
  std::vector<std::string> names;
  for (const Unit& unit : kUnits) {
    if (unit.Measures(dimension)) names.emplace_back(unit.name);
  }
  return absl::StrJoin(names, ", ");
}

std::string AfterNumber(std::string_view unit_name) {
  return unit_name.empty() || unit_name == "1" ? "" : absl::StrCat(" ", Absl(unit_name));
}

double ToSi(double value, const Unit& unit) {
  if (unit.reciprocal) {
    if (!std::isfinite(value) || value == 0) return unit.scale.ToDouble() / value;
    return (unit.scale / DoubleDouble(value)).ToDouble();
  }
  const double si = ((DoubleDouble(value) + unit.shift) * unit.scale).ToDouble();
  // Double-double arithmetic has no infinities.
  return std::isfinite(si) ? si : (value + unit.shift.ToDouble()) * unit.scale.ToDouble();
}

double FromSi(double value_si, const Unit& unit) {
  if (unit.reciprocal) return ToSi(value_si, unit);
  const double value = (DoubleDouble(value_si) / unit.scale - unit.shift).ToDouble();
  return std::isfinite(value) ? value
                              : value_si / unit.scale.ToDouble() - unit.shift.ToDouble();
}

double DifferenceToSi(double difference, const Unit& unit) {
  if (unit.reciprocal) return std::numeric_limits<double>::quiet_NaN();
  const double si = (DoubleDouble(difference) * unit.scale).ToDouble();
  return std::isfinite(si) ? si : difference * unit.scale.ToDouble();
}

double DifferenceFromSi(double difference_si, const Unit& unit) {
  if (unit.reciprocal) return std::numeric_limits<double>::quiet_NaN();
  const double value = (DoubleDouble(difference_si) / unit.scale).ToDouble();
  return std::isfinite(value) ? value : difference_si / unit.scale.ToDouble();
}

Dimension DifferenceOf(Dimension dimension) {
  switch (dimension) {
    case kTemperature:
      return kTemperatureDifference;
    case kPressure:
    case kGaugePressure:
      return kPressureDifference;
    default:
      return dimension;
  }
}

}  // namespace ratebound::quantity
