// What a compiled metric costs against the bare map evaluations that it needs: capacity
// and power of every stage at every point of the procedure, each a call of the map's
// surface. Both in turns in one run, the best of each; a ratio above 3 fails.
//
//   metric_bench [TURNS]       15 where not given
//
// Besides, what a Monte Carlo of n draws costs against n metrics, and how two threads do
// against one. Prints two JSON lines for each case. Where stages run at the conditions of
// their own load, the evaluations that finding that load takes are needed, too: the bar
// is then counted in the calls that the metric makes of its source.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "engine/map/fit_line.h"
#include "engine/map/model_surface.h"
#include "engine/map/stage_model.h"
#include "engine/quantity/unit.h"
#include "engine/rating/map_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/uncertainty.h"
#include "engine/rating/varied_source.h"
#include "ratings/procedures.h"
#include "tests/testing/random.h"

namespace {

using ratebound::document::Procedure;
using ratebound::map::ModelSurface;
using ratebound::map::StageModel;
using ratebound::rating::FigureFooting;
using ratebound::rating::FigureSource;
using ratebound::rating::MapFigureSource;
using ratebound::rating::Metric;
using ratebound::rating::SourceDescription;
using ratebound::rating::Variation;

constexpr double kMostRatio = 3;
constexpr int kRepeats = 20000;
constexpr int kDays = 13;
constexpr int kDraws = 20000;
constexpr double kMostDrawRatio = 1.3;
constexpr double kLeastThreadRatio = 1.8;

struct Case {
  const char* procedure;
  const char* equipment_class;
  std::vector<std::string> conditions;  // the last one is the outdoor or condenser side
  std::vector<double> low_c;
  std::vector<double> high_c;
  std::vector<double> shares;  // capacity of the stages, as parts of the largest
  double full_load_w;
  double lift_slope;  // capacity lost for each degree of the last condition
};

double Seconds() {
  return std::chrono::duration<double>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

Procedure Find(const std::string& id) {
  for (const auto& file : ratebound::ratings::EmbeddedProcedures()) {
    auto procedure = ratebound::document::ParseProcedure(file.path, file.bytes);
    if (procedure.ok() && procedure->id == id) return *procedure;
  }
  std::fprintf(stderr, "no procedure %s\n", id.c_str());
  std::exit(3);
}

ratebound::document::LineManifest ManifestOf(const Case& of) {
  ratebound::document::Unit unit{
      .id = "unit",
      .equipment_class = of.equipment_class,
      .phase_count = 3,
      .nominal_capacity = {"total_capacity", of.full_load_w, "W", of.full_load_w}};
  ratebound::document::Mode mode{.id = "cooling",
                                 .capacity_quantity = "total_capacity",
                                 .power_quantity = "power_input",
                                 .conditions = of.conditions};
  for (size_t i = 0; i < of.shares.size(); ++i) {
    mode.stages.push_back({.id = absl::StrCat("s", i + 1)});
  }
  unit.modes = {mode};
  unit.procedure_inputs = {{of.procedure, "indoor_fan_power", 1000, "W"},
                           {of.procedure, "control_power", 100, "W"},
                           {of.procedure, "indoor_fan_cycling_part", 0, ""}};
  return {.id = "line", .units = {unit}};
}

// Points of a grid with a scatter of 0.2 %.
std::vector<ratebound::document::TestPoint> PointsOf(const Case& of) {
  ratebound::testing::Random random("METRIC_BENCH");
  std::vector<ratebound::document::TestPoint> points;
  constexpr int kLevels = 4;
  int count = 1;
  for (size_t j = 0; j < of.conditions.size(); ++j) count *= kLevels;
  for (size_t stage = 0; stage < of.shares.size(); ++stage) {
    for (int i = 0; i < count; ++i) {
      ratebound::document::TestPoint point{.id = absl::StrCat("p", points.size()),
                                           .unit = "unit",
                                           .mode = "cooling",
                                           .stage = absl::StrCat("s", stage + 1),
                                           .block = absl::StrCat("day", i % kDays)};
      int rest = i;
      double last_c = 0;
      for (size_t j = 0; j < of.conditions.size(); ++j) {
        last_c =
            of.low_c[j] + (of.high_c[j] - of.low_c[j]) * (rest % kLevels) / (kLevels - 1);
        point.values.push_back({of.conditions[j], last_c});
        rest /= kLevels;
      }
      const double warm_k = last_c - of.high_c.back();
      const double capacity_w = of.full_load_w * of.shares[stage] *
                                (1 - of.lift_slope * warm_k) *
                                random.Uniform(0.998, 1.002);
      point.values.push_back({"total_capacity", capacity_w});
      point.values.push_back({"power_input", capacity_w / (3.5 - 0.08 * warm_k) *
                                                 random.Uniform(0.998, 1.002)});
      std::sort(point.values.begin(), point.values.end(),
                [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
      points.push_back(std::move(point));
    }
  }
  return points;
}

// Counts what a metric asks of a source.
class Counted : public FigureSource {
 public:
  explicit Counted(const FigureSource& source) : source_(source) {}
  const SourceDescription& description() const override { return source_.description(); }
  bool Figures(int stage, std::span<const double> conditions_si,
               std::span<double> figures_si) const override {
    ++calls;
    return source_.Figures(stage, conditions_si, figures_si);
  }
  absl::Status WhyNone(int stage, std::span<const double> at) const override {
    return source_.WhyNone(stage, at);
  }
  FigureFooting Footing(int stage, std::span<const double> at) const override {
    return source_.Footing(stage, at);
  }
  mutable int calls = 0;

 private:
  const FigureSource& source_;
};

// A Monte Carlo of so many draws against as many metrics, and two threads against one, in
// turns; the best of each.
int RunDraws(const Case& of, const Metric& metric, const MapFigureSource& source,
             const Variation& variation, double metric_s, int turns) {
  double best_s[2] = {1e300, 1e300};
  std::vector<double> ratios;
  for (int turn = 0; turn < turns; ++turn) {
    double turn_s[2];
    for (int threads = 1; threads <= 2; ++threads) {
      const double start_s = Seconds();
      const auto sure = ratebound::rating::MonteCarloUncertainty(
          metric, source, variation,
          {.draws = kDraws, .seed = 1, .thread_count = threads});
      turn_s[threads - 1] = Seconds() - start_s;
      if (!sure.ok()) {
        std::fprintf(stderr, "%s\n", sure.status().ToString().c_str());
        return 3;
      }
      best_s[threads - 1] = std::min(best_s[threads - 1], turn_s[threads - 1]);
    }
    ratios.push_back(turn_s[0] / turn_s[1]);
  }
  std::nth_element(ratios.begin(), ratios.begin() + ratios.size() / 2, ratios.end());
  const double threads_ratio = ratios[ratios.size() / 2];
  const double ratio = best_s[0] / kDraws / metric_s;
  std::printf(
      "{\"bench\":\"draws\",\"case\":\"%s\",\"days\":%zu,\"draw_ns\":%.1f,"
      "\"metric_ns\":%.1f,\"ratio\":%.3f,\"most\":%.1f,\"two_threads\":%.2f,"
      "\"least_two_threads\":%.1f}\n",
      of.procedure, variation.days().size(), 1e9 * best_s[0] / kDraws, 1e9 * metric_s,
      ratio, kMostDrawRatio, threads_ratio, kLeastThreadRatio);
  return ratio <= kMostDrawRatio ? 0 : 1;
}

int RunCase(const Case& of, int turns) {
  const Procedure procedure = Find(of.procedure);
  const auto manifest = ManifestOf(of);
  const auto test_points = PointsOf(of);
  const auto maps = ratebound::map::FitLine(manifest, test_points);
  if (!maps.ok()) {
    std::fprintf(stderr, "%s\n", maps.status().ToString().c_str());
    return 3;
  }
  std::vector<StageModel> models;
  std::vector<ModelSurface> surfaces;
  for (const auto& stage : *maps) {
    models.push_back(StageModel::Create(stage).value());
    for (const auto& surface : stage.surfaces) {
      if (surface.purpose != ratebound::document::SurfacePurpose::kTable) continue;
      surfaces.push_back(ModelSurface::Create(surface, stage.conditions).value());
    }
  }
  const auto source =
      MapFigureSource::Create(manifest.units[0], models, procedure.mode_kind,
                              ratebound::rating::QuantitiesOf(procedure));
  if (!source.ok()) {
    std::fprintf(stderr, "%s\n", source.status().ToString().c_str());
    return 3;
  }
  const auto metric = Metric::Compile(procedure, source->description());
  if (!metric.ok()) {
    std::fprintf(stderr, "%s\n", metric.status().ToString().c_str());
    return 3;
  }
  const Counted counted(*source);
  const double value = metric->Value(counted);
  if (!(value > 0)) {
    std::fprintf(stderr, "%s: %s\n", of.procedure,
                 metric->Explain(*source)->refusal.c_str());
    return 3;
  }
  // The bar: each call of the source is capacity and power of one stage. Conditions are
  // within the tested ranges; which ones they are does not change the cost.
  const int points = static_cast<int>(of.shares.size() * procedure.load_points.size());
  const bool at_own_load = procedure.part_load->bracket_condition ==
                           ratebound::document::BracketCondition::kOwnLoad;
  const int bare = at_own_load ? counted.calls : points;
  std::vector<double> at_c;
  for (size_t j = 0; j < of.low_c.size(); ++j) {
    at_c.push_back((of.low_c[j] + of.high_c[j]) / 2);
  }
  volatile double sink = 0;
  double best_metric_s = 1e300;
  double best_bare_s = 1e300;
  for (int turn = 0; turn < turns; ++turn) {
    double start_s = Seconds();
    for (int i = 0; i < kRepeats; ++i) sink = metric->Value(*source);
    best_metric_s = std::min(best_metric_s, Seconds() - start_s);
    start_s = Seconds();
    for (int i = 0; i < kRepeats; ++i) {
      double sum = 0;
      for (int call = 0; call < bare; ++call) {
        const size_t stage = static_cast<size_t>(call) % of.shares.size();
        sum += surfaces[2 * stage].At(at_c) + surfaces[2 * stage + 1].At(at_c);
      }
      sink = sum;
    }
    best_bare_s = std::min(best_bare_s, Seconds() - start_s);
  }
  (void)sink;
  const double ratio = best_metric_s / best_bare_s;
  std::printf(
      "{\"bench\":\"metric\",\"case\":\"%s\",\"stages\":%zu,\"conditions\":%zu,"
      "\"metric_ns\":%.1f,\"bare_ns\":%.1f,\"calls\":%d,\"stages_times_points\":%d,"
      "\"ratio\":%.3f,\"ratio_to_stages_times_points\":%.3f,\"most\":%.0f,\"ok\":%s}\n",
      of.procedure, of.shares.size(), of.conditions.size(),
      1e9 * best_metric_s / kRepeats, 1e9 * best_bare_s / kRepeats, counted.calls, points,
      ratio, ratio * bare / points, kMostRatio, ratio <= kMostRatio ? "true" : "false");
  const auto variation = Variation::Create(*source, manifest, test_points);
  if (!variation.ok()) {
    std::fprintf(stderr, "%s\n", variation.status().ToString().c_str());
    return 3;
  }
  const int drawn =
      RunDraws(of, *metric, *source, *variation, best_metric_s / kRepeats, turns);
  return std::max(drawn, ratio <= kMostRatio ? 0 : 1);
}

}  // namespace

int main(int argc, char** argv) {
  const int turns = argc > 1 ? std::atoi(argv[1]) : 15;
  const std::vector<Case> cases = {
      // Interpolated and cycling points at the target's conditions.
      {"ieer-air-cooled",
       "unitary_air_cooled",
       {"entering_air_db", "entering_air_wb", "outdoor_air_db"},
       {22, 16, 15},
       {31, 22, 38},
       {0.55, 1.0},
       100e3,
       0.006},
      // Four stages, brackets at the conditions of their own loads.
      {"iplv-ip-air-cooled",
       "chiller_air_cooled",
       {"leaving_chilled_water_temp", "outdoor_air_db"},
       {4, 10},
       {10, 38},
       {0.25, 0.5, 0.75, 1.0},
       400e3,
       0.006},
      // The same with three stages.
      {"iplv-ip-water-cooled",
       "chiller_water_cooled",
       {"leaving_chilled_water_temp", "entering_condenser_water_temp"},
       {4, 15},
       {10, 32},
       {0.3, 0.6, 1.0},
       1000e3,
       0.004},
  };
  int worst = 0;
  for (const Case& of : cases) worst = std::max(worst, RunCase(of, turns));
  return worst;
}
