// How one point was reduced, down to its readings. See proto/ratebound/v1/points.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHAIN_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHAIN_H_

#include <cstdint>
#include <string>
#include <vector>

#include "engine/document/points.h"
#include "engine/document/rating.h"

namespace ratebound::document {

struct UncertaintyContribution {
  std::string name;
  std::string input;
  double contribution_si = 0;
  double share = 0;
  bool systematic = false;
  friend bool operator==(const UncertaintyContribution&,
                         const UncertaintyContribution&) = default;
};

struct UncertaintyBudget {
  std::string quantity;
  double value_si = 0;
  std::vector<UncertaintyContribution> contributions;
  ValueUncertainty uncertainty;
  friend bool operator==(const UncertaintyBudget&, const UncertaintyBudget&) = default;
};

struct MonteCarloFigure {
  std::string quantity;
  int64_t draw_count = 0;
  double mean_si = 0;
  double standard_deviation_si = 0;
  double low_si = 0;
  double high_si = 0;
  std::string adequacy;
  bool adequate = false;
  friend bool operator==(const MonteCarloFigure&, const MonteCarloFigure&) = default;
};

struct PointChain {
  TestPoint point;
  std::vector<TraceStep> steps;
  std::vector<UncertaintyBudget> budgets;
  std::vector<MonteCarloFigure> monte_carlo;
  std::vector<Finding> findings;
  friend bool operator==(const PointChain&, const PointChain&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHAIN_H_
