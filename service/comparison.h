// One release held against another: which claims are shown less well, and what else
// changed.
//
// A claim's verdicts go from strong to weak: PROVEN, OBSERVED, NOT_SHOWN, REFUTED. A
// claim that is as well shown but says less than before (its limit eased, its region
// smaller) is no regression of the unit, yet is reported as changed.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_SERVICE_COMPARISON_H_
#define RATEBOUND_SERVICE_COMPARISON_H_

#include <span>
#include <vector>

#include "engine/document/claim.h"
#include "engine/document/release.h"
#include "ratebound/v1/rating_service.pb.h"
#include "ratebound/v1/release_service.pb.h"

namespace ratebound::service {

// A verdict and its like in the baseline; one of the two may be missing.
struct ComparedVerdict {
  const document::Verdict* now = nullptr;
  const document::Verdict* before = nullptr;
  v1::VerdictChange change = v1::VERDICT_CHANGE_UNSPECIFIED;
};

// In the order of `now`, then those only in `before` in its order. Points into both.
std::vector<ComparedVerdict> CompareVerdicts(std::span<const document::Verdict> now,
                                             std::span<const document::Verdict> before);

// Files, units, ratings, claims and tables that differ, in this order and within each in
// that of the documents: those of `to`, then those only in `from`.
std::vector<v1::ReleaseChange> CompareReleases(const document::Release& from,
                                               const document::Release& to);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_COMPARISON_H_
