// A season of temperature bins made ready to be computed again and again: everything that
// does not depend on capacities and powers is worked out beforehand, so that one season
// costs a few operations a bin and no allocation (evaluate_season.h).
//
// A plan is plain numbers. Temperatures stand in the season's own unit; loads, capacities
// and powers in W; weights are hours or parts of hours.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_PLAN_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_PLAN_H_

#include <limits>
#include <vector>

#include "engine/document/season.h"

namespace ratebound::rating {

inline constexpr int kMostSeasonTests = 32;
inline constexpr int kMostSeasonStages = 16;

// What a stage does at one condition. Without default values: hot loops hold arrays of
// them and fill those that they use.
struct StagePoint {
  double capacity_w;
  double power_w;
};

// A point on the straight line through two others, `part` of the way from `a` to `b`. An
// index below the number of tests is a test, one from there on a further figure of the
// unit.
struct LinePoint {
  int a = 0;
  int b = 0;
  double part = 0;
};

// A test: as the unit was tested, or factors on a line through tests before it.
struct TestPlan {
  bool is_default = false;
  LinePoint line;
  double capacity_factor = 1;
  double power_factor = 1;
  double temperature = 0;
};

// A straight line of a curve and where it holds; for temperatures of balance.
struct LineSegment {
  int a = 0;
  int b = 0;
  double from = -std::numeric_limits<double>::infinity();
  double to = std::numeric_limits<double>::infinity();
};

// A curve through a test with a slope that is mixed from two others.
struct SlopePlan {
  int test = 0;
  double temperature = 0;
  LinePoint lower;  // the neighbouring curves at that temperature
  LinePoint upper;
  LineSegment lower_slope;
  LineSegment upper_slope;
};

struct CurvePlan {
  bool is_slope = false;
  SlopePlan slope;
  std::vector<LineSegment> segments;
};

struct BinPlan {
  double temperature = 0;
  double weight = 0;
  double load_part = 0;  // of the design load
  double on_part = 1;    // of the time that the unit may be on
  int lowest = 0;        // the smallest stage that may run
};

// The load as a line over temperature before it is kept between its bounds.
struct LoadPlan {
  double at_zero = 0;  // part at a temperature of zero
  double slope = 0;    // part for each degree
  int size_test = -1;  // its capacity is the design load; -1: `size` alone is
  double size = 1;     // factor on that capacity, or W
};

struct DegradationPlan {
  document::DegradationForm form = document::DegradationForm::kLinearLoss;
  double coefficient = 0;
};

struct DeclaredPlan {
  double temperature = 0;
  double load_part = 0;
  int test = 0;  // it is the point of `own_stage` there
  int own_stage = 0;
  int first_figure = 0;  // of the stages there, from the smallest
};

// Bins by declared points as columns, so that several are computed at once.
struct DeclaredColumns {
  // Bins from `begin` to before `end` lie between the same two points, rising or falling.
  struct Segment {
    int a = 0;
    int b = 0;
    int begin = 0;
    int end = 0;
    bool on = true;
  };
  // Whether all bins have load and nothing is decided in them.
  bool usable = false;
  std::vector<Segment> segments;
  std::vector<double> parts;
  std::vector<double> load_parts;
  std::vector<double> on_parts;
  std::vector<double> weights;
};

struct IdlePlan {
  double hours = 0;
  double power_w = 0;
};

struct SeasonPlan {
  std::vector<TestPlan> tests;
  LoadPlan load;
  std::vector<BinPlan> bins;

  // By curves: one LinePoint for each curve in each bin, bin after bin; in that of a
  // slope curve `part` is the distance from its test's temperature.
  std::vector<CurvePlan> curves;
  std::vector<LinePoint> lines;
  document::BetweenStages between = document::BetweenStages::kAlternate;

  // By declared points, where there are any: by rising temperature; `lines` then holds
  // one LinePoint a bin between them.
  std::vector<DeclaredPlan> declared;
  DeclaredColumns declared_columns;
  int stage_count = 0;
  double window_part = 0;
  document::DegradeAt degrade_at = document::DegradeAt::kPoints;

  DegradationPlan degradation;
  DegradationPlan highest_stage_degradation;
  document::UnmetLoad unmet_load = document::UnmetLoad::kNotCounted;
  // Watts of capacity that the backup gives for a watt.
  double backup_efficiency = 1;
  double backup_power = 1;  // one over it
  bool off_below_backup = false;

  // The figures of a year.
  double unit_factor = 1;  // from W/W to the unit of the metric
  double defrost_factor = 1;
  double demand_hours = 0;  // 0: the bins' own sums are the year
  std::vector<IdlePlan> idle_modes;
  double conversion_coefficient = 1;
  double corrections = 0;  // their sum, a part
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_PLAN_H_
