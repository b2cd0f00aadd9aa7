// The steps of a build after the folder is read, each over its own list, in parallel.
//
// Every list comes back in the order of its documents, whatever the number of threads.
#ifndef RATEBOUND_ENGINE_RELEASE_WORK_H_
#define RATEBOUND_ENGINE_RELEASE_WORK_H_

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/base/fault.h"
#include "engine/document/release.h"
#include "engine/map/stage_model.h"
#include "engine/release/build.h"
#include "engine/release/folder.h"

namespace ratebound::release {

// The maps of a line, found by where they belong.
class Maps {
 public:
  static absl::StatusOr<Maps> Create(std::vector<document::StageMap> maps);

  // All regimes of a stage.
  std::vector<const map::StageModel*> Find(std::string_view unit, std::string_view mode,
                                           std::string_view stage) const;
  const std::vector<map::StageModel>& all() const { return models_; }

 private:
  std::vector<map::StageModel> models_;
};

// The fault of a stage and regime whose points carry no surface at all, with their file;
// empty where there is one.
std::optional<base::Fault> UnfittedStage(const Folder& folder,
                                         const map::StageModel& model);
// INVALID_ARGUMENT where no regime of a stage has a surface: a release would hold a stage
// that nothing can be said about.
absl::Status CheckEveryStageFitted(const Folder& folder, const Maps& maps);

// Digest of what a verdict rests on: the accepted points of a stage.
std::string DataDigest(std::span<const document::TestPoint> points, std::string_view unit,
                       std::string_view mode, std::string_view stage);

absl::StatusOr<std::vector<document::Verdict>> DecideClaims(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps);

// Of one unit by one procedure, with its uncertainty. NOT_FOUND for a name that none of
// the procedures has.
absl::StatusOr<document::Rating> RateBy(const BuildRequest& request, const Folder& folder,
                                        const document::Unit& unit,
                                        const std::string& name,
                                        std::span<const document::Procedure> procedures,
                                        const Maps& maps);

absl::StatusOr<std::vector<document::Rating>> RateUnits(
    const BuildRequest& request, const Folder& folder,
    std::span<const document::Procedure> procedures, const Maps& maps);

absl::StatusOr<std::vector<document::Table>> TabulateAll(const BuildRequest& request,
                                                         const Folder& folder,
                                                         const Maps& maps);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_WORK_H_
