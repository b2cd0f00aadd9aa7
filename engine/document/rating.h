// A rating with its trace. See proto/ratebound/v1/rating.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_RATING_H_
#define RATEBOUND_ENGINE_DOCUMENT_RATING_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/document/measure.h"
#include "engine/document/minimum.h"
#include "engine/document/procedure.h"

namespace ratebound::document {

struct TraceStep {
  int depth = 0;
  std::string label;
  double value = 0;
  std::string unit;
  std::string how;
  std::string clause;
  Basis basis = Basis::kUnspecified;
  Footing footing = Footing::kUnspecified;
  std::vector<std::string> test_points = {};
  friend bool operator==(const TraceStep&, const TraceStep&) = default;
};

struct MissingPoint {
  std::string point;
  std::string stage;
  std::vector<std::string> quantities;
  std::vector<Measure> conditions;
  std::string reason;
  bool blocking = false;
  friend bool operator==(const MissingPoint&, const MissingPoint&) = default;
};

struct MissingInput {
  std::string input;
  std::string description;
  std::string unit;
  friend bool operator==(const MissingInput&, const MissingInput&) = default;
};

enum class UncertaintyMethod { kUnspecified, kFirstOrder, kMonteCarlo };

struct MetricContribution {
  std::string source;
  double value = 0;
  bool systematic = false;
  friend bool operator==(const MetricContribution&, const MetricContribution&) = default;
};

struct MetricUncertainty {
  UncertaintyMethod method = UncertaintyMethod::kUnspecified;
  double standard_error = 0;
  double degrees_of_freedom = 0;
  double systematic = 0;
  double confidence = 0;
  double low = 0;
  double high = 0;
  int draw_count = 0;
  uint64_t seed = 0;
  int failed_draw_count = 0;
  std::vector<MetricContribution> contributions;
  std::vector<std::string> notes;
  friend bool operator==(const MetricUncertainty&, const MetricUncertainty&) = default;
};

struct CoefficientSet {
  std::string stage;
  std::string quantity;
  std::string unit;
  std::string temperature_unit;
  std::vector<double> coefficients;  // c1 to c10
  double greatest_deviation_fraction = 0;
  double evaporating_low = 0;
  double evaporating_high = 0;
  double condensing_low = 0;
  double condensing_high = 0;
  friend bool operator==(const CoefficientSet&, const CoefficientSet&) = default;
};

struct BinRow {
  std::string climate;
  double temperature = 0;
  std::string temperature_unit;
  double weight = 0;
  double load_w = 0;
  double capacity_w = 0;
  double power_w = 0;
  double supplementary_power_w = 0;
  double efficiency = 0;
  double degradation = 1;
  std::string stages;
  friend bool operator==(const BinRow&, const BinRow&) = default;
};

struct Rating {
  std::string unit;
  std::string procedure;
  std::string edition;
  std::string metric;
  std::string metric_unit;
  std::optional<double> value;
  std::string rounded;
  Footing footing = Footing::kUnspecified;
  std::vector<TraceStep> trace;
  std::vector<std::string> unconfirmed_numbers;
  std::string refusal;
  std::vector<std::string> notes;
  std::vector<MissingPoint> missing_points = {};
  std::vector<MissingInput> missing_inputs = {};
  std::optional<MetricUncertainty> uncertainty = {};
  std::vector<CoefficientSet> coefficient_sets = {};
  std::vector<MinimumVerdict> minimum_verdicts = {};
  std::vector<BinRow> bins = {};
  friend bool operator==(const Rating&, const Rating&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_RATING_H_
