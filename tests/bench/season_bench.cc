// A season of bins for one unit after another: SEER2 of a variable-speed unit.
//
//   season_bench --data DIR [--units N] [--repeat N]
//
// Prints two JSON lines:
//   season-seer2   nanoseconds a unit whose tests are known, for season_peer.py, which
//   computes
//                  the same vectorised over the bins; DIR/units.bin and DIR/results.bin
//                  hold what goes in and what came out;
//   season-maps    the same from performance maps, against the bare evaluations of the
//   maps
//                  that it needs; "ratio" is how many times those it costs.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_line.h"
#include "engine/map/stage_model.h"
#include "engine/rating/map_figure_source.h"
#include "engine/rating/metric.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/random.h"

namespace ratebound {
namespace {

using rating::FigureSource;
using rating::Metric;

double Seconds(auto&& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double Median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

struct TestAt {
  int stage = 0;
  double temperature_f = 0;
};
// A2, B2, B1, F1, EV.
constexpr TestAt kTests[] = {{2, 95}, {2, 82}, {0, 82}, {0, 67}, {1, 87}};
constexpr size_t kTestCount = std::size(kTests);

double Celsius(double fahrenheit) { return (fahrenheit - 32) / 1.8; }

// The tests of one unit: capacity in W, then power in W, of each.
class TestedSource : public FigureSource {
 public:
  explicit TestedSource(rating::SourceDescription description)
      : description_(std::move(description)) {}
  void Set(const double* figures) { figures_ = figures; }

  const rating::SourceDescription& description() const override { return description_; }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override {
    for (size_t i = 0; i < kTestCount; ++i) {
      const double off = Celsius(kTests[i].temperature_f) - conditions_si[0];
      if (kTests[i].stage != stage || off > 1e-6 || off < -1e-6) continue;
      figures_si[0] = figures_[2 * i];
      figures_si[1] = figures_[2 * i + 1];
      return true;
    }
    return false;
  }
  absl::Status WhyNone(int, std::span<const double>) const override {
    return absl::NotFoundError("no such test");
  }
  rating::FigureFooting Footing(int, std::span<const double>) const override {
    return {};
  }

 private:
  rating::SourceDescription description_;
  const double* figures_ = nullptr;
};

double CapacityW(int stage, double outdoor_c) {
  return (0.4 + 0.3 * stage) * (14000 - 80 * outdoor_c - 0.4 * outdoor_c * outdoor_c);
}
double PowerW(int stage, double outdoor_c) {
  return (0.3 + 0.35 * stage) * (1200 + 40 * outdoor_c + 0.3 * outdoor_c * outdoor_c);
}

bool Write(const std::string& path, const std::vector<double>& values) {
  std::ofstream file(path, std::ios::binary);
  file.write(reinterpret_cast<const char*>(values.data()),
             static_cast<std::streamsize>(values.size() * sizeof(double)));
  return file.good();
}

// A unit fitted over outdoor temperatures from -14 to 46 degC.
std::vector<map::StageModel> Models(const rating::SourceDescription& machine) {
  document::LineManifest line{.id = "line", .units = {machine.unit}};
  line.units[0].modes = {machine.mode};
  std::vector<document::TestPoint> points;
  for (int stage = 0; stage < machine.stage_count(); ++stage) {
    const int rank = stage + 3 - machine.stage_count();
    for (double outdoor_c = -14; outdoor_c <= 46; outdoor_c += 4) {
      document::TestPoint point{.id = absl::StrCat("p", points.size()),
                                .unit = machine.unit.id,
                                .mode = machine.mode.id,
                                .stage = machine.mode.stages[stage].id};
      point.values = {{"outdoor_air_db", outdoor_c},
                      {"power_input", PowerW(rank, outdoor_c)},
                      {machine.mode.capacity_quantity, CapacityW(rank, outdoor_c)}};
      points.push_back(point);
    }
  }
  std::vector<map::StageModel> models;
  const auto maps = map::FitLine(line, points);
  if (!maps.ok()) return models;
  for (const document::StageMap& map : *maps) {
    models.push_back(map::StageModel::Create(map).value());
  }
  return models;
}

struct MapsCase {
  const char* name;
  document::Procedure procedure;
  int stages = 1;
  std::vector<document::ProcedureInput> inputs;
  // What it needs of the maps.
  std::vector<std::pair<int, double>> stages_at_c;
};

std::vector<MapsCase> MapsCases() {
  std::vector<std::pair<int, double>> seer2;
  for (const TestAt& test : kTests) {
    seer2.push_back({test.stage, Celsius(test.temperature_f)});
  }
  return {
      {"season-maps-seer2", rating::UsCoolingVariable(), 3, {}, seer2},
      {"season-maps-hspf2",
       rating::UsHeatingSingle(),
       1,
       {{.input = "cooling_capacity_at_95", .value = 12000, .unit = "W"},
        {.input = "h2_was_tested", .value = 1}},
       {{0, Celsius(47)}, {0, Celsius(17)}, {0, Celsius(35)}}},
      {"season-maps-scop",
       rating::EuHeating(document::SeasonFigureKind::kAnnual),
       1,
       {{.input = "design_load", .value = 12, .unit = "kW"},
        {.input = "operation_limit_temperature", .value = -10, .unit = "degC"},
        {.input = "bivalent_temperature", .value = -6, .unit = "degC"}},
       {{0, -7}, {0, 2}, {0, 7}, {0, 12}, {0, -10}, {0, -6}}},
      {"season-maps-sepr", rating::Sepr(), 1, {}, {{0, 35}, {0, 25}, {0, 15}, {0, 5}}},
      {"season-maps-sepr-three-stages",
       rating::Sepr(),
       3,
       {},
       {{0, 35},
        {1, 35},
        {2, 35},
        {0, 25},
        {1, 25},
        {2, 25},
        {0, 15},
        {1, 15},
        {2, 15},
        {0, 5},
        {1, 5},
        {2, 5}}}};
}

// Metrics from maps against what they need of the maps.
bool RateMaps(MapsCase of, size_t units, int repeat) {
  const rating::SourceDescription machine =
      rating::Machine(of.procedure, of.stages, of.inputs);
  const std::vector<map::StageModel> models = Models(machine);
  document::Unit unit = machine.unit;
  unit.modes = {machine.mode};
  const auto source = rating::MapFigureSource::Create(
      unit, models, of.procedure.mode_kind, rating::QuantitiesOf(of.procedure));
  const absl::StatusOr<Metric> metric =
      source.ok() ? Metric::Compile(of.procedure, source->description())
                  : absl::StatusOr<Metric>(source.status());
  if (!metric.ok()) {
    std::fprintf(stderr, "%s: %s\n", of.name, metric.status().ToString().c_str());
    return false;
  }
  double sum = 0;
  std::vector<double> ratios, rated_ns, bare_ns;
  for (int round = 0; round <= repeat; ++round) {
    const double rated = Seconds([&] {
      for (size_t i = 0; i < units; ++i) sum += metric->Value(*source);
    });
    const double bare = Seconds([&] {
      double figures_si[2] = {};
      for (size_t i = 0; i < units; ++i) {
        for (const auto& [stage, outdoor_c] : of.stages_at_c) {
          source->Figures(stage, {&outdoor_c, 1}, figures_si);
          sum += figures_si[0] + figures_si[1];
        }
      }
    });
    if (round == 0) continue;  // memory touched for the first time
    ratios.push_back(rated / bare);
    rated_ns.push_back(rated * 1e9 / static_cast<double>(units));
    bare_ns.push_back(bare * 1e9 / static_cast<double>(units));
  }
  if (!(sum > 0)) {
    std::fprintf(stderr, "%s: no figures\n", of.name);
    return false;
  }
  std::printf(
      "{\"name\":\"%s\",\"ours\":%.1f,\"bare\":%.1f,\"ratio\":%.2f,"
      "\"unit\":\"ns\"}\n",
      of.name, Median(rated_ns), Median(bare_ns), Median(ratios));
  return true;
}

int Run(const std::string& folder, size_t units, int repeat) {
  const document::Procedure procedure = rating::UsCoolingVariable();
  const rating::SourceDescription machine = rating::Machine(procedure, 3);
  const absl::StatusOr<Metric> metric = Metric::Compile(procedure, machine);
  if (!metric.ok()) {
    std::fprintf(stderr, "%s\n", metric.status().ToString().c_str());
    return 3;
  }
  testing::Random random("SEASON_BENCH");
  std::vector<double> figures;
  for (size_t unit = 0; unit < units; ++unit) {
    for (const TestAt& test : kTests) {
      const double outdoor_c = Celsius(test.temperature_f);
      figures.push_back(CapacityW(test.stage, outdoor_c) * random.Uniform(0.97, 1.03));
      figures.push_back(PowerW(test.stage, outdoor_c) * random.Uniform(0.97, 1.03));
    }
  }
  TestedSource tested(machine);
  std::vector<double> results(units);
  const auto rate_tested = [&] {
    for (size_t unit = 0; unit < units; ++unit) {
      tested.Set(&figures[2 * kTestCount * unit]);
      results[unit] = metric->Value(tested);
    }
  };

  std::vector<double> tested_ns;
  for (int round = 0; round <= repeat; ++round) {
    const double ns = Seconds(rate_tested) * 1e9 / static_cast<double>(units);
    if (round > 0) tested_ns.push_back(ns);
  }
  if (!Write(folder + "/units.bin", figures) ||
      !Write(folder + "/results.bin", results)) {
    std::fprintf(stderr, "cannot write below %s\n", folder.c_str());
    return 3;
  }
  std::printf("{\"name\":\"season-seer2\",\"units\":%zu,\"ours\":%.1f,\"unit\":\"ns\"}\n",
              units, Median(tested_ns));
  for (MapsCase& of : MapsCases()) {
    if (!RateMaps(std::move(of), units, repeat)) return 3;
  }
  return 0;
}

}  // namespace
}  // namespace ratebound

int main(int argc, char** argv) {
  std::string folder;
  size_t units = 500;  // a round ends within a turn of the scheduler
  int repeat = 501;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--data") == 0) folder = argv[i + 1];
    if (std::strcmp(argv[i], "--units") == 0)
      units = std::strtoull(argv[i + 1], nullptr, 10);
    if (std::strcmp(argv[i], "--repeat") == 0)
      repeat = std::max(1, std::atoi(argv[i + 1]));
  }
  if (folder.empty() || units == 0) {
    std::fprintf(stderr, "usage: season_bench --data DIR [--units N] [--repeat N]\n");
    return 2;
  }
  return ratebound::Run(folder, units, repeat);
}
