// Which points to distrust and why, and what the accepted points can carry. Nothing is
// dropped here: a suspicious point is flagged and kept. What is left out is written into
// the manifest by a person, with a reason, and stays in every report.
//
// Example:
//   std::vector<document::Finding> findings = Screen(manifest, methods, points);
//   findings[0].message;   // "energy balance: heat_rejection of 8531 W is 9.1 % above
//   ..."
//
// Dropped points come first, then each unit, mode and stage in the order of the manifest,
// then calibrations. The figures and sources of each check stand in its header.
//
//   failure  a stage without accepted points; a group with too few points for a plane or
//   a
//            condition of one level; unlike specimens that are not to be pooled; wet and
//            dry coils in a group without a regime; a point that lacks a condition
//   warning  fewer blocks than the uncertainty of a proof needs; a temperature that
//   varies
//            by set-point scatter alone; points without capacity or power
//            (stage_shape.h); test tolerances (tolerances.h); energy balances
//            (balances.h); what is physically impossible (impossibilities.h); the lab's
//            own figures (lab_figures.h); a coil that is not as its regime says (coil.h);
//            repeats that disagree (repeats.h); days that are off and outliers
//            (outliers.h); calibrations (calibration.h)
//   note     how many points, blocks and levels; dropped points with their reasons;
//            specimens pooled; what could not be judged, and why; points on which a
//            surface hangs
//
// Findings of one kind about many points of a stage are gathered (finding_list.h).
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_SCREEN_CHECK_H_
#define RATEBOUND_ENGINE_SCREEN_CHECK_H_

#include <span>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/points.h"

namespace ratebound::screen {

// Points as ReadAllPoints gives them, after any reduction; `methods` holds those that the
// manifest names. A steadiness method that is not among them is noted and not judged.
std::vector<document::Finding> Screen(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods,
    std::span<const document::TestPoint> points);

// For a line that names no methods.
std::vector<document::Finding> Screen(const document::LineManifest& manifest,
                                      std::span<const document::TestPoint> points);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_CHECK_H_
