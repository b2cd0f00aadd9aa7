#include <algorithm>
#include <optional>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/claim/decide.h"
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

absl::StatusOr<document::Verdict> Decide(const BuildRequest& request,
                                         const Folder& folder, const Maps& maps,
                                         const document::Claim& claim) {
  const document::Mode* const mode = FindMode(folder.manifest, claim.unit, claim.mode);
  if (mode == nullptr) {
    return absl::InternalError(
        absl::StrCat("claim ", claim.id, " passed without its mode"));
  }
  const auto models = maps.Find(claim.unit, claim.mode, claim.stage);
  std::optional<StageMap> no_map;
  if (models.empty())
    no_map = NoMap(*mode, "the stage has no map: it has no accepted points");
  if (models.size() > 1) {
    no_map = NoMap(*mode, absl::StrCat("the stage has points in ", models.size(),
                                       " regimes and a surface never spans regimes"));
  }
  const StageMap& map = no_map ? *no_map : models.front()->map();
  const auto fit = [&](std::span<const claim::CombinationPart> parts, int degree) {
    std::vector<map::WeightedQuantity> weighted;
    for (const claim::CombinationPart& part : parts) {
      weighted.push_back({part.quantity, part.factor});
    }
    return map::FitCombination(map, folder.points, weighted, degree);
  };
  const document::Verdict* earlier = nullptr;
  for (const document::Verdict& verdict : request.earlier_verdicts) {
    if (verdict.claim == claim.id) earlier = &verdict;
  }
  return claim::DecideClaim(claim, {.manifest = folder.manifest,
                                    .mode = *mode,
                                    .map = map,
                                    .fit = fit,
                                    .data_digest = DataDigest(folder.points, claim.unit,
                                                              claim.mode, claim.stage),
                                    .earlier = earlier});
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
