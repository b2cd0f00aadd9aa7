// Instruments whose calibration does not cover the day of a test. Inside of Screen.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_
#define RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_

#include <span>

#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// A warning for each instrument and test day, on the first point of that day that rests
// on the instrument: due before the day, or calibrated after it; a note for each file
// with points of no day whose instruments have due dates. points/instruments.h says which
// instrument reads what. Dropped points are left out.
void CheckCalibration(const document::LineManifest& manifest,
                      std::span<const document::TestPoint> points, FindingList& findings);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_CALIBRATION_H_
