// What the checks of a manifest share. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_LINE_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_LINE_PARTS_H_

#include <string>
#include <utility>
#include <vector>

#include "engine/document/check_parts.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/line.pb.h"

namespace ratebound::document {

// What the files of a manifest refer to, gathered once.
struct LineNames {
  explicit LineNames(const v1::LineManifest& line);

  const v1::LineManifest& manifest;
  Names units;
  Names specimens;
  Names instruments;
  Names headers;             // of the columns of the manifest
  bool gives_stage = false;  // one of these columns does
};

void CheckInstruments(const v1::LineManifest& manifest, const Node& node);
// The reduction of a mode; `node` is its own.
void CheckReduction(const v1::Mode& mode, const Node& node);
// The shape facts and balances of a mode; `node` is its own.
void CheckShapes(const v1::Mode& mode, const Node& node);
void CheckCurves(const v1::Unit& unit, const Node& node);
void CheckLogFile(const v1::LogFile& log, const LineNames& names, const Node& node);
void CheckPointFile(const v1::PointFile& file, const LineNames& names, const Node& node);

void CheckColumn(const v1::Column& column, const LineNames& names, const Node& node);
template <typename Owner>
void CheckColumns(const Owner& owner, int field, const LineNames& names,
                  const Node& node) {
  Unique headers("header");
  for (int i = 0; i < owner.columns_size(); ++i) {
    const Node column = node.Child(field, i);
    CheckColumn(owner.columns(i), names, column);
    headers.Check(column, v1::Column::kHeaderFieldNumber, owner.columns(i).header());
  }
}

// Whether any of the columns gives the stage.
template <typename Owner>
bool GivesStage(const Owner& owner) {
  for (const v1::Column& column : owner.columns()) {
    if (column.label() == v1::COLUMN_LABEL_STAGE) return true;
  }
  return false;
}

// A path that stays below the line folder.
bool IsPathBelow(const std::string& path);

// The modes that what is called by these ids may belong to: all of a unit where it names
// no mode, those of all units where it names no unit.
std::vector<const v1::Mode*> ModesOf(const v1::LineManifest& manifest,
                                     const std::string& unit_id,
                                     const std::string& mode_id);

// Unit, mode, stage, specimen and day of a file of points or a log.
template <typename File>
void CheckBelonging(const File& file, const LineNames& names, const Node& node) {
  const bool unit_known =
      file.unit().empty() ||
      CheckReference(node, File::kUnitFieldNumber, "unit", file.unit(), names.units);
  if (unit_known) {
    std::vector<std::string> modes;
    for (const v1::Mode* mode : ModesOf(names.manifest, file.unit(), "")) {
      modes.push_back(mode->id());
    }
    const bool mode_known =
        file.mode().empty() || CheckReference(node, File::kModeFieldNumber, "mode",
                                              file.mode(), Names(std::move(modes)));
    std::vector<std::string> stages;
    for (const v1::Mode* mode : ModesOf(names.manifest, file.unit(), file.mode())) {
      for (const v1::Stage& stage : mode->stages()) stages.push_back(stage.id());
    }
    if (mode_known) {
      CheckReference(node, File::kStageFieldNumber, "stage", file.stage(),
                     Names(std::move(stages)));
    }
  }
  if (names.manifest.specimens_size() > 0) {
    CheckReference(node, File::kSpecimenFieldNumber, "specimen", file.specimen(),
                   names.specimens);
  }
  CheckDay(node, File::kTestedOnFieldNumber, file.tested_on());
}

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_LINE_PARTS_H_
