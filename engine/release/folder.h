// The files of a line folder, read: manifest, claims, own procedures and methods, points
// and logs, reduced; with every fault of every file reported together.
//
// Example:
//   ASSIGN_OR_RETURN(Folder folder, ReadFolder(files, published_methods));
#ifndef RATEBOUND_ENGINE_RELEASE_FOLDER_H_
#define RATEBOUND_ENGINE_RELEASE_FOLDER_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/log.h"
#include "engine/document/method.h"
#include "engine/document/points.h"
#include "engine/document/procedure.h"
#include "engine/document/release.h"
#include "engine/release/build.h"

namespace ratebound::release {

struct Folder {
  document::LineManifest manifest;
  std::vector<document::Claim> claims;
  std::vector<document::Procedure> procedures;       // of the folder itself
  std::vector<document::MeasurementMethod> methods;  // published and its own
  std::vector<document::TestPoint> points;           // reduced
  std::vector<document::LogReport> log_reports;      // by path
  // Of each log, in the same order.
  std::vector<std::vector<document::ReadingStatistics>> log_statistics;
  std::vector<document::Finding> findings;         // of logs and of the reduction
  std::vector<document::SourceFile> source_files;  // by path
};

// Takes line.textproto (required), claims.textproto, points/*.csv, logs/*.csv,
// procedures/*.textproto, methods/*.textproto, weather/*.csv and weather/*.epw; any other
// path is a fault. A log may come as bytes or as read already.
absl::StatusOr<Folder> ReadFolder(
    std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> published_methods);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_FOLDER_H_
