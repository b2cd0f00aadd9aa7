// Every test point of a line, reduced: capacities from raw readings where its mode has a
// reduction, and the uncertainty of every value where instruments or scatter say it.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<TestPoint> points, ReadAllPoints(manifest, files));
//   ASSIGN_OR_RETURN(std::vector<Finding> findings, ReducePoints(manifest, methods,
//                                                                points));
//   points[0].FindValue("total_capacity")->uncertainty->systematic_expanded_si;
//
// A computed value takes the place of the lab's own figure, which stays beside it
// (lab_value_si); screen/lab_figures.h compares the two. Dropped points are left as they
// were read. Points of curves and of frost cycles are not reduced; their readings have
// their uncertainty.
//
// Values have an uncertainty where the manifest has instruments or the readings their
// scatter, and computed ones, too, where it has systematic_uncertainties.
//
// Findings: throat velocities and balances outside the method's limits; readings that
// count for a computed value and whose uncertainty nothing says, once for each mode.
//
// INVALID_ARGUMENT, all faults of all points together: what a plan is refused for and
// contradictions among the instruments, in line.textproto; what a point is refused for
// (reduction/reduce.h) and a condition of the mode that was neither read nor computed,
// with the file and line of the point.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_REDUCE_POINTS_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_REDUCE_POINTS_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/points.h"

namespace ratebound::points {

absl::StatusOr<std::vector<document::Finding>> ReducePoints(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods,
    std::vector<document::TestPoint>& points);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_REDUCE_POINTS_H_
