#include <algorithm>
#include <charconv>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/rating/map_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/minimum.h"
#include "engine/rating/rate.h"
#include "engine/rating/uncertainty.h"
#include "engine/release/parallel.h"
#include "engine/release/rated_procedures.h"
#include "engine/release/work.h"

namespace ratebound::release {
namespace {

// A procedure that ratings are asked for, by the name it was asked by.
struct Rated {
  std::string name;
  document::Procedure procedure;
};

std::vector<document::TestPoint> PointsOf(const Folder& folder, const std::string& unit) {
  std::vector<document::TestPoint> points;
  for (const document::TestPoint& point : folder.points) {
    if (point.unit == unit) points.push_back(point);
  }
  return points;
}

// From the data, so that the same data are drawn the same way.
uint64_t SeedOf(std::span<const document::TestPoint> points, const document::Unit& unit,
                const document::Mode& mode) {
  uint64_t seed = 0;
  for (const document::Stage& stage : mode.stages) {
    const std::string digest = DataDigest(points, unit.id, mode.id, stage.id);
    uint64_t part = 0;
    std::from_chars(digest.data(), digest.data() + std::min<size_t>(16, digest.size()),
                    part, 16);
    seed ^= part;
  }
  return seed;
}

// Adds how sure the rating is; a note where that cannot be told.
absl::Status AddUncertainty(const BuildRequest& request, const Folder& folder,
                            const document::Procedure& procedure,
                            const rating::MapFigureSource& source,
                            document::Rating& rating) {
  const rating::SourceDescription& unit = source.description();
  const std::vector<document::TestPoint> points = PointsOf(folder, unit.unit.id);
  ASSIGN_OR_RETURN(const rating::Metric metric, rating::Metric::Compile(procedure, unit));
  ASSIGN_OR_RETURN(const rating::Variation variation,
                   rating::Variation::Create(source, folder.manifest, points));
  rating::UncertaintyOptions options{.stop = request.stop};
  absl::StatusOr<document::MetricUncertainty> sure;
  if (request.monte_carlo_draws > 0) {
    options.draws = request.monte_carlo_draws;
    options.seed = SeedOf(points, unit.unit, unit.mode);
    sure = rating::MonteCarloUncertainty(metric, source, variation, options);
  } else {
    sure = rating::FirstOrderUncertainty(metric, source, variation, options);
  }
  if (sure.ok()) {
    rating.uncertainty = *std::move(sure);
  } else if (sure.status().code() == absl::StatusCode::kFailedPrecondition) {
    rating.notes.push_back(
        absl::StrCat("how sure the figure is cannot be told: ", sure.status().message()));
  } else {
    return sure.status();
  }
  return absl::OkStatus();
}

absl::Status AddMinimums(const BuildRequest& request, const document::Unit& unit,
                         const document::Procedure& procedure, document::Rating& rating) {
  if (request.minimum_day.empty()) return absl::OkStatus();
  for (const document::MinimumLevels& levels : request.minimums) {
    ASSIGN_OR_RETURN(auto verdict,
                     rating::JudgeMinimum(levels, procedure, unit,
                                          {.day = request.minimum_day}, rating.value));
    if (verdict) rating.minimum_verdicts.push_back(*std::move(verdict));
  }
  return absl::OkStatus();
}

absl::StatusOr<document::Rating> Rate(const BuildRequest& request, const Folder& folder,
                                      const document::Unit& unit, const Rated& rated,
                                      const Maps& maps) {
  const document::Procedure& procedure = rated.procedure;
  const document::Unit own = WithInputsOf(unit, rated.name);
  ASSIGN_OR_RETURN(const rating::MapFigureSource source,
                   rating::MapFigureSource::Create(own, maps.all(), procedure.mode_kind,
                                                   rating::QuantitiesOf(procedure)));
  ASSIGN_OR_RETURN(document::Rating rating,
                   rating::RateSource(procedure, source,
                                      {.published_only = request.published_only,
                                       .day = request.minimum_day}));
  rating.procedure = rated.name;
  if (rating.value) {
    RETURN_IF_ERROR(AddUncertainty(request, folder, procedure, source, rating));
  }
  RETURN_IF_ERROR(AddMinimums(request, unit, procedure, rating));
  return rating;
}

bool IsDeclared(const document::Unit& unit, const std::string& name) {
  return std::any_of(unit.declared_ratings.begin(), unit.declared_ratings.end(),
                     [&](const document::DeclaredRating& declared) {
                       return declared.procedure == name;
                     });
}

// In the order of the procedures, and as the manifest lists them where one has several
// names.
std::vector<Rated> AskedFor(const BuildRequest& request, const Folder& folder,
                            std::span<const document::Procedure> procedures) {
  std::vector<std::string> names = folder.manifest.procedures;
  if (request.parts.ratings && !request.only_procedure.empty()) {
    names = {request.only_procedure};
    if (!request.also_procedure.empty()) names.push_back(request.also_procedure);
  }
  std::vector<Rated> asked;
  for (const document::Procedure& procedure : procedures) {
    for (const std::string& name : names) {
      if (name.substr(0, name.find('/')) != procedure.id) continue;
      auto found = FindRated(name, procedures);
      if (found) asked.push_back({name, *std::move(found)});
    }
  }
  return asked;
}

}  // namespace

absl::StatusOr<document::Rating> RateBy(const BuildRequest& request, const Folder& folder,
                                        const document::Unit& unit,
                                        const std::string& name,
                                        std::span<const document::Procedure> procedures,
                                        const Maps& maps) {
  auto procedure = FindRated(name, procedures);
  if (!procedure) {
    return absl::NotFoundError(absl::StrCat("there is no procedure '", name, "'"));
  }
  return Rate(request, folder, unit, {name, *std::move(procedure)}, maps);
}

absl::StatusOr<std::vector<document::Rating>> RateUnits(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps) {
  const std::vector<Rated> asked = AskedFor(request, folder, procedures);
  std::vector<std::pair<const document::Unit*, const Rated*>> pairs;
  for (const document::Unit& unit : folder.manifest.units) {
    if (!request.only_unit.empty() && unit.id != request.only_unit) continue;
    for (const Rated& rated : asked) {
      if (request.parts.ratings || IsDeclared(unit, rated.name)) {
        pairs.push_back({&unit, &rated});
      }
    }
  }
  const int count = static_cast<int>(pairs.size());
  std::vector<absl::StatusOr<document::Rating>> rated(count);
  RETURN_IF_ERROR(ForEachIndex(count, request.thread_count, request.stop, [&](int i) {
    rated[i] = Rate(request, folder, *pairs[i].first, *pairs[i].second, maps);
  }));
  base::FaultList faults;
  std::vector<document::Rating> ratings;
  for (absl::StatusOr<document::Rating>& rating : rated) {
    faults.AddStatus(rating.status());
    if (rating.ok()) ratings.push_back(*std::move(rating));
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return ratings;
}

}  // namespace ratebound::release
