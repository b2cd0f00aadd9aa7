// The findings of a screening in the order they are made, and doubts about points in a
// number that a person can read. Inside of Screen. Not thread-safe.
#ifndef RATEBOUND_ENGINE_SCREEN_FINDING_LIST_H_
#define RATEBOUND_ENGINE_SCREEN_FINDING_LIST_H_

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/fault.h"
#include "engine/document/points.h"

namespace ratebound::screen {

// A reason to distrust one point.
struct Doubt {
  std::string kind;  // a few words, the same for all doubts of a kind: "energy balance"
  const document::TestPoint* point = nullptr;
  std::string message;  // one sentence with figures and what to do
  double weight = 0;    // how far off; compares within a kind
};

// More doubts of one kind in one stage stand together in one finding.
inline constexpr size_t kMostDoubtsOneByOne = 8;
// How many ids a finding spells out.
inline constexpr size_t kMostIdsSpelt = 40;

class FindingList {
 public:
  void Add(document::Severity severity, std::string subject, std::string message);
  void Add(document::Severity severity, const document::TestPoint& point,
           std::string message);
  // As a failure.
  void AddFault(const std::string& subject, const base::Fault& fault);

  // As warnings, kind by kind in the order of first appearance. Of a kind with more than
  // kMostDoubtsOneByOne the weightiest stand one by one, the others by id in one finding
  // on `group`, so that no doubted point goes unnamed up to kMostIdsSpelt.
  void AddDoubts(const std::string& group, std::span<const Doubt> doubts);

  std::vector<document::Finding> Take() { return std::move(findings_); }

 private:
  std::vector<document::Finding> findings_;
};

// "p1, p2, p3 and 12 more".
std::string SpeltIds(std::span<const std::string> ids, size_t most = kMostIdsSpelt);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_FINDING_LIST_H_
