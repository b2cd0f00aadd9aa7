// Whether a polynomial over the conditions of a stage is nowhere negative in its tested
// region: proven or refuted for every real point, with the part where it fails.
//
// Example:
//   ASSIGN_OR_RETURN(RegionJudge judge, RegionJudge::Create(map, surface));
//   ASSIGN_OR_RETURN(RegionVerdict verdict, judge.Judge(slope));
//
// The prover (engine/bound/prove_minimum.h) takes all tested ranges first. Where that is
// more than holds, the ranges are covered by boxes, each of which is untested, or holds,
// or fails, or is halved (engine/bound/cover_region.h, engine/map/tested_region.h): what
// fails only where nothing was tested is proven all the same. Budgets count boxes.
//
// Thread-safety: const methods may be called concurrently. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_SHAPE_JUDGE_H_
#define RATEBOUND_ENGINE_MAP_SHAPE_JUDGE_H_

#include <cstdint>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/polynomial.h"
#include "engine/document/map.h"
#include "engine/map/tested_region.h"

namespace ratebound::map {

struct RegionVerdict {
  document::ShapeOutcome outcome = document::ShapeOutcome::kUndecided;
  double worst_value = 0;       // the least that was found in the tested region
  std::vector<double> worst_z;  // its place
  double lower_bound = 0;       // proven over all tested ranges
  // Undecided, and at least -1e-9 of the size of its terms: it touches 0, or nearly.
  bool grazes = false;
  // Parts of the tested region.
  double failing_low = 0;
  double failing_high = 0;
  int64_t boxes = 0;
};

class RegionJudge {
 public:
  // Boxes for the proof over all tested ranges, and for the cover of the tested region.
  static constexpr int64_t kProofBoxes = 20'000;
  static constexpr int64_t kCoverBoxes = 20'000;
  static constexpr int64_t kGrazingBoxes = 2'000;

  // `map` and `surface`, whose leverage and scaling count, must outlive the judge.
  static absl::StatusOr<RegionJudge> Create(const document::StageMap& map,
                                            const document::Surface& surface);

  // All tested ranges, in z.
  const bound::Box& ranges() const { return *share_.inside; }
  double tested_fraction() const { return share_.tested_fraction; }

  // `g` in z. Errors as bound::ProveNonNegative.
  absl::StatusOr<RegionVerdict> Judge(const bound::Polynomial& g) const;

 private:
  RegionJudge(TestedRegion tested, TestedShare share)
      : tested_(std::move(tested)), share_(std::move(share)) {}
  void LeastAtPoints(const bound::Polynomial& g, RegionVerdict& verdict) const;
  absl::Status Cover(const bound::Polynomial& g, int64_t max_boxes,
                     RegionVerdict& verdict) const;

  TestedRegion tested_;
  TestedShare share_;
  std::vector<std::vector<double>> points_z_;
};

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SHAPE_JUDGE_H_
