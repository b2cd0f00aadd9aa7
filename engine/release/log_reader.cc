#include "engine/release/log_reader.h"

#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/text.h"
#include "engine/points/ingest.h"
#include "engine/points/pipeline/mode_plans.h"
#include "engine/points/pipeline/reduce_points.h"
#include "engine/points/pipeline/row_reducer.h"
#include "engine/release/methods.h"

namespace ratebound::release {
namespace {

absl::StatusOr<const document::LogFile*> FindLog(const document::LineManifest& manifest,
                                                 std::string_view path) {
  std::vector<std::string> known;
  for (const document::LogFile& log : manifest.log_files) {
    if (log.path == path) return &log;
    known.push_back(log.path);
  }
  base::FaultList faults;
  faults.Add({.file = std::string(path),
              .message = "no log_files entry of line.textproto says how to read it",
              .remedy = absl::StrCat("add one, or take the file out of logs/",
                                     base::DidYouMean(path, known))});
  return faults.ToStatus();
}

std::string FieldOf(const document::LineManifest& manifest, const document::LogFile& log,
                    std::string_view below) {
  return absl::StrCat("log_files[", &log - manifest.log_files.data(), "].",
                      base::Absl(below));
}

// Capacity and power of the test point that cycles are compared with: one of the log's
// unit and mode that was not dropped.
absl::StatusOr<points::SteadyReference> FindSteadyPoint(
    const document::LineManifest& manifest, std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> methods, const document::LogFile& log) {
  const std::string& id = log.on_off_cycles->steady_point;
  std::vector<std::string> known;
  base::FaultList unread;
  std::vector<document::TestPoint> found;
  for (const LineFile& file : files) {
    if (!file.path.starts_with("points/")) continue;
    auto points = points::ReadPoints(manifest, file.path, file.bytes);
    unread.AddStatus(points.status());
    if (!points.ok()) continue;
    for (document::TestPoint& point : *points) {
      if (!point.accepted() || point.unit != log.unit || point.mode != log.mode) continue;
      known.push_back(point.id);
      if (point.id == id) found.push_back(std::move(point));
    }
  }
  RETURN_IF_ERROR(points::ReducePoints(manifest, methods, found).status());
  const document::Mode* mode = nullptr;
  for (const document::Unit& unit : manifest.units) {
    if (unit.id != log.unit) continue;
    for (const document::Mode& each : unit.modes) {
      if (each.id == log.mode) mode = &each;
    }
  }
  if (!found.empty() && mode != nullptr) {
    const auto capacity_w = found[0].Find(mode->capacity_quantity);
    const auto power_w = found[0].Find(mode->power_quantity);
    if (capacity_w && power_w) return points::SteadyReference{*capacity_w, *power_w};
  }
  // It may stand in a file that cannot be read, whose faults are then the reason.
  RETURN_IF_ERROR(unread.ToStatus());
  base::FaultList faults;
  faults.Add(
      {.file = "line.textproto",
       .field = FieldOf(manifest, log, "on_off_cycles.steady_point"),
       .message = absl::StrCat("no file of points has a point '", base::Printable(id),
                               "' of ", log.unit, "/", log.mode,
                               " with capacity and power", base::DidYouMean(id, known)),
       .remedy = "name an accepted one of that unit and mode"});
  return faults.ToStatus();
}

absl::StatusOr<points::LogIntake> OpenIntake(
    std::span<const LineFile> files,
    std::span<const document::MeasurementMethod> published_methods,
    std::string_view path) {
  const LineFile* manifest_file = nullptr;
  for (const LineFile& file : files) {
    if (file.path == "line.textproto") manifest_file = &file;
  }
  if (manifest_file == nullptr) {
    return absl::InvalidArgumentError("line.textproto is missing");
  }
  ASSIGN_OR_RETURN(
      const document::LineManifest manifest,
      document::ParseLineManifest(manifest_file->path, manifest_file->bytes));
  ASSIGN_OR_RETURN(const std::vector<document::MeasurementMethod> methods,
                   AllMethods(files, published_methods));
  ASSIGN_OR_RETURN(const document::LogFile* const log, FindLog(manifest, path));
  ASSIGN_OR_RETURN(const points::ModePlans plans,
                   points::ModePlans::Create(manifest, methods));
  std::span<const document::TestTolerance> tolerances;
  if (log->steady_windows && !log->steady_windows->method.empty()) {
    ASSIGN_OR_RETURN(
        const document::MeasurementMethod* const method,
        FindSteadinessMethod(methods, log->steady_windows->method,
                             FieldOf(manifest, *log, "steady_windows.method")));
    tolerances = method->tolerances;
  }
  std::optional<points::SteadyReference> steady_point;
  if (log->on_off_cycles && !log->on_off_cycles->steady_point.empty()) {
    ASSIGN_OR_RETURN(steady_point, FindSteadyPoint(manifest, files, methods, *log));
  }
  return points::LogIntake::Create(manifest, *log, tolerances,
                                   points::MakeRowReducer(plans, *log), steady_point);
}

}  // namespace

LogReader LogReader::Open(std::span<const LineFile> files,
                          std::span<const document::MeasurementMethod> published_methods,
                          std::string_view path) {
  LogReader reader;
  auto intake = OpenIntake(files, published_methods, path);
  reader.status_ = intake.status();
  if (intake.ok()) reader.intake_.emplace(*std::move(intake));
  return reader;
}

void LogReader::Feed(std::string_view content) {
  digest_->Update(content);
  byte_count_ += static_cast<int64_t>(content.size());
  if (intake_ && status_.ok()) status_ = intake_->Feed(content);
}

std::shared_ptr<const LogRead> LogReader::Finish() {
  auto log = std::make_shared<LogRead>();
  log->sha256 = digest_->FinishHex();
  log->byte_count = byte_count_;
  if (status_.ok()) {
    log->result = intake_->Finish();
  } else {
    log->result = status_;
  }
  return log;
}

}  // namespace ratebound::release
