// A unit that cannot unload to a load cycles its lowest stage and loses by it.
//
// With CR the load over the capacity of the stage, 0 < CR < 1, and coefficients that are
// data of the procedure:
//
//  - coefficient line: CD = slope * CR + intercept, and
//      whole power (AHRI 550/590 and 551/591): capacity over CD times the power;
//      by powers (AHRI 340/360): CR * capacity / (CR * CD * cycling powers + continuous
//      powers), where compressor and condenser section cycle, indoor fan and controls go
//      on;
//  - linear: efficiency times 1 - Cd * (1 - CR) (10 CFR 430 Subpart B App. M1; EN 14825
//    for air units);
//  - ratio: efficiency times CR / (Cc * CR + 1 - Cc) (EN 14825 for water units).
// (Equations from memory, as the procedure files say.)
//
// The cycling powers are the total less the continuous ones, so that a stage that runs
// all the time (CR = CD = 1) has exactly its measured efficiency.
#ifndef RATEBOUND_ENGINE_RATING_CYCLING_H_
#define RATEBOUND_ENGINE_RATING_CYCLING_H_

#include "engine/document/part_load.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

struct CyclingPlan {
  document::CyclingRule rule = document::CyclingRule::kCoefficientLine;
  double slope = 0;  // of kCoefficientLine
  double intercept = 1;
  bool by_powers = false;
  double coefficient = 0;  // Cd of kLinear, Cc of kRatio
};

struct Cycled {
  double figure = 0;       // in the unit of the metric
  double load_factor = 0;  // CR
  double coefficient = 0;  // CD, or the factor on the efficiency
  double cycling_w = 0;    // by powers
};

// `continuous_w` is used by powers alone; it is at most the power of the run.
inline Cycled CycleDown(const CyclingPlan& plan, const StageReader& reader,
                        const StageRun& run, double load_si, double continuous_w) {
  Cycled cycled{.load_factor = load_si / run.capacity_si};
  const double load_factor = cycled.load_factor;
  switch (plan.rule) {
    case document::CyclingRule::kCoefficientLine:
      cycled.coefficient = plan.slope * load_factor + plan.intercept;
      if (!plan.by_powers) {
        cycled.figure =
            reader.FigureOf(run.capacity_si, cycled.coefficient * run.power_w);
        break;
      }
      cycled.cycling_w = run.power_w - continuous_w;
      cycled.figure = reader.FigureOf(
          load_factor * run.capacity_si,
          load_factor * cycled.coefficient * cycled.cycling_w + continuous_w);
      break;
    case document::CyclingRule::kLinear:
      cycled.coefficient = 1 - plan.coefficient * (1 - load_factor);
      cycled.figure = reader.rule().Scaled(run.figure, cycled.coefficient);
      break;
    case document::CyclingRule::kRatio:
      cycled.coefficient =
          load_factor / (plan.coefficient * load_factor + 1 - plan.coefficient);
      cycled.figure = reader.rule().Scaled(run.figure, cycled.coefficient);
      break;
  }
  return cycled;
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_CYCLING_H_
