// How much of a claim's region was tested, and which parts were not: added up over what
// its problems look at.
//
// Example:
//   TestedAccount account(region, stage_map);
//   account.Add(tested, box);                       // for each box of each problem
//   verdict.tested_fraction = account.Fraction();
//   verdict.untested = account.untested();
//
// Where several problems share a box the least tested of them counts. Thread-safety: one
// thread at a time.
#ifndef RATEBOUND_ENGINE_CLAIM_TESTED_ACCOUNT_H_
#define RATEBOUND_ENGINE_CLAIM_TESTED_ACCOUNT_H_

#include <string>
#include <utility>
#include <vector>

#include "engine/claim/stated_region.h"
#include "engine/claim/tested_alternative.h"
#include "engine/document/claim.h"
#include "engine/document/map.h"

namespace ratebound::claim {

// "12.3 %".
std::string PercentText(double fraction);

class TestedAccount {
 public:
  // The sentences on untested parts name the tested ranges of the map. Both outlive it.
  TestedAccount(const StatedRegion& region, const document::StageMap& map)
      : region_(region), map_(map) {}

  void Add(const AlternativeTested& tested, const document::ConditionBox& box);

  // Of the region; below 1 wherever anything was left out.
  double Fraction() const;
  bool AnyUntested() const { return any_untested_; }
  bool NothingTested() const { return nothing_tested_; }
  const std::vector<document::UntestedPart>& untested() const { return untested_; }

 private:
  void AddUntested(const map::UntestedBox& box);

  const StatedRegion& region_;
  const document::StageMap& map_;
  bool any_untested_ = false;
  bool nothing_tested_ = true;
  std::vector<std::pair<document::ConditionBox, double>> untested_by_box_;
  std::vector<document::UntestedPart> untested_;
};

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_TESTED_ACCOUNT_H_
