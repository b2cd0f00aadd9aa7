// Moist air at both ends of a coil: a million test points of dry and wet bulb before and
// behind it, barometric pressure and air flow, to total and sensible capacity; by
// columns. Besides, two points at a time, one, and what single calls cost.
//
//   psychrometrics_bench --data DIR     writes DIR/points.f64 where it is missing and
//                                       prints one JSON line; psychrometrics_peer.py DIR
//                                       reads the same file.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "engine/fluid/moist_air.h"
#include "engine/fluid/moist_air_columns.h"
#include "engine/fluid/moist_air_state.h"
#include "engine/number/pair.h"
#include "tests/testing/random.h"

namespace ratebound::fluid {
namespace {

constexpr int kPoints = 1'000'000;
constexpr int kColumns = 6;
constexpr int kRuns = 9;

std::vector<double> MakePoints() {
  testing::Random random("PSYCHROMETRICS_BENCH");
  std::vector<double> columns(static_cast<size_t>(kColumns) * kPoints);
  for (int i = 0; i < kPoints; ++i) {
    const double dry_bulb = random.Uniform(24, 32);
    const double wet_bulb = dry_bulb - random.Uniform(5, 9);
    const double leaving = wet_bulb - random.Uniform(5, 8);
    const double values[kColumns] = {dry_bulb,
                                     wet_bulb,
                                     leaving,
                                     leaving - random.Uniform(0.3, 1),
                                     random.Uniform(90e3, 104e3),
                                     random.Uniform(0.3, 2)};
    for (int j = 0; j < kColumns; ++j) {
      columns[static_cast<size_t>(j) * kPoints + i] = values[j];
    }
  }
  return columns;
}

struct Capacity {
  std::vector<double> total_w = std::vector<double>(kPoints);
  std::vector<double> sensible_w = std::vector<double>(kPoints);
};

// The air flow is measured behind the coil.
template <typename T>
void Capacities(const T& t1, const T& w1, const T& t2, const T& w2, const T& p,
                const T& flow, T* total, T* sensible) {
  const T mass_flow = flow / SpecificVolume<Si>(t2, w2, p);
  *total = mass_flow * (Enthalpy<Si>(t1, w1) - Enthalpy<Si>(t2, w2));
  *sensible = mass_flow * SpecificHeat<Si>(w2) * (t1 - t2);
}
template <typename T>
void Reduce(const T& t1, const T& b1, const T& t2, const T& b2, const T& p, const T& flow,
            T* total, T* sensible) {
  Capacities(t1, HumidityRatioFromWetBulb<Si>(t1, b1, p, Phase::kWater), t2,
             HumidityRatioFromWetBulb<Si>(t2, b2, p, Phase::kWater), p, flow, total,
             sensible);
}

void ReduceOneByOne(const std::vector<double>& columns, Capacity& out) {
  const double* x = columns.data();
  for (size_t i = 0; i < kPoints; ++i) {
    Reduce(x[i], x[kPoints + i], x[2 * kPoints + i], x[3 * kPoints + i],
           x[4 * kPoints + i], x[5 * kPoints + i], &out.total_w[i], &out.sensible_w[i]);
  }
}

void ReduceInPairs(const std::vector<double>& columns, Capacity& out) {
  using number::Pair;
  const double* x = columns.data();
  for (size_t i = 0; i < kPoints; i += 2) {
    const auto column = [&](size_t j) { return Pair::Load(x + j * kPoints + i); };
    Pair total, sensible;
    Reduce(column(0), column(1), column(2), column(3), column(4), column(5), &total,
           &sensible);
    total.Store(&out.total_w[i]);
    sensible.Store(&out.sensible_w[i]);
  }
}

// As one would over a log: humidity ratios by column, the rest in plain loops.
void ReduceByColumn(const std::vector<double>& columns, Capacity& out) {
  constexpr size_t kBlock = 512;
  double w1[kBlock], w2[kBlock];
  for (size_t begin = 0; begin < kPoints; begin += kBlock) {
    const size_t count = std::min(kBlock, kPoints - begin);
    const auto column = [&](size_t j) {
      return std::span<const double>(columns.data() + j * kPoints + begin, count);
    };
    const auto t1 = column(0), b1 = column(1), t2 = column(2), b2 = column(3);
    const auto p = column(4), flow = column(5);
    HumidityRatiosFromWetBulbs<Si>(t1, b1, p, Phase::kWater, {w1, count});
    HumidityRatiosFromWetBulbs<Si>(t2, b2, p, Phase::kWater, {w2, count});
    double* total = out.total_w.data() + begin;
    double* sensible = out.sensible_w.data() + begin;
    for (size_t i = 0; i < count; ++i) {
      Capacities(t1[i], w1[i], t2[i], w2[i], p[i], flow[i], total + i, sensible + i);
    }
  }
}

double BestNanoseconds(int calls, const std::function<void()>& run) {
  double best = 1e300;
  for (int i = 0; i < kRuns; ++i) {
    const auto start = std::chrono::steady_clock::now();
    run();
    const std::chrono::duration<double, std::nano> taken =
        std::chrono::steady_clock::now() - start;
    best = std::min(best, taken.count() / calls);
  }
  return best;
}

// What one call costs, over the points' entering air.
template <typename Call>
double PerCall(const Call& call) {
  constexpr int kCalls = 100'000;
  double sum = 0;
  const double nanoseconds = BestNanoseconds(kCalls, [&] {
    for (int i = 0; i < kCalls; ++i) sum += call(i);
  });
  return sum == sum ? nanoseconds : -1;
}

bool WritePoints(const std::string& path, const std::vector<double>& columns) {
  if (std::FILE* there = std::fopen(path.c_str(), "rb")) {
    std::fclose(there);
    return true;
  }
  std::FILE* file = std::fopen(path.c_str(), "wb");
  if (file == nullptr) return false;
  const size_t written =
      std::fwrite(columns.data(), sizeof(double), columns.size(), file);
  return std::fclose(file) == 0 && written == columns.size();
}

int Main(const std::string& folder) {
  const std::vector<double> columns = MakePoints();
  if (!WritePoints(folder + "/points.f64", columns)) {
    std::fprintf(stderr, "cannot write %s/points.f64\n", folder.c_str());
    return 1;
  }
  Capacity alone, pairs, by_column;
  const double alone_ns =
      BestNanoseconds(kPoints, [&] { ReduceOneByOne(columns, alone); });
  const double pairs_ns =
      BestNanoseconds(kPoints, [&] { ReduceInPairs(columns, pairs); });
  const double column_ns =
      BestNanoseconds(kPoints, [&] { ReduceByColumn(columns, by_column); });
  if (alone.total_w != by_column.total_w || alone.sensible_w != by_column.sensible_w) {
    std::fprintf(stderr, "columns have other bits than single points\n");
    return 1;
  }
  if (alone.total_w != pairs.total_w || alone.sensible_w != pairs.sensible_w) {
    std::fprintf(stderr, "pairs have other bits than single points\n");
    return 1;
  }
  double total = 0, sensible = 0;
  for (const double x : pairs.total_w) total += x;
  for (const double x : pairs.sensible_w) sensible += x;

  const double* t = columns.data();
  const double* b = t + kPoints;
  const double* p = t + 4 * size_t{kPoints};
  std::vector<double> w(100'000);
  for (size_t i = 0; i < w.size(); ++i) {
    w[i] = HumidityRatioFromWetBulb<Si>(t[i], b[i], p[i], Phase::kWater);
  }
  const double saturation_ns =
      PerCall([&](int i) { return SaturationPressure<Si>(b[i], Phase::kWater); });
  const double wet_bulb_ns =
      PerCall([&](int i) { return WetBulb<Si>(t[i], w[i], p[i], Phase::kWater); });
  const double dew_point_ns =
      PerCall([&](int i) { return DewPoint<Si>(w[i], p[i], Phase::kWater); });
  const auto state_ns = [&](MoistAirProperty first, const double* x,
                            MoistAirProperty second, const double* y) {
    return PerCall([&](int i) {
      return SolveMoistAir<Si>(p[i], {first, x[i]}, {second, y[i]})->enthalpy;
    });
  };
  using P = MoistAirProperty;
  std::vector<double> v(w.size());
  for (size_t i = 0; i < w.size(); ++i) v[i] = SpecificVolume<Si>(t[i], w[i], p[i]);
  std::printf(
      "{\"ns_per_point\":%.4g,\"ns_per_point_pairs\":%.4g,\"ns_per_point_alone\":%.4g,"
      "\"sum_total_w\":%.17g,"
      "\"sum_sensible_w\":%.17g,\"saturation_ns\":%.4g,\"wet_bulb_ns\":%.4g,"
      "\"dew_point_ns\":%.4g,\"state_dry_wet_ns\":%.4g,\"state_wet_volume_ns\":%.4g}\n",
      column_ns, pairs_ns, alone_ns, total, sensible, saturation_ns, wet_bulb_ns,
      dew_point_ns, state_ns(P::kDryBulb, t, P::kWetBulb, b),
      state_ns(P::kWetBulb, b, P::kSpecificVolume, v.data()));
  return 0;
}

}  // namespace
}  // namespace ratebound::fluid

int main(int argc, char** argv) {
  if (argc != 3 || std::strcmp(argv[1], "--data") != 0) {
    std::fprintf(stderr, "usage: psychrometrics_bench --data DIR\n");
    return 2;
  }
  return ratebound::fluid::Main(argv[2]);
}
