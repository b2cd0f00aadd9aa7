#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/release/parallel.h"
#include "engine/release/work.h"
#include "engine/table/tabulate.h"

namespace ratebound::release {
namespace {

absl::StatusOr<document::Table> Compute(const document::TableRequest& request,
                                        const Maps& maps) {
  const auto models = maps.Find(request.unit, request.mode, request.stage);
  if (models.size() == 1) return table::Tabulate(request, *models.front());
  return document::Table{
      .request = request,
      .notes = {models.empty()
                    ? "not computed: the stage has no accepted points"
                    : "not computed: the stage has points in several regimes, and a "
                      "surface never spans regimes"}};
}

}  // namespace

absl::StatusOr<std::vector<document::Table>> TabulateAll(const BuildRequest& request,
                                                         const Folder& folder,
                                                         const Maps& maps) {
  std::vector<const document::TableRequest*> requests;
  for (const document::TableRequest& table : folder.manifest.tables) {
    const bool wanted = request.only_table.empty() || table.id == request.only_table;
    if (wanted && (request.only_unit.empty() || table.unit == request.only_unit)) {
      requests.push_back(&table);
    }
  }
  base::FaultList faults;
  for (const document::TableRequest* wanted : requests) {
    const auto models = maps.Find(wanted->unit, wanted->mode, wanted->stage);
    if (models.size() != 1) continue;
    if (auto fault = UnfittedStage(folder, *models.front())) {
      fault->message = absl::StrCat("table '", wanted->id, "': ", fault->message);
      faults.Add(*std::move(fault));
    }
  }
  RETURN_IF_ERROR(faults.ToStatus());
  const int count = static_cast<int>(requests.size());
  std::vector<absl::StatusOr<document::Table>> computed(count);
  RETURN_IF_ERROR(ForEachIndex(count, request.thread_count, request.stop, [&](int i) {
    computed[i] = Compute(*requests[i], maps);
  }));
  std::vector<document::Table> tables;
  for (absl::StatusOr<document::Table>& table : computed) {
    faults.AddStatus(table.status());
    if (table.ok()) tables.push_back(*std::move(table));
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return tables;
}

}  // namespace ratebound::release
