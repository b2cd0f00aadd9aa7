#include "engine/map/fit_line.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <iterator>
#include <thread>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fit/least_squares.h"
#include "engine/map/combination.h"
#include "engine/map/fit_response.h"
#include "engine/map/model_stages.h"
#include "engine/map/model_weights.h"
#include "engine/map/shape.h"
#include "engine/map/systematic.h"
#include "engine/points/stage_points.h"

namespace ratebound::map {
namespace {

using document::StageMap;
using document::Surface;
using document::SurfacePurpose;
using document::TestPoint;

constexpr int kMostThreads = 256;

// What the fit of one response came to.
struct ResponseFit {
  absl::Status status;  // of what is no refusal
  std::vector<Surface> surfaces;
  std::vector<std::string> refusals;
};

std::vector<std::string> PointIds(const points::StagePoints& group) {
  std::vector<std::string> ids;
  for (const TestPoint* point : group.points) ids.push_back(point->id);
  return ids;
}

// Capacity, power, then the others, each once.
std::vector<std::string> Responses(const document::Mode& mode) {
  std::vector<std::string> responses = {mode.capacity_quantity, mode.power_quantity};
  for (const std::string& response : mode.other_responses) {
    if (std::find(responses.begin(), responses.end(), response) == responses.end()) {
      responses.push_back(response);
    }
  }
  return responses;
}

// Adds a fitted surface, or the sentence why there is none.
void Take(absl::StatusOr<FittedSurface> fitted, const std::string& what,
          ResponseFit& result) {
  if (!fitted.ok()) {
    if (fitted.status().code() != absl::StatusCode::kFailedPrecondition) {
      result.status = fitted.status();
      return;
    }
    result.refusals.push_back(absl::StrCat("no ", what, ": ", fitted.status().message()));
    return;
  }
  if (!fitted->no_covariance.empty()) {
    result.refusals.push_back(
        absl::StrCat("no uncertainty of the ", what, ": ", fitted->no_covariance));
  }
  result.surfaces.push_back(std::move(fitted->surface));
}

ResponseFit FitOne(std::span<const points::StagePoints> groups, size_t g,
                   const std::string& response, bool diagnose) {
  const points::StagePoints& group = groups[g];
  ResponseFit result;
  std::vector<double> values;
  std::vector<std::string> missing;
  for (const TestPoint* point : group.points) {
    const std::optional<double> value = point->Find(response);
    if (value) {
      values.push_back(*value);
    } else {
      missing.push_back(point->id);
    }
  }
  if (!missing.empty()) {
    // Fitted over fewer points, the tested region would claim more than was tested.
    result.refusals.push_back(absl::StrCat("no surface of ", response,
                                           ": not measured at ", missing.size(), " of ",
                                           group.points.size(), " points (", missing[0],
                                           missing.size() > 1 ? ", ...)" : ")"));
    return result;
  }
  const std::vector<std::string> ids = PointIds(group);
  const std::vector<double> standard_si =
      CountingStandard(group.columns, values, RandomStandardOf(group.points, response));
  const ResponseProblem problem{.quantity = response,
                                .values = values,
                                .conditions = group.mode->conditions,
                                .columns = group.columns,
                                .point_ids = ids,
                                .blocks = group.blocks,
                                .block_names = group.block_names,
                                .standard_si = standard_si};
  const document::Mode& mode = *group.mode;
  ModelOptions options{.request = mode.model ? &*mode.model : nullptr,
                       .is_power = response == mode.power_quantity,
                       .heating = mode.kind == document::ModeKind::kHeating,
                       .diagnose = diagnose};
  std::optional<JointPoints> joint;
  if (options.request != nullptr) {
    joint = JoinStages(groups, g, response);
    if (joint) options.joint = &*joint;
  }
  const bool main = options.is_power || response == mode.capacity_quantity;
  options.robust = diagnose && main;
  auto best = FitBestResponse(problem, options);
  options.robust = false;
  std::optional<int> proof_degree = mode.declared_proof_degree;
  if (best.ok() && !proof_degree) {
    proof_degree = std::min(best->highest_degree + 1, kGreatestDegree);
  }
  Take(std::move(best), absl::StrCat("surface of ", response, " for tables"), result);
  if (proof_degree) {
    Take(FitResponse(problem, *proof_degree, SurfacePurpose::kProof, options),
         absl::StrCat("surface of ", response, " for proofs"), result);
  }
  return result;
}

StageMap EmptyMap(const points::StagePoints& group) {
  StageMap map;
  map.unit = group.unit->id;
  map.mode = group.mode->id;
  map.stage = group.stage;
  map.regime = group.regime;
  map.conditions = group.mode->conditions;
  for (const std::vector<double>& column : group.columns) {
    map.tested_low_si.push_back(*std::min_element(column.begin(), column.end()));
    map.tested_high_si.push_back(*std::max_element(column.begin(), column.end()));
  }
  for (size_t i = 0; i < group.points.size(); ++i) {
    for (const std::vector<double>& column : group.columns) {
      map.point_conditions_si.push_back(column[i]);
    }
  }
  map.point_ids = PointIds(group);
  for (const document::HeldCondition& held : group.mode->held_conditions) {
    map.held_conditions.push_back(held.quantity);
    map.held_values_si.push_back(held.value_si);
    map.held_tolerances_si.push_back(held.tolerance_si);
  }
  map.nearest_point_fraction = group.mode->nearest_point_fraction;
  map.capacity_quantity = group.mode->capacity_quantity;
  map.power_quantity = group.mode->power_quantity;
  map.heating = group.mode->kind == document::ModeKind::kHeating;
  if (!group.incomplete_point_ids.empty()) {
    map.refusals.push_back(absl::StrCat(
        group.incomplete_point_ids.size(), " accepted point(s) left out, without ",
        map.capacity_quantity, " or ", map.power_quantity, ": ",
        absl::StrJoin(group.incomplete_point_ids, ", ")));
  }
  return map;
}

// Runs work(0) ... work(count - 1), each once, on several threads; false when stopped.
bool RunAll(size_t count, const FitOptions& options,
            const std::function<void(size_t)>& work) {
  std::atomic<size_t> next{0};
  std::atomic<bool> stopped{false};
  const auto run = [&] {
    for (size_t i; !stopped && (i = next++) < count;) {
      if (options.stop && options.stop()) {
        stopped = true;
        return;
      }
      work(i);
    }
  };
  const auto most = static_cast<int>(std::min<size_t>(count, kMostThreads));
  std::vector<std::thread> threads;
  for (int t = 1; t < std::min(options.thread_count, most); ++t)
    threads.emplace_back(run);
  run();
  for (std::thread& thread : threads) thread.join();
  return !stopped;
}

}  // namespace

absl::StatusOr<std::vector<StageMap>> FitLine(const document::LineManifest& manifest,
                                              std::span<const TestPoint> test_points,
                                              const FitOptions& options) {
  ASSIGN_OR_RETURN(const std::vector<points::StagePoints> groups,
                   points::GroupPoints(manifest, test_points, options.only_unit));
  base::FaultList faults;
  for (const points::StagePoints& group : groups) {
    faults.AddStatus(points::CheckPooling(group));
  }
  if (!faults.empty()) return faults.ToStatus();
  struct Task {
    size_t group;
    std::string response;
  };
  std::vector<Task> tasks;
  std::vector<StageMap> maps;
  for (size_t g = 0; g < groups.size(); ++g) {
    maps.push_back(EmptyMap(groups[g]));
    for (std::string& response : Responses(*groups[g].mode)) {
      tasks.push_back({g, std::move(response)});
    }
  }
  std::vector<ResponseFit> fits(tasks.size());
  const bool done = RunAll(tasks.size(), options, [&](size_t i) {
    fits[i] = FitOne(groups, tasks[i].group, tasks[i].response, options.diagnose);
  });
  if (!done) return absl::CancelledError("fitting was stopped");
  for (size_t i = 0; i < tasks.size(); ++i) {
    RETURN_IF_ERROR(fits[i].status);
    StageMap& map = maps[tasks[i].group];
    std::move(fits[i].surfaces.begin(), fits[i].surfaces.end(),
              std::back_inserter(map.surfaces));
    std::move(fits[i].refusals.begin(), fits[i].refusals.end(),
              std::back_inserter(map.refusals));
  }
  const bool judged = RunAll(groups.size(), options, [&](size_t g) {
    SetSystematic(groups[g].points, maps[g]);
    // Its own points alone: looking among those of all units would take a line of many
    // units a time that grows with their square.
    std::vector<TestPoint> own;
    own.reserve(groups[g].points.size());
    for (const TestPoint* point : groups[g].points) own.push_back(*point);
    JudgeShape(manifest, *groups[g].mode, own, maps[g]);
  });
  if (!judged) return absl::CancelledError("fitting was stopped");
  return maps;
}

absl::StatusOr<Surface> FitCombination(const StageMap& map,
                                       std::span<const TestPoint> test_points,
                                       std::span<const WeightedQuantity> combination,
                                       int degree, SurfacePurpose purpose) {
  ASSIGN_OR_RETURN(const CombinationData data,
                   CombinationOf(map, test_points, combination));
  ASSIGN_OR_RETURN(FittedSurface fitted, FitResponse(data.Problem(map), degree, purpose));
  return std::move(fitted.surface);
}

const Surface* FindSurface(const StageMap& map, std::string_view quantity,
                           SurfacePurpose purpose) {
  for (const Surface& surface : map.surfaces) {
    if (surface.quantity == quantity && surface.purpose == purpose) return &surface;
  }
  return nullptr;
}

std::optional<int> ProofDegree(const StageMap& map,
                               std::span<const std::string> quantities) {
  std::optional<int> degree;
  for (const std::string& quantity : quantities) {
    const Surface* surface = FindSurface(map, quantity, SurfacePurpose::kProof);
    if (surface == nullptr) return {};
    degree = std::max(degree.value_or(0), surface->degree);
  }
  return degree;
}

}  // namespace ratebound::map
