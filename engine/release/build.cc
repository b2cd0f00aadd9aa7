#include "engine/release/build.h"

#include <algorithm>
#include <iterator>
#include <set>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/map/curve_fit.h"
#include "engine/map/fit_line.h"
#include "engine/release/folder.h"
#include "engine/release/methods.h"
#include "engine/release/rated_procedures.h"
#include "engine/release/work.h"
#include "engine/screen/check.h"

namespace ratebound::release {
namespace {

template <typename Items>
std::vector<std::string> Ids(const Items& items) {
  std::vector<std::string> ids;
  for (const auto& item : items) ids.push_back(item.id);
  return ids;
}

void CheckKnown(const std::string& what, const std::string& id,
                const std::vector<std::string>& known, base::FaultList* faults) {
  if (id.empty() || std::find(known.begin(), known.end(), id) != known.end()) return;
  faults->Add({.message = absl::StrCat("there is no ", what, " '", base::Printable(id),
                                       "'", base::DidYouMean(id, known))});
}

// Of a procedure or of "id/climate".
std::string IdOf(const std::string& name) { return name.substr(0, name.find('/')); }

// A declared rating is compared as it is written, so it is in its procedure's unit.
void CheckDeclaredUnits(const document::LineManifest& manifest,
                        const std::vector<document::Procedure>& procedures,
                        base::FaultList* faults) {
  for (size_t i = 0; i < manifest.units.size(); ++i) {
    const document::Unit& unit = manifest.units[i];
    for (size_t j = 0; j < unit.declared_ratings.size(); ++j) {
      const document::DeclaredRating& declared = unit.declared_ratings[j];
      for (const document::Procedure& procedure : procedures) {
        if (procedure.id != IdOf(declared.procedure) ||
            procedure.metric_unit == declared.unit) {
          continue;
        }
        faults->Add(
            {.file = "line.textproto",
             .field = absl::StrCat("units[", i, "].declared_ratings[", j, "].unit"),
             .message = absl::StrCat("'", declared.unit, "' is not the unit of ",
                                     procedure.metric, " by ", procedure.id),
             .remedy = absl::StrCat("write the value in ", procedure.metric_unit)});
      }
    }
  }
}

// The published procedures and those of the folder, by id.
absl::StatusOr<std::vector<document::Procedure>> AllProcedures(
    const BuildRequest& request, const Folder& folder) {
  std::vector<document::Procedure> procedures(request.procedures.begin(),
                                              request.procedures.end());
  procedures.insert(procedures.end(), folder.procedures.begin(), folder.procedures.end());
  base::FaultList faults;
  std::set<std::string> seen;
  for (const document::Procedure& procedure : procedures) {
    if (!seen.insert(procedure.id).second) {
      faults.Add(
          {.message = absl::StrCat("two procedures are called '", procedure.id, "'"),
           .remedy = "give the one in the line folder a name of its own"});
    }
  }
  const std::vector<std::string> known = RatedNames(procedures);
  const std::set<std::string> names(known.begin(), known.end());
  for (const std::string& id : folder.manifest.procedures) {
    if (names.count(id) > 0) continue;
    faults.Add({.file = "line.textproto",
                .field = "procedures",
                .message = absl::StrCat("there is no procedure '", base::Printable(id),
                                        "'", base::DidYouMean(id, known)),
                .remedy = "see ratebound procedures"});
  }
  CheckKnown("procedure", request.only_procedure, known, &faults);
  CheckKnown("procedure", request.also_procedure, known, &faults);
  CheckDeclaredUnits(folder.manifest, procedures, &faults);
  RETURN_IF_ERROR(faults.ToStatus());
  return procedures;
}

absl::Status CheckFilters(const BuildRequest& request, const Folder& folder) {
  base::FaultList faults;
  CheckKnown("unit", request.only_unit, Ids(folder.manifest.units), &faults);
  CheckKnown("claim", request.only_claim, Ids(folder.claims), &faults);
  CheckKnown("table", request.only_table, Ids(folder.manifest.tables), &faults);
  return faults.ToStatus();
}

// The units whose maps are asked for, or that something asked for rests on.
std::set<std::string> NeededUnits(const BuildRequest& request, const Folder& folder) {
  std::set<std::string> needed;
  if (!request.only_unit.empty()) return {request.only_unit};
  if (request.parts.maps || request.parts.ratings) {
    for (const document::Unit& unit : folder.manifest.units) needed.insert(unit.id);
    return needed;
  }
  if (request.parts.declared_ratings) {
    for (const document::Unit& unit : folder.manifest.units) {
      if (!unit.declared_ratings.empty()) needed.insert(unit.id);
    }
  }
  if (request.parts.verdicts) {
    for (const document::Claim& claim : folder.claims) {
      if (request.only_claim.empty() || claim.id == request.only_claim)
        needed.insert(claim.unit);
    }
  }
  if (request.parts.tables) {
    for (const document::TableRequest& table : folder.manifest.tables) {
      if (request.only_table.empty() || table.id == request.only_table)
        needed.insert(table.unit);
    }
  }
  return needed;
}

absl::StatusOr<std::vector<document::StageMap>> FitNeeded(const BuildRequest& request,
                                                          const Folder& folder) {
  const std::set<std::string> needed = NeededUnits(request, folder);
  map::FitOptions options{.thread_count = request.thread_count,
                          .stop = request.stop,
                          .diagnose = request.parts.diagnostics};
  if (needed.size() == folder.manifest.units.size()) {
    return map::FitLine(folder.manifest, folder.points, options);
  }
  std::vector<document::StageMap> maps;
  for (const document::Unit& unit : folder.manifest.units) {
    if (needed.count(unit.id) == 0) continue;
    options.only_unit = unit.id;
    ASSIGN_OR_RETURN(std::vector<document::StageMap> fitted,
                     map::FitLine(folder.manifest, folder.points, options));
    std::move(fitted.begin(), fitted.end(), std::back_inserter(maps));
  }
  return maps;
}

}  // namespace

absl::StatusOr<document::Release> Build(const BuildRequest& request) {
  ASSIGN_OR_RETURN(Folder folder, ReadFolder(request.files, request.methods));
  ASSIGN_OR_RETURN(std::vector<document::Procedure> procedures,
                   AllProcedures(request, folder));
  RETURN_IF_ERROR(CheckFilters(request, folder));

  document::Release release;
  release.engine_version = kEngineVersion;
  release.findings = std::move(folder.findings);
  std::vector<document::Finding> screened =
      screen::Screen(folder.manifest, folder.methods, folder.points);
  std::move(screened.begin(), screened.end(), std::back_inserter(release.findings));
  ASSIGN_OR_RETURN(std::vector<document::StageMap> fitted, FitNeeded(request, folder));
  ASSIGN_OR_RETURN(const Maps maps, Maps::Create(std::move(fitted)));
  const Parts& parts = request.parts;
  if (parts.maps && parts.ratings && parts.verdicts && parts.tables) {
    RETURN_IF_ERROR(CheckEveryStageFitted(folder, maps));
  }
  if (request.parts.maps) {
    for (const map::StageModel& model : maps.all()) release.maps.push_back(model.map());
    release.curves = map::FitCurves(folder.manifest, folder.points, request.only_unit);
  }
  if (request.parts.verdicts) {
    ASSIGN_OR_RETURN(release.verdicts, DecideClaims(request, folder, procedures, maps));
  }
  if (request.parts.ratings || request.parts.declared_ratings) {
    ASSIGN_OR_RETURN(release.ratings, RateUnits(request, folder, procedures, maps));
    // A release carries the procedures that its ratings were computed by.
    for (document::Procedure& procedure : procedures) {
      const bool used = std::any_of(release.ratings.begin(), release.ratings.end(),
                                    [&](const document::Rating& rating) {
                                      return IdOf(rating.procedure) == procedure.id;
                                    });
      if (used) release.procedures.push_back(std::move(procedure));
    }
  }
  if (request.parts.tables) {
    ASSIGN_OR_RETURN(release.tables, TabulateAll(request, folder, maps));
  }
  for (const std::string& id : MethodsInUse(folder.manifest)) {
    for (const document::MeasurementMethod& method : folder.methods) {
      if (method.id == id) release.methods.push_back(method);
    }
  }
  release.log_reports = std::move(folder.log_reports);
  release.manifest = std::move(folder.manifest);
  release.points = std::move(folder.points);
  release.source_files = std::move(folder.source_files);
  return release;
}

}  // namespace ratebound::release
