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
#include "engine/document/sha256.h"
#include "engine/map/fit_line.h"
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
  std::optional<StageMap> no_map;
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
};

std::unique_ptr<Stage> MakeStage(const Folder& folder, const Maps& maps,
                                 const document::Mode& mode, const document::Claim& claim,
                                 const std::string& id) {
  auto stage = std::make_unique<Stage>();
  const auto models = maps.Find(claim.unit, claim.mode, id);
  if (models.empty()) {
    stage->no_map = NoMap(mode, "the stage has no map: it has no accepted points");
  }
  if (models.size() > 1) {
    stage->no_map = NoMap(mode, absl::StrCat("the stage has points in ", models.size(),
                                             " regimes and a surface never spans "
                                             "regimes"));
  }
  stage->map = stage->no_map ? &*stage->no_map : &models.front()->map();
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

absl::StatusOr<document::Verdict> Decide(const BuildRequest& request,
                                         const Folder& folder, const Maps& maps,
                                         const document::Claim& claim) {
  // Ratings and logs have no mode.
  const document::Mode no_mode;
  const document::Mode* mode = FindMode(folder.manifest, claim.unit, claim.mode);
  if (mode == nullptr && (claim.seasonal_floor || claim.steadiness)) mode = &no_mode;
  if (mode == nullptr) {
    return absl::InternalError(
        absl::StrCat("claim ", claim.id, " passed without its mode"));
  }
  std::vector<std::string> ids = claim::StagesOf(claim, *mode);
  if (ids.empty()) ids = {claim.stage};
  std::vector<std::unique_ptr<Stage>> stages;
  std::vector<claim::StageInputs> inputs;
  for (const std::string& id : ids) {
    stages.push_back(MakeStage(folder, maps, *mode, claim, id));
    inputs.push_back({.id = id, .map = stages.back()->map, .fit = stages.back()->Fit()});
  }
  const document::Verdict* earlier = nullptr;
  for (const document::Verdict& verdict : request.earlier_verdicts) {
    if (verdict.claim == claim.id) earlier = &verdict;
  }
  return claim::DecideClaim(claim, {.manifest = folder.manifest,
                                    .mode = *mode,
                                    .map = *stages.front()->map,
                                    .fit = stages.front()->Fit(),
                                    .data_digest = DigestOf(folder, claim, ids),
                                    .earlier = earlier,
                                    .stages = std::move(inputs),
                                    .provable = request.provable});
}

}  // namespace

absl::StatusOr<std::vector<document::Verdict>> DecideClaims(const BuildRequest& request,
                                                            const Folder& folder,
                                                            const Maps& maps) {
  std::vector<const document::Claim*> claims;
  for (const document::Claim& claim : folder.claims) {
    const bool wanted = request.only_claim.empty() || claim.id == request.only_claim;
    if (wanted && (request.only_unit.empty() || claim.unit == request.only_unit)) {
      claims.push_back(&claim);
    }
  }
  const int count = static_cast<int>(claims.size());
  std::vector<absl::StatusOr<document::Verdict>> decided(count);
  RETURN_IF_ERROR(ForEachIndex(count, request.thread_count, request.stop, [&](int i) {
    decided[i] = Decide(request, folder, maps, *claims[i]);
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
