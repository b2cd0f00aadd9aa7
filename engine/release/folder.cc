#include "engine/release/folder.h"

#include <algorithm>
#include <string_view>

#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"
#include "engine/document/text.h"
#include "engine/points/ingest.h"

namespace ratebound::release {
namespace {

constexpr std::string_view kManifest = "line.textproto";
constexpr std::string_view kClaims = "claims.textproto";

bool IsBelow(std::string_view path, std::string_view folder, std::string_view extension) {
  return path.starts_with(folder) && path.ends_with(extension) &&
         path.find('/', folder.size()) == std::string_view::npos;
}

}  // namespace

absl::StatusOr<Folder> ReadFolder(std::span<const LineFile> files) {
  std::vector<const LineFile*> sorted;
  for (const LineFile& file : files) sorted.push_back(&file);
  std::stable_sort(
      sorted.begin(), sorted.end(),
      [](const LineFile* a, const LineFile* b) { return a->path < b->path; });

  base::FaultList faults;
  Folder folder;
  const LineFile* manifest_file = nullptr;
  document::ParsedClaims claims;
  std::vector<points::PointSource> sources;
  const LineFile* before = nullptr;
  for (const LineFile* file : sorted) {
    folder.source_files.push_back({file->path, document::Sha256Hex(file->bytes),
                                   static_cast<int64_t>(file->bytes.size())});
    if (before != nullptr && before->path == file->path) {
      faults.Add({.file = base::Printable(file->path), .message = "is given twice"});
      continue;
    }
    before = file;
    if (file->path == kManifest) {
      manifest_file = file;
    } else if (file->path == kClaims) {
      auto parsed = document::ParseClaims(file->path, file->bytes);
      faults.AddStatus(parsed.status());
      if (parsed.ok()) claims = *std::move(parsed);
    } else if (IsBelow(file->path, "procedures/", ".textproto")) {
      auto parsed = document::ParseProcedure(file->path, file->bytes);
      faults.AddStatus(parsed.status());
      if (parsed.ok()) folder.procedures.push_back(*std::move(parsed));
    } else if (IsBelow(file->path, "points/", ".csv")) {
      sources.push_back({file->path, file->bytes});
    } else {
      faults.Add(
          {.file = base::Printable(file->path),
           .message = "is no file of a line folder",
           .remedy = "a line folder holds line.textproto, claims.textproto, points/*.csv "
                     "and procedures/*.textproto"});
    }
  }
  if (manifest_file == nullptr) {
    faults.Add({.file = std::string(kManifest), .message = "is missing"});
    return faults.ToStatus();
  }
  // What the points and claims say can only be judged by a sound manifest.
  auto manifest = document::ParseLineManifest(manifest_file->path, manifest_file->bytes);
  faults.AddStatus(manifest.status());
  if (!manifest.ok()) return faults.ToStatus();
  faults.AddStatus(document::CheckClaims(*manifest, claims));
  auto points = points::ReadAllPoints(*manifest, sources);
  faults.AddStatus(points.status());
  RETURN_IF_ERROR(faults.ToStatus());
  folder.manifest = *std::move(manifest);
  folder.claims = std::move(claims.claims);
  folder.points = *std::move(points);
  return folder;
}

}  // namespace ratebound::release
