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
// (lab_value_si). Dropped points are left as they were read. A point of a curve is not
// reduced; its readings have their uncertainty.
//
// Findings: throat velocities and balances outside the method's limits; readings that
// count for a computed value and whose uncertainty nothing says, once for each mode; the
// lab's figures that a mode computes anew.
//
// INVALID_ARGUMENT, all faults of all points together with file and line: what a plan or
// a point is refused for (reduction/reduce.h), a condition of the mode that was neither
// read nor computed, contradictions among the instruments.
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
