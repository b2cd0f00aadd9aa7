// One release held against another: what changed, and what of it is a regression.
//
// Claims and declared ratings are compared as by the gate (engine/claim/gate.h,
// engine/claim/declared_rating.h): a claim shown less well, or as well while less is
// promised, is a regression. A rating is one where it is lost, rests on less, or on
// numbers less well known.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_SERVICE_COMPARISON_H_
#define RATEBOUND_SERVICE_COMPARISON_H_

#include <vector>

#include "engine/document/release.h"
#include "ratebound/v1/release_service.pb.h"

namespace ratebound::service {

// Files, units, ratings, claims, declared ratings and tables that differ, in this order
// and within each in that of the documents: those of `to`, then those only in `from`.
std::vector<v1::ReleaseChange> CompareReleases(const document::Release& from,
                                               const document::Release& to);

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_COMPARISON_H_
