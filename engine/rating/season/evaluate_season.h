// The sums of a season and its figures.
//
// In each bin with load L:
//  - by curves: a smallest stage above L cycles; L between two stages is met as the plan
//    says; above the largest it runs all the time (stage_mix.h);
//  - by declared points: capacity and efficiency interpolated over temperature between
//    points that are found first (declared_points.h).
// Then, with the part of the time that the unit may be on, unmet load goes to the backup,
// counts nowhere, or counts at the unit's efficiency. Summed with the bins' weights,
//   active = load met / power of unit and backup        (SEER2, HSPF2, SEERon, SCOPon,
//                                                        CSPF, SEPR)
//   net    = capacity of the unit / its own power        (SCOPnet)
//   annual = demand / (demand / active + sum of idle hours times power)     (SEER, SCOP);
//            without demand hours, load met / (power + idle energy)
//   space  = 100 (annual / conversion coefficient - corrections), percent    (eta_s)
// Sources: 10 CFR 430 Subpart B App. M1 sections 4.1 and 4.2 (from memory); Regulations
// (EU) 206/2012, 813/2013 and 2016/2281 (published text for annual and space figures, EN
// 14825 from memory for the active and net ones); ISO 16358-1 (from memory).
//
// A bin of no load is off: neither capacity nor power. Determinism: sums in the order of
// the bins. No allocation. Where something cannot be (no temperature of balance, an
// efficiency at or below zero) the figures are NaN.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_EVALUATE_SEASON_H_
#define RATEBOUND_ENGINE_RATING_SEASON_EVALUATE_SEASON_H_

#include <span>
#include <vector>

#include "engine/document/season.h"
#include "engine/rating/season/season_plan.h"

namespace ratebound::rating {

// What runs in a bin.
enum class BinRun {
  kOff,
  kCycling,   // `high` alone, part of the time
  kBetween,   // `low` and `high`
  kFull,      // `high` all the time
  kDeclared,  // by declared points
};

struct BinResult {
  double temperature = 0;
  double weight = 0;
  double load_w = 0;
  double capacity_w = 0;  // that the unit gives
  double power_w = 0;     // of the unit
  double backup_power_w = 0;
  double counted_w = 0;    // load that counts as met
  double efficiency = 0;   // of the unit, W/W; 0 where off
  double degradation = 1;  // factor on the efficiency by cycling
  double on_part = 1;
  BinRun run = BinRun::kOff;
  int low = 0;
  int high = 0;
  // Of kBetween: part of the load's way from the capacity of `low` to that of `high`.
  double part = 0;
};

struct SeasonSums {
  double design_load_w = 0;
  double counted = 0;       // weight times W
  double used = 0;          // by unit and backup
  double unit_counted = 0;  // given by the unit
  double unit_used = 0;
};

// Figures of the unit beside its tests: stages at declared points and in bins.
class FurtherFigures {
 public:
  virtual ~FurtherFigures() = default;
  // Of an index that is not below the number of tests. NaN where there are none.
  virtual StagePoint Figure(int index) const = 0;
};

// `tests` are those of the plan as the unit was tested; what it lacks is NaN.
SeasonSums SumSeason(const SeasonPlan& plan, std::span<const StagePoint> tests,
                     const FurtherFigures& further);
// The same, with what each bin came to.
SeasonSums SumSeason(const SeasonPlan& plan, std::span<const StagePoint> tests,
                     const FurtherFigures& further, std::vector<BinResult>& bins);

// The tests with the defaults in their places.
std::vector<StagePoint> TestsWithDefaults(const SeasonPlan& plan,
                                          std::span<const StagePoint> tests);

// In the unit of the metric; kSpace in percent.
double SeasonFigureOf(const SeasonPlan& plan, const SeasonSums& sums,
                      document::SeasonFigureKind kind);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_EVALUATE_SEASON_H_
