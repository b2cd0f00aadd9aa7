// The models that a surface for tables may be chosen from: a few, fixed by what the
// manifest asks and by how many levels the points have, before any value is seen.
//
// Example:
//   for (const ModelCandidate& candidate : CandidatesOf(problem, options)) ...
//   candidates[1].name;                  // "degree 2, entering_water_temp up to 1"
//
// Without a request: full polynomials of total degree 1 to kGreatestTableDegree. With
// one, each family (document::ModelFamily) adds, for those degrees:
//   total degree          the full polynomial; of degree 3 over two temperatures it is
//                         the ten-coefficient form of AHRI 540 (from memory) and named so
//   condition degrees     for degree 2 and 3, where a condition has no more levels than
//                         the degree: the polynomial in which it goes up to its levels
//                         less one
//   log response          the full polynomial for the logarithm
//   reciprocal temp.      the full polynomial in one over absolute temperatures
//   Carnot                for the mode's power, that of its ratio to the ideal factor
//   joint stages          over conditions and stage share, the share going up to the
//                         number of stages less one
// Subsets of terms by backward elimination are no family: what is chosen among hundreds
// of subsets looks better than it is, and no leave-one-out error sees that.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_CANDIDATES_H_
#define RATEBOUND_ENGINE_MAP_MODEL_CANDIDATES_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/map.h"

namespace ratebound::map {

inline constexpr int kGreatestTableDegree = 3;

struct ModelCandidate {
  std::string name;
  int degree = 1;
  std::vector<int> caps;  // greatest power of each condition; empty: the degree
  std::optional<document::SurfaceForm> form;
  bool joint = false;  // over the points of all stages, the share as last condition
};

// What the families are of. Refers to the caller's data.
struct CandidateScope {
  std::span<const std::string> conditions;
  std::vector<int> levels;  // of each condition (points::CountLevels)
  std::string quantity;
  bool is_power = false;  // of the mode
  bool heating = false;
  // Of the points of all stages; empty where the stage stands alone.
  std::span<const std::string> joint_conditions;
  std::vector<int> joint_levels;
};

// `request` may be null. The order is that of the families above, degrees rising.
std::vector<ModelCandidate> CandidatesOf(const CandidateScope& scope,
                                         const document::ModelRequest* request);

// True for degree 3 over two temperatures, as they are.
bool IsTenCoefficientForm(std::span<const std::string> conditions,
                          const ModelCandidate& candidate);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_CANDIDATES_H_
