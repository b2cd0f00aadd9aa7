// The air side of one point: its readings checked and its answers explained. Inside of
// this folder.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_SIDE_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_SIDE_H_

#include <string>

#include "engine/points/reduction/air_equations.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/step_recorder.h"

namespace ratebound::points {

// What was read of a state besides its dry bulb.
struct StateReading {
  HumidityReading kind = HumidityReading::kWetBulb;
  fluid::Phase phase = fluid::Phase::kWater;
  bool read = false;
  bool clamped = false;  // to the dry bulb, within the slack
};

struct AirExplanation {
  const AirPlan& plan;
  const AirPattern& pattern;
  StateReading entering;
  StateReading leaving;
  std::string barometer;  // where it is from
  bool nozzle_air_is_leaving = false;
};

// Every intermediate value in the method's units.
void ExplainAir(const AirExplanation& what, const AirReadings<double>& in,
                const AirAnswers<double>& answers, StepRecorder& steps);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_SIDE_H_
