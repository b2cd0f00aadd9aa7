// The instruments of a laboratory. See proto/ratebound/v1/instrument.proto for what each
// field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_INSTRUMENT_H_
#define RATEBOUND_ENGINE_DOCUMENT_INSTRUMENT_H_

#include <optional>
#include <string>
#include <vector>

namespace ratebound::document {

enum class AccuracyDistribution { kNormal, kRectangular, kTriangular, kArcsine };

struct Accuracy {
  std::string name;
  std::optional<double> relative_fraction;
  std::optional<double> absolute;
  std::string unit;
  AccuracyDistribution distribution = AccuracyDistribution::kNormal;
  std::optional<double> coverage_factor;
  std::optional<double> degrees_of_freedom;
  bool random = false;
  std::string shared_reference;
  std::string source;
  friend bool operator==(const Accuracy&, const Accuracy&) = default;
};

struct Instrument {
  std::string id;
  std::string description;
  std::string certificate;
  std::string calibrated_on;
  std::string due_on;
  std::vector<std::string> reads;
  std::optional<double> resolution;
  std::string resolution_unit;
  std::vector<Accuracy> accuracies;
  friend bool operator==(const Instrument&, const Instrument&) = default;
};

struct ReadingCorrelation {
  std::string first_quantity;
  std::string second_quantity;
  double coefficient = 0;
  std::string source;
  friend bool operator==(const ReadingCorrelation&, const ReadingCorrelation&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_INSTRUMENT_H_
