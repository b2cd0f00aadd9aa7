// Surfaces for tables, fitted again so that they obey the shape facts.
//
// Of all coefficients b whose facts hold over all tested ranges by the inequalities of
// shape_rows.h, those that add least to the weighted sum of squared residuals: with b0
// the fit without constraints and X'WX as in that fit,
//   minimise sum over quantities (b - b0)' X'WX (b - b0) / s^2,  s the residual standard
//   deviation,
// a quadratic programme (engine/fit/constrained.h) over all quantities that facts, or
// ties of a joint fit, link. Where ranges are divided into more parts the inequalities
// ask for less: parts are doubled while that lowers what is added by more than a
// hundredth, within kMostRows inequalities.
//
// Every inequality keeps kFactMargin of the size of the surface, so that rounding cannot
// turn its sign and the fact can be proven afterwards. The optimum is accepted only where
// the checker (engine/fit/constrained_check.h) passes it; its residuals stand in
// document::ShapeRefit. The covariance and the leave-out error of a surface stay those of
// the fit without constraints; its residual standard deviation is the new one.
//
// Facts that contradict each other leave the surfaces as they were, with the reason.
#ifndef RATEBOUND_ENGINE_MAP_SHAPE_REFIT_H_
#define RATEBOUND_ENGINE_MAP_SHAPE_REFIT_H_

#include <string>
#include <vector>

#include "engine/document/map.h"
#include "engine/map/consistency.h"

namespace ratebound::map {

inline constexpr double kFactMargin = 1e-9;
inline constexpr int kMostRows = 4'000;
inline constexpr int kMostParts = 16;

// For the facts of map.shapes that are judged and not PROVEN, and all that are linked to
// them. Fills map.shape_refits; returns the quantities whose surfaces changed.
std::vector<std::string> BendToFacts(const std::vector<JointFit>& joint_fits,
                                     document::StageMap& map);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SHAPE_REFIT_H_
