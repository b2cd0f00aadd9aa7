// How far a laboratory test may be from the rated values, as data. See
// proto/ratebound/v1/test_tolerance.proto for what each field means. Values stay in the
// document's own units.
#ifndef RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_H_
#define RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"

namespace ratebound::document {

struct LoadTolerance {
  std::string id;
  std::string title;
  CitedValue constant;
  std::optional<CitedValue> per_load;
  CitedValue over_difference;
  bool regardless_of_load = false;
  Citation citation;
  friend bool operator==(const LoadTolerance&, const LoadTolerance&) = default;
};

struct PressureDropTolerance {
  CitedValue ratio;
  CitedValue addition;
  Citation citation;
  friend bool operator==(const PressureDropTolerance&,
                         const PressureDropTolerance&) = default;
};

struct TestTolerances {
  std::string id;
  std::string title;
  std::string document;
  std::string edition;
  std::string temperature_difference_unit;
  std::vector<LoadTolerance> tolerances;
  std::optional<PressureDropTolerance> pressure_drop;
  std::vector<std::string> notes;
  friend bool operator==(const TestTolerances&, const TestTolerances&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_TEST_TOLERANCE_H_
