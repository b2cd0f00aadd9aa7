#include "tests/coverage_campaign/machine.h"

#include <cmath>

namespace ratebound::map {
namespace {

constexpr double kPressurePa = 101325;
constexpr double kDryBulbC = (80.0 - 32) / 1.8;
constexpr double kSizeW = 25000;
constexpr double kShare = 25.0 / 46;  // of air and water
constexpr double kBestEfficiency = 0.582;
constexpr double kContact = 1.46;  // transfer units at nominal flow
constexpr double kFanW = 1080;
constexpr double kWaterM3PerS = 39 * 231 * 0.0254 * 0.0254 * 0.0254 / 60;

double SaturationHumidity(double t_c) {
  const double pressure_pa = 611.2 * std::exp(17.62 * t_c / (243.12 + t_c));
  return 0.62198 * pressure_pa / (kPressurePa - pressure_pa);
}

double HumidityOfWetBulb(double db_c, double wb_c) {
  return ((2501 - 2.326 * wb_c) * SaturationHumidity(wb_c) - 1.006 * (db_c - wb_c)) /
         (2501 + 1.86 * db_c - 4.186 * wb_c);
}

double Enthalpy(double t_c, double w) { return 1006 * t_c + w * (2501000 + 1860 * t_c); }

struct Cycle {
  double heat_w = 0;
  double power_w = 0;
};

Cycle Compressor(double te_c, double tc_c) {
  const double heat_w =
      kSizeW * 1.05 * std::exp(0.035 * (te_c - 8)) * (1 - 0.0105 * (tc_c - 40));
  const double lift = (tc_c - te_c - 32) / 32;
  const double efficiency = kBestEfficiency * (1 - 0.22 * lift * lift);
  return {heat_w, heat_w * (tc_c - te_c + 4) / (te_c + 273.15) / efficiency};
}

// The cycle that the water side lets run at an evaporating temperature.
Cycle AgainstWater(double te_c, double water_c, double sink_w_per_k) {
  double tc_c = water_c + 12;
  Cycle cycle;
  for (int i = 0; i < 30; ++i) {
    cycle = Compressor(te_c, tc_c);
    const double next = water_c + (cycle.heat_w + cycle.power_w) / sink_w_per_k;
    if (std::fabs(next - tc_c) < 1e-12) break;
    tc_c = next;
  }
  return cycle;
}

}  // namespace

CoolingFigures CoolingMachine(const CoolingConditions& at) {
  const double g = at.air_m3_per_s / kNominalAirM3PerS;
  const double w_in = HumidityOfWetBulb(kDryBulbC, at.wet_bulb_c);
  const double air_kg_per_s = kShare * at.air_m3_per_s * kPressurePa /
                              (287.042 * (kDryBulbC + 273.15) * (1 + 1.607858 * w_in));
  const double water_w_per_k = kShare * kWaterM3PerS * 1000 * 4186 *
                               (1 - 4.9e-6 * (at.water_c - 4) * (at.water_c - 4));
  const double sink_w_per_k = water_w_per_k * (1 - std::exp(-1.6));
  const double contact = 1 - std::exp(-kContact * std::pow(g, -0.35));
  // Of the coil's surface above the refrigerant. The machine's share of the size is that
  // of air and water.
  const double resistance_k_per_w = 4.2 / kSizeW;

  // What the compressor takes up less what the coil gives.
  const auto residual = [&](double te_c) {
    const double heat_w = AgainstWater(te_c, at.water_c, sink_w_per_k).heat_w;
    const double surface_c = te_c + resistance_k_per_w * heat_w;
    const double out_c = kDryBulbC - contact * (kDryBulbC - surface_c);
    const double w_out = w_in - contact * (w_in - SaturationHumidity(surface_c));
    return heat_w - air_kg_per_s * (Enthalpy(kDryBulbC, w_in) - Enthalpy(out_c, w_out));
  };
  double x0 = 6, x1 = 7, f0 = residual(x0), f1 = residual(x1);
  for (int i = 0; i < 60 && std::fabs(x1 - x0) >= 1e-11 && f1 != f0; ++i) {  // secants
    const double next = x1 - f1 * (x1 - x0) / (f1 - f0);
    x0 = x1;
    x1 = next;
    f0 = f1;
    f1 = residual(x1);
  }
  const Cycle cycle = AgainstWater(x1, at.water_c, sink_w_per_k);
  return {cycle.heat_w - kFanW * std::pow(g, 2.7), cycle.power_w};
}

}  // namespace ratebound::map
