#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_line_parts.h"

namespace ratebound::document {
namespace {

Names HeadersOf(const v1::LineManifest& manifest) {
  std::vector<std::string> headers;
  for (const v1::Column& column : manifest.columns()) headers.push_back(column.header());
  return Names(std::move(headers));
}

void CheckMeasuredColumn(const v1::Column& column, const LineNames& names,
                         const Node& node) {
  using C = v1::Column;
  node.Require({C::kQuantityFieldNumber, C::kUnitFieldNumber});
  CheckReference(node, C::kInstrumentFieldNumber, "instrument", column.instrument(),
                 names.instruments);
  const auto* quantity =
      CheckQuantity(node, C::kQuantityFieldNumber, column.quantity(), Use::kAny);
  if (quantity == nullptr) return;
  if (column.statistic() == v1::READING_STATISTIC_UNSPECIFIED) {
    CheckUnit(node, C::kUnitFieldNumber, column.unit(), quantity->dimension);
  } else {
    CheckUncertaintyUnit(node, C::kUnitFieldNumber, column.unit(), *quantity, "a spread");
  }
}

}  // namespace

LineNames::LineNames(const v1::LineManifest& line)
    : manifest(line),
      units(IdsOf(line.units())),
      specimens(IdsOf(line.specimens())),
      instruments(IdsOf(line.instruments())),
      headers(HeadersOf(line)),
      gives_stage(GivesStage(line)) {}

void CheckColumn(const v1::Column& column, const LineNames& names, const Node& node) {
  using C = v1::Column;
  node.Require({C::kHeaderFieldNumber});
  switch (column.meaning_case()) {
    case C::kQuantity:
      CheckMeasuredColumn(column, names, node);
      return;
    case C::kLabel:
      node.Require({C::kLabelFieldNumber});
      break;
    case C::kUnused:
      node.Require({C::kUnusedFieldNumber});
      break;
    case C::MEANING_NOT_SET:
      node.Fault(C::kHeaderFieldNumber, "the column has no meaning",
                 "write quantity and unit, or label, or unused with a reason");
      return;
  }
  const auto fault = [&](int field, const char* what) {
    if (!node.Has(field)) return;
    node.Fault(field, absl::StrCat("a column that is no quantity has no ", what),
               "leave it out");
  };
  fault(C::kUnitFieldNumber, "unit");
  fault(C::kStatisticFieldNumber, "statistic");
  fault(C::kInstrumentFieldNumber, "instrument");
}

bool IsPathBelow(const std::string& path) {
  if (path.front() == '/' || path.find('\\') != std::string::npos) return false;
  size_t start = 0;
  while (start <= path.size()) {
    const size_t end = std::min(path.find('/', start), path.size());
    const std::string part = path.substr(start, end - start);
    if (part.empty() || part == "." || part == "..") return false;
    start = end + 1;
  }
  return true;
}

std::vector<const v1::Mode*> ModesOf(const v1::LineManifest& manifest,
                                     const std::string& unit_id,
                                     const std::string& mode_id) {
  std::vector<const v1::Mode*> modes;
  for (const v1::Unit& unit : manifest.units()) {
    if (!unit_id.empty() && unit.id() != unit_id) continue;
    for (const v1::Mode& mode : unit.modes()) {
      if (mode_id.empty() || mode.id() == mode_id) modes.push_back(&mode);
    }
  }
  return modes;
}

void CheckPointFile(const v1::PointFile& file, const LineNames& names, const Node& node) {
  using P = v1::PointFile;
  node.Require({P::kPathFieldNumber});
  if (!file.path().empty() && !IsPathBelow(file.path())) {
    node.Fault(P::kPathFieldNumber,
               absl::StrCat("'", base::Printable(file.path()),
                            "' is no path below the line folder"),
               "write it with forward slashes, such as points/day1.csv");
  }
  CheckColumns(file, P::kColumnsFieldNumber, names, node);
  CheckBelonging(file, names, node);
  if (node.Has(P::kReadingCountFieldNumber) && file.reading_count() < 1) {
    node.Fault(P::kReadingCountFieldNumber,
               absl::StrCat(file.reading_count(), " is no number of readings"),
               "write 1 or more, or leave it out");
  }
  if (file.curve().empty() || node.FaultsAreMany()) return;
  std::vector<std::string> curves;
  for (const v1::Unit& unit : names.manifest.units()) {
    if (!file.unit().empty() && unit.id() != file.unit()) continue;
    for (const v1::CurveRequest& curve : unit.curves()) curves.push_back(curve.id());
  }
  if (file.unit().empty() || names.units.Contains(file.unit())) {
    CheckReference(node, P::kCurveFieldNumber, "curve", file.curve(),
                   Names(std::move(curves)));
  }
  for (int field : {P::kModeFieldNumber, P::kStageFieldNumber}) {
    if (!node.Has(field)) continue;
    node.Fault(field, "points of a curve belong to no mode or stage", "leave it out");
  }
}

}  // namespace ratebound::document
