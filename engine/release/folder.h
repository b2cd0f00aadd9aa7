// The files of a line folder, read: manifest, claims, own procedures and points, with
// every fault of every file reported together.
//
// Example:
//   ASSIGN_OR_RETURN(Folder folder, ReadFolder(files));
#ifndef RATEBOUND_ENGINE_RELEASE_FOLDER_H_
#define RATEBOUND_ENGINE_RELEASE_FOLDER_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/document/procedure.h"
#include "engine/document/release.h"
#include "engine/release/build.h"

namespace ratebound::release {

struct Folder {
  document::LineManifest manifest;
  std::vector<document::Claim> claims;
  std::vector<document::Procedure> procedures;  // of the folder itself
  std::vector<document::TestPoint> points;
  std::vector<document::SourceFile> source_files;  // by path
};

// Takes line.textproto (required), claims.textproto, points/*.csv and
// procedures/*.textproto; any other path is a fault.
absl::StatusOr<Folder> ReadFolder(std::span<const LineFile> files);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_FOLDER_H_
