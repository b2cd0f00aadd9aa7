#include "engine/fluid/psychrometric_limit.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"

namespace ratebound::fluid {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr int kMostPieces = 64;
constexpr int kMostGridPoints = 1'000'000;

bool Holds(double temperature_c) {
  return temperature_c >= Si::kLowestTemperature &&
         temperature_c <= Si::kHighestTemperature;
}

// Whether the equations hold at this temperature and pressure.
void CheckState(const char* field, double temperature_c, double pressure_pa, Phase phase,
                base::FaultList& faults) {
  if (!Holds(temperature_c)) {
    faults.Add({.field = field,
                .message = absl::StrCat(temperature_c, " degC is outside the equations"),
                .remedy = absl::StrCat("give ", Si::kLowestTemperature, " to ",
                                       Si::kHighestTemperature)});
    return;
  }
  const double saturated = SaturationPressure<Si>(temperature_c, phase);
  if (!(pressure_pa > saturated) || !std::isfinite(pressure_pa)) {
    faults.Add({.field = "pressure",
                .message = absl::StrCat(pressure_pa, " Pa is not above that of ",
                                        "saturation at ", temperature_c, " degC"),
                .remedy = "give the pressure of the air"});
  }
}

void CheckRange(const char* field, const TemperatureRange& range, double pressure_pa,
                Phase phase, const LineOptions& options, base::FaultList& faults) {
  if (!(range.low_c < range.high_c)) {
    faults.Add({.field = field,
                .message = absl::StrCat(range.low_c, " to ", range.high_c, " degC"),
                .remedy = "give a range of some width, the lower end first"});
    return;
  }
  if (!Holds(range.low_c)) {
    CheckState(field, range.low_c, pressure_pa, phase, faults);
  }
  CheckState(field, range.high_c, pressure_pa, phase, faults);
  if (options.pieces < 1 || options.pieces > kMostPieces ||
      options.grid_points < options.pieces || options.grid_points > kMostGridPoints) {
    faults.Add({.field = "line options",
                .message = absl::StrCat(options.pieces, " pieces on ",
                                        options.grid_points, " points"),
                .remedy = absl::StrCat("give 1 to ", kMostPieces,
                                       " pieces and at least as many points")});
  }
}

struct Line {
  double slope;
  double constant;
};

// A rising function, and by how much its value as computed may be off.
struct Rising {
  std::function<double(double)> value;
  double error = 0;  // at most, over the range
};

std::vector<double> Grid(const TemperatureRange& range, int pieces, int points) {
  const int cells = pieces * std::max(1, points / pieces);
  std::vector<double> grid;
  for (int i = 0; i < cells; ++i) {
    grid.push_back(range.low_c + (range.high_c - range.low_c) * i / cells);
  }
  grid.push_back(range.high_c);
  return grid;
}

// One line for each piece: at least the function there (`above`), or at most the function
// over the whole range.
std::vector<Line> Lines(const Rising& function, const TemperatureRange& range,
                        const LineOptions& options, bool above) {
  const std::vector<double> grid = Grid(range, options.pieces, options.grid_points);
  std::vector<double> value;
  for (const double t : grid) value.push_back(function.value(t));
  const size_t cells = grid.size() - 1;
  const size_t each = cells / options.pieces;
  std::vector<Line> lines;
  for (int piece = 0; piece < options.pieces; ++piece) {
    const size_t first = piece * each;
    const size_t last = first + each;
    // The function rises, so the slope is not negative.
    Line line{(value[last] - value[first]) / (grid[last] - grid[first]),
              above ? -kInfinity : kInfinity};
    line.slope = std::max(0.0, line.slope);
    if (above) {
      // Within a cell the line is at least its value at the left, the function at most
      // its value at the right.
      for (size_t c = first; c < last; ++c) {
        line.constant = std::max(line.constant, value[c + 1] - line.slope * grid[c]);
      }
    } else {
      for (size_t c = 0; c < cells; ++c) {
        line.constant = std::min(line.constant, value[c] - line.slope * grid[c + 1]);
      }
    }
    line.constant += above ? function.error : -function.error;
    lines.push_back(line);
  }
  return lines;
}

// What rounding of factors and sums can make of a line over all temperatures.
double Slack(std::initializer_list<double> parts) {
  double sum = 0;
  for (const double part : parts) sum += std::fabs(part);
  return kFormulaError * sum;
}

}  // namespace

