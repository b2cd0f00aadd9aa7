// Limits that are no single number, and promises that are more than one quantity against
// one limit. See proto/ratebound/v1/claim_kind.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CLAIM_KIND_H_
#define RATEBOUND_ENGINE_DOCUMENT_CLAIM_KIND_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/claim_region.h"
#include "engine/document/measure.h"

namespace ratebound::document {

struct AgainstQuantity {
  std::string quantity;
  double offset = 0;  // in the claim's limit unit
  double offset_si = 0;
  std::optional<double> upper_offset;
  double upper_offset_si = 0;
  friend bool operator==(const AgainstQuantity&, const AgainstQuantity&) = default;
};

struct LimitLine {
  std::string quantity;
  std::string unit;
  double value = 0;
  double limit = 0;  // in the claim's limit unit
  double other_value = 0;
  double other_limit = 0;
  double value_si = 0;
  double limit_si = 0;
  double other_value_si = 0;
  double other_limit_si = 0;
  friend bool operator==(const LimitLine&, const LimitLine&) = default;
};

struct LimitRow {
  std::vector<MeasureRange> ranges;
  double limit = 0;  // in the claim's limit unit
  double limit_si = 0;
  std::optional<double> upper_limit;
  double upper_limit_si = 0;
  friend bool operator==(const LimitRow&, const LimitRow&) = default;
};

struct LimitTable {
  std::vector<LimitRow> rows;
  std::string source;
  friend bool operator==(const LimitTable&, const LimitTable&) = default;
};

struct Turndown {
  double capacity_fraction = 0;
  std::string lowest_stage;   // empty: the first of the mode
  std::string highest_stage;  // empty: the last
  friend bool operator==(const Turndown&, const Turndown&) = default;
};

struct CapacitySteps {
  int least_count = 0;
  double distinct_fraction = 0;
  std::optional<double> greatest_gap_fraction;
  friend bool operator==(const CapacitySteps&, const CapacitySteps&) = default;
};

struct Equivalence {
  std::string specimen;
  std::string reference_specimen;
  double within_fraction = 0;
  friend bool operator==(const Equivalence&, const Equivalence&) = default;
};

struct OperatingEnvelope {
  PolygonCut polygon;  // of two quantities of the machine
  friend bool operator==(const OperatingEnvelope&, const OperatingEnvelope&) = default;
};

struct SeasonalFloor {
  std::string procedure;
  double at_least = 0;
  std::string unit;
  friend bool operator==(const SeasonalFloor&, const SeasonalFloor&) = default;
};

struct Steadiness {
  std::string log;
  std::string quantity;
  double target = 0;
  std::string unit;
  double mean_within = 0;  // differences
  double band = 0;
  double target_si = 0;
  double mean_within_si = 0;
  double band_si = 0;
  friend bool operator==(const Steadiness&, const Steadiness&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CLAIM_KIND_H_
