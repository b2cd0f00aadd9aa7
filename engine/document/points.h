// Test points in SI, and what the check of a line found. See
// proto/ratebound/v1/points.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_POINTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_POINTS_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ratebound::document {

// Random parts come out anew with each test, systematic ones stay the same. In the
// quantity's SI unit of a difference; expanded figures at 95 %.
struct ValueUncertainty {
  double random_standard_si = 0;
  double systematic_standard_si = 0;
  double degrees_of_freedom = 0;  // effective, of both together; 0 for unlimited
  double expanded_si = 0;
  double systematic_expanded_si = 0;
  friend bool operator==(const ValueUncertainty&, const ValueUncertainty&) = default;
};

struct SiValue {
  std::string quantity;
  double value_si = 0;
  std::optional<double> standard_deviation_si = {};  // of the readings during the test
  std::optional<double> spread_si = {};              // greatest less least of them
  int reading_count = 0;
  bool computed = false;
  std::optional<double> lab_value_si = {};  // the lab's, of a value that was computed
  std::optional<ValueUncertainty> uncertainty = {};

  // What was read of it; empty where it was only computed.
  std::optional<double> reading_si() const {
    return computed ? lab_value_si : std::optional<double>(value_si);
  }
  friend bool operator==(const SiValue&, const SiValue&) = default;
};

struct TestPoint {
  std::string id;
  std::string file;
  int line = 0;
  std::string unit;
  std::string mode;
  std::string stage;
  std::string block;     // empty where the lab names none
  std::string specimen;  // empty where the lab names none
  std::string regime;    // empty where the lab names none
  std::vector<SiValue> values;
  std::string dropped_reason;  // empty for an accepted point
  std::string tested_on;       // as 2026-03-31; empty where nothing says it
  std::string curve;           // in place of mode and stage
  int last_line = 0;           // of a window of a log

  const SiValue* FindValue(std::string_view quantity) const {
    for (const SiValue& value : values) {
      if (value.quantity == quantity) return &value;
    }
    return nullptr;
  }
  std::optional<double> Find(std::string_view quantity) const {
    const SiValue* const value = FindValue(quantity);
    return value == nullptr ? std::optional<double>() : value->value_si;
  }
  bool accepted() const { return dropped_reason.empty(); }
  friend bool operator==(const TestPoint&, const TestPoint&) = default;
};

enum class Severity { kNote, kWarning, kFailure };

struct Finding {
  Severity severity = Severity::kNote;
  std::string subject;
  std::string message;
  std::string file;
  int line = 0;
  friend bool operator==(const Finding&, const Finding&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_POINTS_H_
