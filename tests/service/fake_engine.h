// An engine that does as its line folder tells it, and a small release whose figures can
// be worked out by hand.
#ifndef RATEBOUND_TESTS_SERVICE_FAKE_ENGINE_H_
#define RATEBOUND_TESTS_SERVICE_FAKE_ENGINE_H_

#include <string>
#include <vector>

#include "engine/document/release.h"
#include "engine/release/build.h"
#include "service/engine.h"

namespace ratebound::service {

// Line "fake", unit "u1" with mode "cool" of stages "low" and "high". Condition
// entering_water_temp, tested from 20 to 40 degC; water_flow held at 0.001 m3/s within
// 0.0001.
//   total_capacity of "high" = 50 000 W - 200 W/K (t - 30), standard error 300 W at 30
//   degC power_input of "high"    = 10 000 W + 100 W/K (t - 30)
// "low" gives half of each. Degrees of freedom 10. Claims a (proven), b (refuted), c (not
// shown); a rating, a refused rating, a finding, a table.
document::Release SampleRelease();

// What the fake does is the text of the file "do.txt":
//   ""        SampleRelease, without the parts not asked for
//   "wait"    waits until it is told to stop
//   "throw"   throws
//   "faults"  fails with 10,000 faults
//   "internal" fails with an internal error that tells secrets
//   "large"   a release whose bytes need many chunks
// A file "outcome.txt" sets claim a's verdict: PROVEN, OBSERVED, NOT_SHOWN or REFUTED.
Engine FakeEngine();
// For engines that know no published procedures.
absl::StatusOr<const PublishedFiles*> NothingPublished();

// The files of a line folder that make the fake do something.
std::vector<release::LineFile> FakeLine(const std::string& what_to_do = "",
                                        const std::string& outcome = "");

}  // namespace ratebound::service

#endif  // RATEBOUND_TESTS_SERVICE_FAKE_ENGINE_H_
