// Whether surfaces for tables close the balances that tie them, and how they are fitted
// together so that they do.
//
// Linear balances. The mismatch, a sum of surfaces, is one polynomial: its greatest size
// is enclosed over all tested ranges, and the tolerance, a part of the balance's first
// term, is proven or refuted over the tested region. Greatest part of the first term by
// Dinkelbach's iteration (Management Science 13 (1967) 492): the least of
// part * first - |mismatch| over the ranges, until it is nothing.
//
// Without declared balances a mode that fits heat_rejection beside capacity and power
// while it cools, or heat_absorbed while it heats, is judged by the balance of the whole
// unit. Balance tolerance of 6 % as laboratories allow between two methods of measuring
// (ANSI/ASHRAE 37, from memory).
//
// Streams. The leaving temperature of water or air times flow is no sum of surfaces;
// where temperature and flow are conditions (or held), heat = flow * density * specific
// heat * difference is compared at the tested points only, and says so.
//
// Fitting together. Where responses are fitted to the same points by the same terms,
// fitting them jointly is fitting each by itself (Zellner, J. American Statistical
// Association 57 (1962) 348), so that the tie is the only coupling: generalised least
// squares under f_1 b_1 + ... + f_r b_r = 0 takes the mismatch m = sum f_k b_k off by
//   b_k - m (S f)_k / (f' S f),   S the covariance of the residuals between responses,
// which gives to each response as much of the mismatch as its scatter explains. All terms
// of the balance then share one degree, the greatest among them.
//
// Thread-safety: pure, but for `map`. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_CONSISTENCY_H_
#define RATEBOUND_ENGINE_MAP_CONSISTENCY_H_

#include <span>
#include <string>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/map.h"
#include "engine/document/points.h"

namespace ratebound::map {

inline constexpr double kBalanceTolerance = 0.06;

// A balance that surfaces were to close.
struct JointFit {
  document::EnergyBalance balance;
  std::string refusal;  // why they do not; empty where they do
  std::vector<document::JointChange> changes;
  double mismatch_before_w = 0;
};

// The declared balances, or the default ones that the mode's surfaces allow.
std::vector<document::EnergyBalance> BalancesOf(const document::Mode& mode,
                                                const document::StageMap& map);

// Fits the surfaces of every balance that asks for it; a quantity of two such balances is
// refused in the second.
std::vector<JointFit> FitTogether(const document::Mode& mode,
                                  std::span<const document::TestPoint> points,
                                  document::StageMap& map);

// Fills map.consistencies and map.response_covariances.
void JudgeConsistency(const document::Mode& mode,
                      std::span<const document::TestPoint> points,
                      std::vector<JointFit> joint_fits, document::StageMap& map);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_CONSISTENCY_H_
