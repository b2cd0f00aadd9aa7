// Test points in SI, and what the check of a line found. See
// proto/ratebound/v1/points.proto.
#ifndef RATEBOUND_ENGINE_DOCUMENT_POINTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_POINTS_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ratebound::document {

struct SiValue {
  std::string quantity;
  double value_si = 0;
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

  std::optional<double> Find(std::string_view quantity) const {
    for (const SiValue& value : values) {
      if (value.quantity == quantity) return value.value_si;
    }
    return {};
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