absl::StatusOr<double> HumidityRatioLimit(const AirLimit& dew_point, double pressure_pa,
                                          Phase phase) {
  base::FaultList faults;
  CheckState("dew point", dew_point.value, pressure_pa, phase, faults);
  RETURN_IF_ERROR(faults.ToStatus());
  const double limit = HumidityRatioFromDewPoint<Si>(dew_point.value, pressure_pa, phase);
  return dew_point.side == Side::kAtMost
             ? std::nextafter(limit * (1 - kFormulaError), -kInfinity)
             : std::nextafter(limit * (1 + kFormulaError), kInfinity);
}

absl::StatusOr<LinearLimit> WetBulbLimitOfHumidityRatio(const AirLimit& humidity_ratio,
                                                        double pressure_pa, Phase wick,
                                                        const TemperatureRange& wet_bulb,
                                                        const LineOptions& options) {
  base::FaultList faults;
  CheckRange("wet bulb", wet_bulb, pressure_pa, wick, options, faults);
  const double w = humidity_ratio.value;
  if (!(w >= 0 && w < 1)) {
    faults.Add({.field = "humidity ratio",
                .message = absl::StrCat(w, " kg/kg"),
                .remedy = "give 0 to 1"});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  const WickCoefficients& k = wick == Phase::kWater ? Si::kWaterWick : Si::kIceWick;
  const double by_wet_bulb = w * k.wick_heat + Si::kDryAirHeat;
  Rising phi{.value = [&](double t) {
    const double saturated = HumidityRatioFromDewPoint<Si>(t, pressure_pa, wick);
    return (k.latent_heat - k.latent_heat_fall * t) * saturated + by_wet_bulb * t;
  }};
  const double by_dry_bulb = w * Si::kVapourHeat + Si::kDryAirHeat;
  const double constant = w * k.latent_heat;
  const double hottest = Si::kHighestTemperature;
  phi.error = Slack(
      {phi.value(wet_bulb.low_c), phi.value(wet_bulb.high_c), 2 * by_wet_bulb * hottest});
  const bool at_most = humidity_ratio.side == Side::kAtMost;
  LinearLimit limit{.all = at_most};
  for (const Line& line : Lines(phi, wet_bulb, options, at_most)) {
    const double slack =
        Slack({constant, line.constant, by_dry_bulb * hottest, line.slope * hottest});
    const double sign = at_most ? 1 : -1;
    limit.lines.push_back({.dry_bulb_factor = sign * by_dry_bulb,
                           .wet_bulb_factor = -sign * line.slope,
                           .constant = sign * (constant - line.constant) - slack});
  }
  return limit;
}

absl::StatusOr<LinearLimit> WetBulbLimit(const AirLimit& dew_point, double pressure_pa,
                                         Phase phase, Phase wick,
                                         const TemperatureRange& wet_bulb,
                                         const LineOptions& options) {
  ASSIGN_OR_RETURN(const double limit, HumidityRatioLimit(dew_point, pressure_pa, phase));
  return WetBulbLimitOfHumidityRatio({limit, dew_point.side}, pressure_pa, wick, wet_bulb,
                                     options);
}

absl::StatusOr<LinearLimit> RelativeHumidityLimit(const AirLimit& relative_humidity,
                                                  double pressure_pa, Phase phase,
                                                  const TemperatureRange& dry_bulb,
                                                  const LineOptions& options) {
  base::FaultList faults;
  CheckRange("dry bulb", dry_bulb, pressure_pa, phase, options, faults);
  const double r = relative_humidity.value;
  if (!(r > 0 && r <= 1)) {
    faults.Add({.field = "relative humidity",
                .message = absl::StrCat(r),
                .remedy = "give a part of 1, above 0"});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  Rising humid{.value = [&](double t) {
    return HumidityRatioFromRelativeHumidity<Si>(t, r, pressure_pa, phase);
  }};
  humid.error = Slack({2 * humid.value(dry_bulb.high_c)});
  const bool at_most = relative_humidity.side == Side::kAtMost;
  LinearLimit limit{.all = !at_most};
  for (const Line& line : Lines(humid, dry_bulb, options, !at_most)) {
    const double slack = Slack({line.constant, line.slope * Si::kHighestTemperature, 1});
    const double sign = at_most ? 1 : -1;
    limit.lines.push_back({.dry_bulb_factor = sign * line.slope,
                           .humidity_ratio_factor = -sign,
                           .constant = sign * line.constant - slack});
  }
  return limit;
}

}  // namespace ratebound::fluid
