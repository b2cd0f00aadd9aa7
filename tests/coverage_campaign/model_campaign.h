// How often intervals hold where the truth is of no form that is fitted: simulated test
// campaigns, each fitted by every model that a manifest may ask for (engine/map), and by
// those that choices among them take.
//
// Of each campaign it asks at conditions drawn from the tested ranges, for 95 % intervals
// of the truth there and of one more measurement there on another day. Two rules:
// intervals by CR2 (engine/fit/intervals_by_block.h; Student's exact ones where there are
// no days), and the standard error that a map gives with its degrees of freedom.
//
// Example:
//   ModelReport report = RunModels({.name = "power", .truth = Power, ...});
//   report.models[0].mean ...       // share of intervals that hold the truth
#ifndef RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MODEL_CAMPAIGN_H_
#define RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MODEL_CAMPAIGN_H_

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "engine/fit/polynomial_basis.h"

namespace ratebound::map {

struct ModelPlan {
  std::string name;
  std::string quantity;
  bool is_power = false;
  std::vector<std::string> conditions;
  std::vector<fit::ScaledRange> ranges;  // of the conditions, in SI
  std::function<double(std::span<const double>)> truth;
  int days = 24;
  int points_per_day = 2;
  double error_fraction = 0.01;  // standard deviation of a point
  // Of the errors of two points of a day. Below 0: independent points without blocks.
  double correlation = -1;
  int campaigns = 1000;
};

struct ModelCoverage {
  std::string model;
  int terms = 0;  // 0 where they vary
  // Root mean square of what the model misses without errors, as a fraction; below 0
  // where the model varies.
  double misses = -1;
  double mean = 0;        // share of intervals that hold the truth
  double corner = 0;      // the same near one corner of the ranges
  double map_mean = 0;    // the same as `mean` with the map's own standard error
  double prediction = 0;  // intervals that hold a new measurement
  double half_width = 0;  // median of the intervals of the truth, a fraction
  double chosen = 0;      // share of campaigns in which the rule for all families took it
  int refused = 0;        // campaigns without this model or its covariance
};

struct ModelReport {
  std::vector<ModelCoverage> models;
  // Standard deviation of a share of 95 % as if intervals of one campaign were one.
  double standard_error = 0;
};

// The same numbers for the same plan; the seed is its name.
ModelReport RunModels(const ModelPlan& plan);

// The machine of machine.h, over wet bulb and water, and air flow where there are three.
ModelPlan MachinePlan(bool power, int conditions, double correlation);

inline constexpr char kChosenDegree[] = "the degree of the least error";
inline constexpr char kOneAbove[] = "one degree above that";
inline constexpr char kChosenFamily[] = "the simplest within one standard error";

}  // namespace ratebound::map

#endif  // RATEBOUND_TESTS_COVERAGE_CAMPAIGN_MODEL_CAMPAIGN_H_
