// Instruments whose calibration does not cover the day of a test, and instruments that
// nobody has described. Inside of Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_
#define RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_

#include <span>

#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// A warning for each instrument and test day, on the first point of that day that rests
// on the instrument: due before the day, or calibrated after it. A warning for each
// unknown instrument of a column; a note for each file with points of no day whose
// instruments have due dates. An instrument reads what a column says it reads (that of
// the file before that of the manifest), else what its own `reads` says. Dropped points
// are left out.
void CheckCalibration(const document::LineManifest& manifest,
                      std::span<const document::TestPoint> points, FindingList& findings);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_
