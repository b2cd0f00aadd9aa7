// Maps of a line of many units, as a manufacturer would fit a whole catalogue: each unit
// one mode of one stage, 40 points over two conditions, capacity and power, each with a
// surface for tables and one for proofs. One thread against two, in turns; the best of
// each counts, since two threads need both cores to themselves for a while.
//
//   fit_units_bench [UNITS]       10,000 where not given
//
// Prints one JSON line. Its note says what one thread took, what a unit's points and map
// take of memory, what of that the fit added, and how busy the machine was: where others
// keep a core, two threads are no faster than one.
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/map/fit_line.h"
#include "tests/testing/random.h"

namespace {

using ratebound::document::LineManifest;
using ratebound::document::StageMap;
using ratebound::document::TestPoint;

constexpr int kWetBulbLevels = 5;
constexpr int kWaterLevels = 8;
constexpr double kNoiseFraction = 0.01;
constexpr int kTurns = 3;

struct Line {
  LineManifest manifest{.id = "line"};
  std::vector<TestPoint> points;
};

Line Draw(int units) {
  Line line;
  ratebound::testing::Random random("FIT_UNITS_BENCH");
  line.points.reserve(static_cast<size_t>(units) * kWetBulbLevels * kWaterLevels);
  for (int u = 0; u < units; ++u) {
    const std::string id = absl::StrCat("unit-", u);
    line.manifest.units.push_back(
        {.id = id,
         .modes = {{.id = "cooling",
                    .capacity_quantity = "total_capacity",
                    .power_quantity = "power_input",
                    .conditions = {"entering_air_wb", "entering_water_temp"},
                    .stages = {{.id = "full"}}}}});
    const double size = random.Uniform(0.5, 2);
    for (int i = 0; i < kWetBulbLevels; ++i) {
      for (int j = 0; j < kWaterLevels; ++j) {
        const double wb_c = 15 + 2 * i + random.Uniform(-0.05, 0.05);
        const double water_c = 10 + 4 * j + random.Uniform(-0.05, 0.05);
        const double capacity_w =
            size * (9000 + 250 * wb_c - 60 * water_c + 3 * wb_c * wb_c -
                    2 * wb_c * water_c - 0.5 * water_c * water_c);
        const double power_w = size * (1500 + 10 * wb_c + 35 * water_c);
        TestPoint& point =
            line.points.emplace_back(TestPoint{.id = absl::StrCat(id, "-", i, "-", j),
                                               .file = "points.csv",
                                               .line = 2,
                                               .unit = id,
                                               .mode = "cooling",
                                               .stage = "full"});
        point.values = {
            {"entering_air_wb", wb_c},
            {"entering_water_temp", water_c},
            {"power_input", power_w * (1 + kNoiseFraction * random.Normal())},
            {"total_capacity", capacity_w * (1 + kNoiseFraction * random.Normal())}};
      }
    }
  }
  return line;
}

double PeakKilobytes() {
  rusage usage;
  return getrusage(RUSAGE_SELF, &usage) == 0 ? static_cast<double>(usage.ru_maxrss) : 0;
}

// Seconds; below 0 where not every unit has its four surfaces.
double Spend(const Line& line, int threads) {
  const auto start = std::chrono::steady_clock::now();
  const absl::StatusOr<std::vector<StageMap>> maps =
      ratebound::map::FitLine(line.manifest, line.points, {.thread_count = threads});
  const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - start;
  if (!maps.ok() || maps->size() != line.manifest.units.size()) return -1;
  for (const StageMap& map : *maps) {
    if (map.surfaces.size() != 4) return -1;
  }
  return spent.count();
}

}  // namespace

int main(int argc, char** argv) {
  const int units = argc > 1 ? std::atoi(argv[1]) : 10'000;
  if (argc > 2 || units < 1) {
    std::fprintf(stderr, "usage: fit_units_bench [UNITS]\n");
    return 2;
  }
  const Line line = Draw(units);
  const double points_kb = PeakKilobytes();
  double one_s = Spend(line, 1);
  const double all_kb = PeakKilobytes();
  double two_s = Spend(line, 2);
  for (int turn = 1; turn < kTurns; ++turn) {
    one_s = std::min(one_s, Spend(line, 1));
    two_s = std::min(two_s, Spend(line, 2));
  }
  if (one_s < 0 || two_s < 0) {
    std::fprintf(stderr, "a unit has no map\n");
    return 1;
  }
  double load = 0;  // of the last minute, ours included
  getloadavg(&load, 1);
  absl::PrintF(
      R"({"name":"fit-units","unit":"units/s","ours":%.1f,"peer":%.1f,)"
      R"("wanted":1.7,"note":"%d units of 40 points: %.2f s by one thread, )"
      R"(%.2f s by two; at most %.1f kB a unit, %.1f of them by the fit; load average %.1f"})"
      "\n",
      units / two_s, units / one_s, units, one_s, two_s, all_kb / units,
      (all_kb - points_kb) / units, load);
  return 0;
}
