// Claims and verdicts. See proto/ratebound/v1/claim.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_
#define RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/document/claim_kind.h"
#include "engine/document/claim_region.h"
#include "engine/document/measure.h"

namespace ratebound::document {

enum class Relation { kAtLeast, kAtMost, kWithin };

struct Allowance {
  double relative_fraction = 0;
  double absolute = 0;  // in the claim's limit unit
  double absolute_si = 0;
  std::string reason;
  friend bool operator==(const Allowance&, const Allowance&) = default;
};

// Relation, limit and quantity are those of a plain claim unless one of the kinds at the
// end is set.
struct Claim {
  std::string id;
  std::string statement;
  std::string unit;
  std::string mode;
  std::string stage;
  std::string quantity;
  Relation relation = Relation::kAtLeast;
  double limit = 0;
  std::string limit_unit;
  double limit_si = 0;
  std::vector<MeasureRange> region;
  double confidence = 0.95;
  Allowance allowance;
  std::optional<double> upper_limit = {};  // of kWithin
  double upper_limit_si = 0;
  // At most one of these takes the place of the limit.
  std::optional<AgainstQuantity> against = {};
  std::optional<LimitLine> limit_line = {};
  std::optional<LimitTable> limit_table = {};
  std::optional<Serving> serving = {};  // empty: `stage` alone
  std::vector<RegionCut> cuts = {};
  // At most one of these takes the place of quantity and limit.
  std::optional<Turndown> turndown = {};
  std::optional<CapacitySteps> capacity_steps = {};
  std::optional<Equivalence> equivalence = {};
  std::optional<OperatingEnvelope> operating_envelope = {};
  std::optional<SeasonalFloor> seasonal_floor = {};
  std::optional<Steadiness> steadiness = {};

  // Whether it is one quantity against a limit.
  bool IsPlain() const {
    return !turndown && !capacity_steps && !equivalence && !operating_envelope &&
           !seasonal_floor && !steadiness;
  }
  friend bool operator==(const Claim&, const Claim&) = default;
};

enum class Outcome { kProven, kRefuted, kNotShown, kObserved };
enum class NotShownReason { kNone, kUncertain, kUntested, kModel, kBudget };

// "PROVEN", "REFUTED", "NOT_SHOWN (UNTESTED)", ...
std::string VerdictName(Outcome outcome, NotShownReason reason);

struct UntestedPart {
  std::vector<MeasureRange> region;
  double region_fraction = 0;
  std::string why;
  friend bool operator==(const UntestedPart&, const UntestedPart&) = default;
};

enum class PartState { kProven, kRefuted, kUncertain, kUntested };

struct RegionPart {
  PartState state = PartState::kProven;
  std::vector<MeasureRange> region;
  double region_fraction = 0;
  std::string stage;
  friend bool operator==(const RegionPart&, const RegionPart&) = default;
};

// They add up to 1.
struct RegionShares {
  double proven_fraction = 0;
  double refuted_fraction = 0;
  double uncertain_fraction = 0;
  double untested_fraction = 0;
  friend bool operator==(const RegionShares&, const RegionShares&) = default;
};

enum class RangeEnd { kLow, kHigh };

struct RegionReach {
  std::string quantity;
  RangeEnd end = RangeEnd::kLow;
  double claimed = 0;
  std::optional<double> provable;
  std::string unit;
  friend bool operator==(const RegionReach&, const RegionReach&) = default;
};

struct ProvableClaims {
  std::optional<double> tightest_limit;
  std::string unit;
  std::vector<RegionReach> reaches;
  int proof_count = 0;
  friend bool operator==(const ProvableClaims&, const ProvableClaims&) = default;
};

// Values are in the claim's limit unit (temperature margins are differences).
struct Verdict {
  std::string claim;
  Claim text;
  Outcome outcome = Outcome::kNotShown;
  NotShownReason reason = NotShownReason::kNone;
  double margin = 0;
  std::string unit;
  std::vector<Measure> worst_point;
  double estimate = 0;
  double bound = 0;
  double standard_error = 0;
  double coverage_factor = 0;
  double systematic = 0;
  double allowance = 0;
  double level = 0;
  int look = 1;
  double degrees_of_freedom = 0;
  std::string model;
  double tested_fraction = 0;
  std::vector<UntestedPart> untested;
  int64_t box_count = 0;
  std::string explanation;
  std::string data_digest;
  std::string worst_stage;
  std::optional<RegionShares> shares = {};
  std::vector<RegionPart> parts = {};
  std::optional<ProvableClaims> provable = {};
  friend bool operator==(const Verdict&, const Verdict&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_
