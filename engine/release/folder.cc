#include "engine/release/folder.h"

#include <algorithm>
#include <memory>
#include <set>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"
#include "engine/document/text.h"
#include "engine/points/ingest.h"
#include "engine/points/pipeline/mode_plans.h"
#include "engine/points/pipeline/reduce_points.h"
#include "engine/rating/season/hourly.h"
#include "engine/release/log_reader.h"
#include "engine/release/methods.h"

namespace ratebound::release {
namespace {

constexpr std::string_view kManifest = "line.textproto";
constexpr std::string_view kClaims = "claims.textproto";

bool IsBelow(std::string_view path, std::string_view folder, std::string_view extension) {
  return path.starts_with(folder) && path.ends_with(extension) &&
         path.find('/', folder.size()) == std::string_view::npos;
}

// Hourly temperatures that seasons of the folder name.
bool IsWeather(std::string_view path) {
  return IsBelow(path, "weather/", ".csv") || IsBelow(path, "weather/", ".epw");
}

void ReadWeather(const std::vector<const LineFile*>& sorted,
                 std::vector<document::Procedure>& procedures, base::FaultList& faults) {
  const auto bytes_of = [&](const std::string& path) -> absl::StatusOr<std::string_view> {
    std::vector<std::string> known;
    for (const LineFile* file : sorted) {
      if (!IsWeather(file->path)) continue;
      if (file->path == path) return std::string_view(file->bytes);
      known.push_back(file->path);
    }
    return absl::NotFoundError(absl::StrCat("the line has no file '",
                                            base::Printable(path), "'",
                                            base::DidYouMean(path, known)));
  };
  for (document::Procedure& procedure : procedures) {
    faults.AddStatus(rating::ReadSeasonFiles(bytes_of, procedure));
  }
}

// Logs as read; those that came as bytes are read now.
std::vector<std::pair<std::string, std::shared_ptr<const LogRead>>> ReadLogs(
    const std::vector<const LineFile*>& sorted, std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> published_methods) {
  std::vector<std::pair<std::string, std::shared_ptr<const LogRead>>> logs;
  for (const LineFile* file : sorted) {
    if (!IsBelow(file->path, "logs/", ".csv")) continue;
    if (file->log != nullptr) {
      logs.emplace_back(file->path, file->log);
      continue;
    }
    LogReader reader = LogReader::Open(files, published_methods, file->path);
    reader.Feed(file->bytes);
    logs.emplace_back(file->path, reader.Finish());
  }
  return logs;
}

void CheckLogsAreThere(const document::LineManifest& manifest,
                       const std::vector<const LineFile*>& sorted,
                       base::FaultList& faults) {
  std::vector<std::string> paths;
  for (const LineFile* file : sorted) paths.push_back(file->path);
  for (size_t i = 0; i < manifest.log_files.size(); ++i) {
    const std::string& path = manifest.log_files[i].path;
    if (std::find(paths.begin(), paths.end(), path) != paths.end()) continue;
    faults.Add({.file = std::string(kManifest),
                .field = absl::StrCat("log_files[", i, "].path"),
                .message = absl::StrCat("the line has no file '", base::Printable(path),
                                        "'", base::DidYouMean(path, paths))});
  }
}

// What several readers may have met with, each told once.
class DistinctFaults {
 public:
  explicit DistinctFaults(base::FaultList& faults) : faults_(faults) {}
  void AddStatus(const absl::Status& status) {
    base::FaultList carried;
    carried.AddStatus(status);
    for (const base::Fault& fault : carried.faults()) {
      if (told_.insert(fault.ToString()).second) faults_.Add(fault);
    }
  }

 private:
  base::FaultList& faults_;
  std::set<std::string> told_;
};

// Without the dropped points of a log that could not be read, which nobody can look for.
document::LineManifest WithoutWindowsOf(document::LineManifest manifest,
                                        const std::vector<std::string>& failed_logs) {
  std::erase_if(manifest.dropped_points, [&](const document::DroppedPoint& dropped) {
    return std::any_of(failed_logs.begin(), failed_logs.end(),
                       [&](const std::string& path) {
                         const std::string name = path.substr(path.rfind('/') + 1);
                         return dropped.point.starts_with(absl::StrCat(name, ":"));
                       });
  });
  return manifest;
}

}  // namespace

absl::StatusOr<Folder> ReadFolder(
    std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> published_methods) {
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
    folder.source_files.push_back(
        file->log != nullptr
            ? document::SourceFile{file->path, file->log->sha256, file->log->byte_count}
            : document::SourceFile{file->path, document::Sha256Hex(file->bytes),
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
    } else if (IsBelow(file->path, "methods/", ".textproto") ||
               IsBelow(file->path, "logs/", ".csv") || IsWeather(file->path)) {
      continue;  // read below, all together
    } else {
      faults.Add(
          {.file = base::Printable(file->path),
           .message = "is no file of a line folder",
           .remedy =
               "a line folder holds line.textproto, claims.textproto, points/*.csv, "
               "logs/*.csv, procedures/*.textproto, methods/*.textproto, "
               "weather/*.csv and weather/*.epw"});
    }
  }
  ReadWeather(sorted, folder.procedures, faults);
  if (manifest_file == nullptr) {
    faults.Add({.file = std::string(kManifest), .message = "is missing"});
    return faults.ToStatus();
  }
  // What the points and claims say can only be judged by a sound manifest.
  auto manifest = document::ParseLineManifest(manifest_file->path, manifest_file->bytes);
  faults.AddStatus(manifest.status());
  auto methods = AllMethods(files, published_methods);
  faults.AddStatus(methods.status());
  if (!manifest.ok() || !methods.ok()) return faults.ToStatus();
  faults.AddStatus(document::CheckClaims(*manifest, claims));
  faults.AddStatus(CheckSteadinessMethods(*manifest, *methods));
  CheckLogsAreThere(*manifest, sorted, faults);

  // A plan that is at fault is so for the points and for every log of its mode.
  DistinctFaults distinct(faults);
  const absl::Status plans = points::ModePlans::Create(*manifest, *methods).status();
  distinct.AddStatus(plans);
  std::vector<document::TestPoint> windows;
  std::vector<std::string> failed_logs;
  for (const auto& [path, log] : ReadLogs(sorted, files, published_methods)) {
    distinct.AddStatus(log->result.status());
    if (!log->result.ok()) {
      failed_logs.push_back(path);
      continue;
    }
    const points::LogResult& result = *log->result;
    folder.log_reports.push_back(result.report);
    folder.log_statistics.push_back(result.statistics);
    windows.insert(windows.end(), result.points.begin(), result.points.end());
    folder.findings.insert(folder.findings.end(), result.findings.begin(),
                           result.findings.end());
  }
  auto points = failed_logs.empty()
                    ? points::ReadAllPoints(*manifest, sources, std::move(windows))
                    : points::ReadAllPoints(WithoutWindowsOf(*manifest, failed_logs),
                                            sources, std::move(windows));
  distinct.AddStatus(points.status());
  if (points.ok() && plans.ok()) {
    const auto findings = points::ReducePoints(*manifest, *methods, *points);
    distinct.AddStatus(findings.status());
    if (findings.ok()) {
      folder.findings.insert(folder.findings.end(), findings->begin(), findings->end());
    }
  }
  RETURN_IF_ERROR(faults.ToStatus());
  // Again, for computed conditions.
  points::SortPoints(*manifest, *points);
  folder.manifest = *std::move(manifest);
  folder.methods = *std::move(methods);
  folder.claims = std::move(claims.claims);
  folder.points = *std::move(points);
  return folder;
}

}  // namespace ratebound::release
