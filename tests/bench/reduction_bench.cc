// Full air-side reductions of a million test points: from dry and wet bulb of entering
// and leaving air, nozzle pressure difference and temperature, and barometer, to air
// flow, total, sensible and latent capacity and moisture removal; and the same with the
// combined standard uncertainty of each by JCGM 100. reduction_peer.py does the same with
// NumPy, with central differences for the uncertainty, and holds its results against
// ours.
//
//   reduction_bench --data DIR [--points N] [--repeat N]
//
// DIR receives readings.bin and results.bin: columns of doubles, one after the other.
// Prints one JSON line. One thread.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "engine/points/reduction/reduce.h"
#include "tests/testing/random.h"

namespace {

using namespace ratebound;
using points::ColumnOutputs;
using points::ReductionPlan;

constexpr const char* kReadings[] = {
    "entering_air_db",      "entering_air_wb", "leaving_air_db",     "leaving_air_wb",
    "nozzle_pressure_drop", "nozzle_air_db",   "barometric_pressure"};
constexpr double kLow[] = {24, 16, 10, 8.5, 250, 12, 95000};
constexpr double kHigh[] = {30, 21, 13, 10, 700, 16, 102000};
constexpr double kStandardUncertainty[] = {0.06, 0.06, 0.06, 0.06, 2.5, 0.1, 60};
constexpr const char* kResults[] = {"air_mass_flow", "total_capacity",
                                    "sensible_capacity", "latent_capacity",
                                    "moisture_removal"};

// ratings/procedures/methods/air-enthalpy-37-2009 and nozzle-flow-reynolds, without their
// sources.
document::MeasurementMethod Method(
    std::string id, document::MethodKind kind,
    std::vector<std::pair<const char*, document::CitedValue>> numbers,
    std::vector<std::pair<const char*, const char*>> rules) {
  document::MeasurementMethod method{.id = std::move(id), .kind = kind};
  for (auto& [name, value] : numbers) method.numbers.push_back({name, value});
  for (auto& [name, choice] : rules) method.rules.push_back({name, {choice, {}}});
  return method;
}

ReductionPlan MakePlan() {
  const std::vector<document::MeasurementMethod> methods = {
      Method("air", document::MethodKind::kAirEnthalpy,
             {{"dry_air_specific_heat", {0.24, "Btu/lb-degF"}},
              {"water_vapour_specific_heat", {0.444, "Btu/lb-degF"}},
              {"latent_heat", {1061, "Btu/lb"}},
              {"standard_air_density", {0.075, "lb/ft3"}},
              {"power_heat", {3.41, "Btu/Wh"}}},
             {{"unit_system", "inch_pound"},
              {"sensible_specific_heat", "own_humidity"},
              {"heating_specific_heat", "leaving_humidity"},
              {"standard_air", "mixture"}}),
      Method("nozzle", document::MethodKind::kNozzleAirFlow,
             {{"flow_constant", {1097}},
              {"throat_velocity_low", {3000, "ft/min"}},
              {"throat_velocity_high", {7000, "ft/min"}},
              {"coefficient_constant", {0.9986}},
              {"coefficient_root_term", {7.006}},
              {"coefficient_inverse_term", {134.6}},
              {"viscosity_at_zero", {11.0e-6}},
              {"viscosity_slope", {0.018e-6}}},
             {{"unit_system", "inch_pound"},
              {"inch_of_water", "in_wg_60f"},
              {"nozzle_coefficient", "reynolds"}})};
  document::AirSide air{.method = "air",
                        .flow = document::AirFlowSource::kNozzles,
                        .nozzle_method = "nozzle",
                        .nozzles = {{.diameter = 5, .unit = "in", .diameter_m = 0.127}}};
  auto plan = ReductionPlan::Create({.id = "cooling",
                                     .kind = document::ModeKind::kCooling,
                                     .reduction = document::Reduction{.air_side = air}},
                                    methods);
  if (!plan.ok()) {
    std::fprintf(stderr, "%s\n", plan.status().ToString().c_str());
    std::exit(3);
  }
  return *std::move(plan);
}

double Median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

bool Write(const std::string& path, const std::vector<std::vector<double>>& columns) {
  std::FILE* file = std::fopen(path.c_str(), "wb");
  if (file == nullptr) return false;
  bool written = true;
  for (const auto& column : columns) {
    written = written && std::fwrite(column.data(), sizeof(double), column.size(),
                                     file) == column.size();
  }
  return std::fclose(file) == 0 && written;
}

}  // namespace

int main(int argc, char** argv) {
  std::string folder;
  size_t points = 1'000'000;
  int repeat = 7;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--data") == 0) folder = argv[i + 1];
    if (std::strcmp(argv[i], "--points") == 0)
      points = std::strtoull(argv[i + 1], nullptr, 10);
    if (std::strcmp(argv[i], "--repeat") == 0)
      repeat = std::max(1, std::atoi(argv[i + 1]));
  }
  if (folder.empty() || points == 0) {
    std::fprintf(stderr, "usage: reduction_bench --data DIR [--points N] [--repeat N]\n");
    return 2;
  }
  const ReductionPlan plan = MakePlan();
  testing::Random random("REDUCTION_BENCH");
  std::vector<std::vector<double>> columns(std::size(kReadings));
  std::vector<std::span<const double>> inputs(plan.inputs().size());
  std::vector<double> uncertainties(plan.inputs().size(), 0.0);
  for (size_t c = 0; c < columns.size(); ++c) {
    columns[c].resize(points);
    for (double& x : columns[c]) x = random.Uniform(kLow[c], kHigh[c]);
    const auto input = static_cast<size_t>(plan.InputIndex(kReadings[c]));
    inputs[input] = columns[c];
    uncertainties[input] = kStandardUncertainty[c];
  }
  std::vector<std::vector<double>> results(2 * std::size(kResults),
                                           std::vector<double>(points));
  ColumnOutputs values{.values = std::vector<std::span<double>>(plan.outputs().size())};
  ColumnOutputs both = values;
  both.standard_uncertainties.resize(plan.outputs().size());
  for (size_t r = 0; r < std::size(kResults); ++r) {
    const auto output = static_cast<size_t>(plan.OutputIndex(kResults[r]));
    values.values[output] = both.values[output] = results[r];
    both.standard_uncertainties[output] = results[std::size(kResults) + r];
  }
  const auto nanoseconds = [&](const ColumnOutputs& out) {
    const auto start = std::chrono::steady_clock::now();
    const auto refused = points::ReduceColumns(plan, inputs, uncertainties, out);
    const std::chrono::duration<double> seconds =
        std::chrono::steady_clock::now() - start;
    if (!refused.ok() || *refused != 0) {
      std::fprintf(stderr, "points were refused\n");
      std::exit(3);
    }
    return seconds.count() * 1e9 / static_cast<double>(points);
  };
  std::vector<double> plain, uncertain;
  for (int round = 0; round <= repeat; ++round) {
    const double a = nanoseconds(values);
    const double b = nanoseconds(both);
    if (round == 0) continue;  // memory touched for the first time
    plain.push_back(a);
    uncertain.push_back(b);
  }
  if (!Write(folder + "/readings.bin", columns) ||
      !Write(folder + "/results.bin", results)) {
    std::fprintf(stderr, "cannot write below %s\n", folder.c_str());
    return 3;
  }
  std::printf(
      "{\"name\":\"reduce-air\",\"unit\":\"ns/point\",\"ours\":%.2f,"
      "\"ours_uncertainty\":%.2f}\n",
      Median(plain), Median(uncertain));
  return 0;
}
