// What the headings of a lab's file mean: a quantity in a unit, a label of the point, or
// nothing that is used.
//
// A heading is looked up in this order: the columns of the file's own PointFile, the
// columns of the manifest, the label names "point", "unit", "mode", "stage", "block",
// "specimen", "regime" and "tested_on", and at last as `quantity[unit]`. Nothing is
// guessed: any other heading is a fault.
//
// Example:
//   std::vector<Heading> headings = ResolveHeadings(manifest, nullptr, file, faults);
//   headings[2].quantity->name;        // "entering_water_temp"
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_HEADINGS_H_
#define RATEBOUND_ENGINE_POINTS_HEADINGS_H_

#include <string_view>
#include <vector>

#include "engine/base/fault.h"
#include "engine/document/line.h"
#include "engine/points/csv.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {

struct Heading {
  enum class Use { kQuantity, kLabel, kUnused };
  Use use = Use::kUnused;
  const quantity::Quantity* quantity = nullptr;  // of kQuantity
  quantity::Unit unit;                           // of kQuantity
  document::ReadingStatistic statistic = document::ReadingStatistic::kMean;
  document::ColumnLabel label = document::ColumnLabel::kPoint;  // of kLabel
};

// "point", "unit", ...
std::string_view LabelName(document::ColumnLabel label);

// One entry for each heading of `file`. Faults: an unknown heading (with the nearest
// known one), the same heading twice, two columns for one quantity and statistic or one
// label, a spread of a quantity whose mean no column gives, a heading of `own` that the
// file does not have, a mapping that names an unknown quantity or unit.
// `own` may be null.
std::vector<Heading> ResolveHeadings(const document::LineManifest& manifest,
                                     const document::PointFile* own, const CsvFile& file,
                                     base::FaultList& faults);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_HEADINGS_H_
