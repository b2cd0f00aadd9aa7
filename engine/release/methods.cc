#include "engine/release/methods.h"

#include <algorithm>
#include <set>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/document/text.h"

namespace ratebound::release {

using document::MeasurementMethod;

absl::StatusOr<std::vector<MeasurementMethod>> AllMethods(
    std::span<const LineFile> files,
    std::span<const MeasurementMethod> published_methods) {
  base::FaultList faults;
  std::vector<MeasurementMethod> methods(published_methods.begin(),
                                         published_methods.end());
  std::set<std::string> seen;
  for (const MeasurementMethod& method : methods) seen.insert(method.id);
  std::vector<const LineFile*> own;
  for (const LineFile& file : files) {
    if (file.path.starts_with("methods/") && file.path.ends_with(".textproto")) {
      own.push_back(&file);
    }
  }
  std::stable_sort(own.begin(), own.end(), [](const LineFile* a, const LineFile* b) {
    return a->path < b->path;
  });
  for (const LineFile* const each : own) {
    const LineFile& file = *each;
    auto parsed = document::ParseMethod(file.path, file.bytes);
    faults.AddStatus(parsed.status());
    if (!parsed.ok()) continue;
    if (!seen.insert(parsed->id).second) {
      faults.Add({.file = file.path,
                  .message = absl::StrCat("two methods are called '", parsed->id, "'"),
                  .remedy = "give this one a name of its own"});
    }
    methods.push_back(*std::move(parsed));
  }
  if (!faults.empty()) return faults.ToStatus();
  return methods;
}

absl::StatusOr<const MeasurementMethod*> FindSteadinessMethod(
    std::span<const MeasurementMethod> methods, std::string_view id,
    std::string_view field) {
  std::vector<std::string> known;
  for (const MeasurementMethod& method : methods) {
    if (method.kind != document::MethodKind::kSteadiness) continue;
    if (method.id == id) return &method;
    known.push_back(method.id);
  }
  base::FaultList faults;
  faults.Add(
      {.file = "line.textproto",
       .field = std::string(field),
       .message = absl::StrCat("there is no method of steadiness '", base::Printable(id),
                               "'", base::DidYouMean(id, known)),
       .remedy = "see ratebound procedures"});
  return faults.ToStatus();
}

std::vector<std::string> MethodsInUse(const document::LineManifest& manifest) {
  std::set<std::string> ids;
  for (const document::Unit& unit : manifest.units) {
    for (const document::Mode& mode : unit.modes) {
      ids.insert(mode.steadiness_method);
      if (!mode.reduction) continue;
      if (mode.reduction->air_side) {
        ids.insert(mode.reduction->air_side->method);
        ids.insert(mode.reduction->air_side->nozzle_method);
      }
      for (const auto& side : mode.reduction->liquid_sides) ids.insert(side.method);
      for (const auto& correction : mode.reduction->corrections) {
        ids.insert(correction.method);
      }
    }
  }
  for (const document::LogFile& log : manifest.log_files) {
    if (log.steady_windows) ids.insert(log.steady_windows->method);
  }
  ids.erase("");
  return {ids.begin(), ids.end()};
}

absl::Status CheckSteadinessMethods(const document::LineManifest& manifest,
                                    std::span<const MeasurementMethod> methods) {
  base::FaultList faults;
  for (const document::Unit& unit : manifest.units) {
    for (const document::Mode& mode : unit.modes) {
      if (mode.steadiness_method.empty()) continue;
      faults.AddStatus(
          FindSteadinessMethod(methods, mode.steadiness_method,
                               absl::StrCat(unit.id, "/", mode.id, ".steadiness_method"))
              .status());
    }
  }
  return faults.ToStatus();
}

}  // namespace ratebound::release
