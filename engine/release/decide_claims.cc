#include <algorithm>
#include <memory>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/claim/decide.h"
#include "engine/claim/promise_parts.h"
#include "engine/claim/regional_constant.h"
#include "engine/document/sha256.h"
#include "engine/map/fit_line.h"
#include "engine/map/regional_ratios.h"
#include "engine/release/parallel.h"
#include "engine/release/work.h"

namespace ratebound::release {
namespace {

using document::StageMap;

const document::Mode* FindMode(const document::LineManifest& manifest,
                               const std::string& unit_id, const std::string& mode_id) {
  for (const document::Unit& unit : manifest.units) {
    if (unit.id != unit_id) continue;
    for (const document::Mode& mode : unit.modes) {
      if (mode.id == mode_id) return &mode;
    }
  }
  return nullptr;
}

// A map without surfaces that says why a claim on the stage cannot be decided.
StageMap NoMap(const document::Mode& mode, std::string why) {
  StageMap map;
  map.conditions = mode.conditions;
  map.refusals = {std::move(why)};
  return map;
}

// The accepted points of one stage: what a claim on it may rest on.
std::vector<document::TestPoint> PointsOf(const Folder& folder,
                                          const document::Claim& claim,
                                          const std::string& stage) {
  std::vector<document::TestPoint> points;
  for (const document::TestPoint& point : folder.points) {
    if (point.unit == claim.unit && point.mode == claim.mode && point.stage == stage) {
      points.push_back(point);
    }
  }
  return points;
}

// What a claim knows of one of its stages. Holds what its inputs refer to.
struct Stage {
  std::optional<StageMap> own_map;  // where it is none of the line's
  const StageMap* map = nullptr;
  std::vector<document::TestPoint> points;

