// Test points out of the lab's files: what each cell means is known from its heading,
// values are turned to SI, and every point is checked against the line's manifest.
//
// Example:
//   const PointSource files[] = {{"points/day1.csv", bytes}};
//   ASSIGN_OR_RETURN(std::vector<document::TestPoint> points, ReadAllPoints(manifest,
//   files));
//
// Headings: see headings.h. A label that no column gives comes from the file's PointFile.
// An empty cell is "not measured": the point lacks the quantity. Without a column of ids
// a point is called by file name and line, "day1.csv:7".
//
// Faults, all of all files together, with file:line:column:
//   - what csv.h and headings.h refuse;
//   - a point without unit, mode or stage; an unknown unit, mode, stage or specimen;
//   - a value outside the plausible range of its quantity;
//   - a wet bulb or dew point above its dry bulb, or a dew point above its wet bulb, by
//   more than
//     the uncertainties of the two, or 0.3 K where the manifest gives none;
//   - a condition of the mode, fitted or held, that was not measured (where the mode has
//   a
//     reduction, the pipeline asks this after it);
//   - a held condition further from its value than its tolerance;
//   - an id used twice; a dropped point that does not exist; a PointFile without its
//   file.
// A dropped point keeps its labels checked; its values are why it was dropped, so they
// are not.
//
// Order: by unit, mode and stage as in the manifest, then regime, block, specimen, the
// values of the mode's conditions, all values in the order of their names, and the id. So
// the order, and with it every bit of a fit, does not depend on the order of rows or
// files. A point's values are in the order of their names.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_INGEST_H_
#define RATEBOUND_ENGINE_POINTS_INGEST_H_

#include <span>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::points {

// One file of points; `path` is relative to the line folder.
struct PointSource {
  std::string_view path;
  std::string_view bytes;
};

// Allowed excess of a wet bulb or dew point where the manifest gives no uncertainty of it
// or its dry bulb. Common practice for laboratory psychrometers, no source.
inline constexpr double kHumidityReadingSlackK = 0.3;

// `windows` are points that were cut from logs; they are checked like those of files and
// may be dropped by the manifest like them.
absl::StatusOr<std::vector<document::TestPoint>> ReadAllPoints(
    const document::LineManifest& manifest, std::span<const PointSource> files,
    std::vector<document::TestPoint> windows = {});

// One file alone; does not ask for dropped points and PointFiles of other files.
absl::StatusOr<std::vector<document::TestPoint>> ReadPoints(
    const document::LineManifest& manifest, std::string_view path,
    std::string_view bytes);

// Puts points into the order described above.
void SortPoints(const document::LineManifest& manifest,
                std::vector<document::TestPoint>& points);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_INGEST_H_
