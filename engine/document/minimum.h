// Minimum levels of metrics as dated data, and how a metric stands to them. See
// proto/ratebound/v1/minimum.proto for what each field means. Days are ISO 8601 texts,
// which compare as the days do.
#ifndef RATEBOUND_ENGINE_DOCUMENT_MINIMUM_H_
#define RATEBOUND_ENGINE_DOCUMENT_MINIMUM_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"

namespace ratebound::document {

struct MinimumKey {
  std::string name;
  std::string value;
  friend bool operator==(const MinimumKey&, const MinimumKey&) = default;
};

// Exactly one of value and not_known is set.
struct MinimumLevel {
  std::vector<std::string> procedure_families;
  std::string metric_unit;
  std::vector<std::string> equipment_classes;
  std::optional<CitedValue> capacity_low;
  std::optional<CitedValue> capacity_high;
  std::vector<int> phase_counts;
  std::vector<MinimumKey> keys;
  std::string valid_from;
  std::string valid_until;
  std::optional<double> value;
  std::string not_known;
  bool at_most = false;
  Citation citation;
  friend bool operator==(const MinimumLevel&, const MinimumLevel&) = default;
};

struct MinimumLevels {
  std::string id;
  std::string title;
  std::string document;
  std::string edition;
  std::vector<MinimumLevel> levels;
  std::vector<std::string> notes;
  friend bool operator==(const MinimumLevels&, const MinimumLevels&) = default;
};

enum class MinimumOutcome { kMeets, kDoesNotMeet, kNotKnown };

// "meets", "does not meet", "not known".
std::string MinimumOutcomeName(MinimumOutcome outcome);

struct MinimumVerdict {
  std::string minimum_levels;
  MinimumOutcome outcome = MinimumOutcome::kNotKnown;
  std::string day;
  std::optional<double> level;
  std::string valid_from;
  std::string valid_until;
  std::string reason;
  std::string clause;
  Basis basis = Basis::kUnspecified;
  friend bool operator==(const MinimumVerdict&, const MinimumVerdict&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_MINIMUM_H_