  claim::FitCombination Fit() const {
    return [this](std::span<const claim::CombinationPart> parts, int degree) {
      std::vector<map::WeightedQuantity> weighted;
      for (const claim::CombinationPart& part : parts) {
        weighted.push_back({part.quantity, part.factor});
      }
      return map::FitCombination(*map, points, weighted, degree);
    };
  }
  // Errors of such a fit over a box, for the band of the region.
  claim::FitRatios Ratios() const {
    return [this](std::span<const claim::CombinationPart> parts, int degree,
                  std::span<const double> low_si, std::span<const double> high_si) {
      std::vector<map::WeightedQuantity> weighted;
      for (const claim::CombinationPart& part : parts) {
        weighted.push_back({part.quantity, part.factor});
      }
      return map::RegionalRatios(*map, points, weighted, degree, low_si, high_si,
                                 claim::kRegionalDraws);
    };
  }
};

std::unique_ptr<Stage> MakeStage(const Folder& folder, const Maps& maps,
                                 const document::Mode& mode, const document::Claim& claim,
                                 const std::string& id) {
  auto stage = std::make_unique<Stage>();
  const auto models = maps.Find(claim.unit, claim.mode, id);
  if (models.empty()) {
    stage->own_map = NoMap(mode, "the stage has no map: it has no accepted points");
  }
  if (models.size() > 1) {
    stage->own_map = NoMap(mode, absl::StrCat("the stage has points in ", models.size(),
                                              " regimes and a surface never spans "
                                              "regimes"));
  }
  stage->map = stage->own_map ? &*stage->own_map : &models.front()->map();
  stage->points = PointsOf(folder, claim, id);
  return stage;
}

// Of all stages; of one alone as it has always been.
std::string DigestOf(const Folder& folder, const document::Claim& claim,
                     const std::vector<std::string>& ids) {
  if (ids.size() == 1) {
    return DataDigest(folder.points, claim.unit, claim.mode, ids.front());
  }
  document::Sha256 digest;
  for (const std::string& id : ids) {
    digest.Update(DataDigest(folder.points, claim.unit, claim.mode, id));
  }
  return digest.FinishHex();
}

// A stage by the points of one specimen alone.
absl::StatusOr<std::unique_ptr<Stage>> SpecimenStage(const Folder& folder,
                                                     const document::Mode& mode,
                                                     const document::Claim& claim,
                                                     const std::string& specimen) {
  auto stage = std::make_unique<Stage>();
  stage->points = PointsOf(folder, claim, claim.stage);
  std::erase_if(stage->points, [&](const document::TestPoint& point) {
    return point.specimen != specimen;
  });
  ASSIGN_OR_RETURN(
      std::vector<StageMap> maps,
      map::FitLine(folder.manifest, stage->points, {.only_unit = claim.unit}));
  if (maps.size() == 1) {
    stage->own_map = std::move(maps.front());
  } else if (maps.empty()) {
    stage->own_map =
        NoMap(mode, absl::StrCat("specimen ", specimen,
                                 " has no accepted points in stage ", claim.stage));
  } else {
    stage->own_map =
        NoMap(mode, absl::StrCat("specimen ", specimen, " has points in ", maps.size(),
                                 " regimes and a surface never spans "
                                 "regimes"));
  }
  stage->map = &*stage->own_map;
  return stage;
}

// The verdict before, of the same claim.
const document::Verdict* EarlierOf(const BuildRequest& request,
                                   const document::Claim& claim) {
  for (const document::Verdict& verdict : request.earlier_verdicts) {
    if (verdict.claim == claim.id) return &verdict;
  }
  return nullptr;
}

// Ratings and logs have no mode and no stages.
const document::Mode kNoMode;
const StageMap kNoMap;

absl::StatusOr<document::Verdict> DecideSeasonal(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps,
    const document::Claim& claim, claim::Certification* certification) {
  const auto unit =
      std::find_if(folder.manifest.units.begin(), folder.manifest.units.end(),
                   [&](const document::Unit& each) { return each.id == claim.unit; });
  if (unit == folder.manifest.units.end()) {
    return absl::InternalError(
        absl::StrCat("claim ", claim.id, " passed without its unit"));
  }
  ASSIGN_OR_RETURN(
      const document::Rating rating,
      RateBy(request, folder, *unit, claim.seasonal_floor->procedure, procedures, maps));
  document::Sha256 digest;
  for (const document::Mode& mode : unit->modes) {
    for (const document::Stage& stage : mode.stages) {
      digest.Update(DataDigest(folder.points, unit->id, mode.id, stage.id));
    }
  }
  return claim::DecideClaim(claim, {.manifest = folder.manifest,
                                    .mode = kNoMode,
                                    .map = kNoMap,
                                    .data_digest = digest.FinishHex(),
                                    .earlier = EarlierOf(request, claim),
                                    .rating = &rating,
                                    .certification = certification});
}

absl::StatusOr<document::Verdict> DecideSteady(const BuildRequest& request,
                                               const Folder& folder,
                                               const document::Claim& claim,
                                               claim::Certification* certification) {
  claim::ClaimInputs inputs{.manifest = folder.manifest,
                            .mode = kNoMode,
                            .map = kNoMap,
                            .earlier = EarlierOf(request, claim),
                            .certification = certification};
  for (const document::SourceFile& file : folder.source_files) {
    if (file.path == claim.steadiness->log) inputs.data_digest = file.sha256;
  }
  for (size_t i = 0; i < folder.log_reports.size(); ++i) {
    if (folder.log_reports[i].path != claim.steadiness->log) continue;
    for (const document::ReadingStatistics& readings : folder.log_statistics[i]) {
      if (readings.quantity == claim.steadiness->quantity) inputs.readings = &readings;
    }
  }
  return claim::DecideClaim(claim, inputs);
}

absl::StatusOr<document::Verdict> Decide(const BuildRequest& request,
                                         const Folder& folder,
                                         std::span<const document::Procedure> procedures,
                                         const Maps& maps, const document::Claim& claim,
                                         claim::Certification* certification) {
  if (claim.seasonal_floor) {
    return DecideSeasonal(request, folder, procedures, maps, claim, certification);
  }
  if (claim.steadiness) return DecideSteady(request, folder, claim, certification);
  const document::Mode* mode = FindMode(folder.manifest, claim.unit, claim.mode);
  if (mode == nullptr) {
    return absl::InternalError(
        absl::StrCat("claim ", claim.id, " passed without its mode"));
  }
  std::vector<std::string> ids = claim::StagesOf(claim, *mode);
  if (ids.empty()) ids = {claim.stage};
  std::vector<std::unique_ptr<Stage>> stages;
  std::vector<claim::StageInputs> inputs;
  std::string data_digest;
  if (claim.equivalence) {
    ids = {claim.equivalence->specimen, claim.equivalence->reference_specimen};
    document::Sha256 digest;
    for (const std::string& id : ids) {
      ASSIGN_OR_RETURN(stages.emplace_back(), SpecimenStage(folder, *mode, claim, id));
      digest.Update(
          DataDigest(stages.back()->points, claim.unit, claim.mode, claim.stage));
    }
    data_digest = digest.FinishHex();
  } else {
    for (const std::string& id : ids) {
      stages.push_back(MakeStage(folder, maps, *mode, claim, id));
    }
    data_digest = DigestOf(folder, claim, ids);
  }
  for (size_t i = 0; i < ids.size(); ++i) {
    const std::string& id = ids[i];
    inputs.push_back({.id = id,
                      .map = stages[i]->map,
                      .fit = stages[i]->Fit(),
                      .ratios = stages[i]->Ratios()});
  }
  return claim::DecideClaim(claim, {.manifest = folder.manifest,
                                    .mode = *mode,
                                    .map = *stages.front()->map,
                                    .fit = stages.front()->Fit(),
                                    .data_digest = std::move(data_digest),
                                    .earlier = EarlierOf(request, claim),
                                    .stages = std::move(inputs),
                                    .provable = request.provable,
                                    .certification = certification});
}

}  // namespace

absl::StatusOr<std::vector<document::Verdict>> DecideClaims(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps) {
  std::vector<const document::Claim*> claims;
  for (const document::Claim& claim : folder.claims) {
    const bool wanted = request.only_claim.empty() || claim.id == request.only_claim;
    if (wanted && (request.only_unit.empty() || claim.unit == request.only_unit)) {
      claims.push_back(&claim);
    }
  }
  const int count = static_cast<int>(claims.size());
  std::vector<absl::StatusOr<document::Verdict>> decided(count);
  std::vector<claim::Certification>* const all = request.certifications;
  if (all != nullptr) *all = std::vector<claim::Certification>(claims.size());
  RETURN_IF_ERROR(ForEachIndex(count, request.thread_count, request.stop, [&](int i) {
    claim::Certification* const certification = all == nullptr ? nullptr : &(*all)[i];
    decided[i] = Decide(request, folder, procedures, maps, *claims[i], certification);
  }));
  base::FaultList faults;
  std::vector<document::Verdict> verdicts;
  for (absl::StatusOr<document::Verdict>& verdict : decided) {
    if (verdict.status().code() == absl::StatusCode::kInternal) return verdict.status();
    faults.AddStatus(verdict.status());
    if (verdict.ok()) verdicts.push_back(*std::move(verdict));
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return verdicts;
}

}  // namespace ratebound::release
