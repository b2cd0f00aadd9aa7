// One change of a sound document and every fault that it is answered with.
#ifndef RATEBOUND_TESTS_ENGINE_DOCUMENT_FAULT_CASE_H_
#define RATEBOUND_TESTS_ENGINE_DOCUMENT_FAULT_CASE_H_

#include <ostream>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "gtest/gtest.h"

namespace ratebound::document {

struct FaultCase {
  std::string name;
  std::string from;  // in the sound document
  std::string to;
  std::string want;  // all faults, one a line
};

inline void PrintTo(const FaultCase& test, std::ostream* stream) { *stream << test.to; }

inline std::string NameOf(const ::testing::TestParamInfo<FaultCase>& info) {
  return info.param.name;
}

inline std::string FaultsOf(const absl::Status& status) {
  std::vector<std::string> lines;
  for (const base::Fault& fault : base::FaultsOf(status)) {
    lines.push_back(fault.ToString());
  }
  return absl::StrJoin(lines, "\n");
}

}  // namespace ratebound::document

#endif  // RATEBOUND_TESTS_ENGINE_DOCUMENT_FAULT_CASE_H_
