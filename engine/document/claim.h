// Claims and verdicts. See proto/ratebound/v1/claim.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_
#define RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_

#include <cstdint>
#include <string>
#include <vector>

#include "engine/document/measure.h"

namespace ratebound::document {

enum class Relation { kAtLeast, kAtMost };

struct Allowance {
  double relative_fraction = 0;
  double absolute = 0;  // in the claim's limit unit
  double absolute_si = 0;
  std::string reason;
  friend bool operator==(const Allowance&, const Allowance&) = default;
};

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
  friend bool operator==(const Verdict&, const Verdict&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CLAIM_H_
