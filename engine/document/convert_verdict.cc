#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(Relation::kWithin) + 1 == v1::RELATION_WITHIN);
static_assert(static_cast<int>(PartState::kUntested) + 1 == v1::PART_STATE_UNTESTED);
static_assert(static_cast<int>(RangeEnd::kHigh) + 1 == v1::RANGE_END_HIGH);
static_assert(static_cast<int>(Outcome::kObserved) + 1 == v1::OUTCOME_OBSERVED);
static_assert(static_cast<int>(NotShownReason::kBudget) == v1::NOT_SHOWN_REASON_BUDGET);

static void Read(const v1::UntestedPart& from, UntestedPart& to,
                 base::FaultList& faults) {
  ReadAll(from.region(), to.region, faults);
  to.region_fraction = from.region_fraction();
  to.why = from.why();
}

static void Write(const UntestedPart& from, v1::UntestedPart* to) {
  WriteAll(from.region, to->mutable_region());
  to->set_region_fraction(from.region_fraction);
  to->set_why(from.why);
}

static void Read(const v1::RegionPart& from, RegionPart& to, base::FaultList& faults) {
  to.state = ReadEnum<PartState>(from.state(), "RegionPart.state", faults);
  ReadAll(from.region(), to.region, faults);
  to.region_fraction = from.region_fraction();
  to.stage = from.stage();
}

static void Write(const RegionPart& from, v1::RegionPart* to) {
  to->set_state(WriteEnum<v1::PartState>(from.state));
  WriteAll(from.region, to->mutable_region());
  to->set_region_fraction(from.region_fraction);
  to->set_stage(from.stage);
}

static RegionShares Shares(const v1::RegionShares& from) {
  return {.proven_fraction = from.proven_fraction(),
          .refuted_fraction = from.refuted_fraction(),
          .uncertain_fraction = from.uncertain_fraction(),
          .untested_fraction = from.untested_fraction()};
}

static void Write(const RegionShares& from, v1::RegionShares* to) {
  to->set_proven_fraction(from.proven_fraction);
  to->set_refuted_fraction(from.refuted_fraction);
  to->set_uncertain_fraction(from.uncertain_fraction);
  to->set_untested_fraction(from.untested_fraction);
}

static void Read(const v1::RegionReach& from, RegionReach& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.end = ReadEnum<RangeEnd>(from.end(), "RegionReach.end", faults);
  to.claimed = from.claimed();
  if (from.has_provable()) to.provable = from.provable();
  to.unit = from.unit();
}

static void Write(const RegionReach& from, v1::RegionReach* to) {
  to->set_quantity(from.quantity);
  to->set_end(WriteEnum<v1::RangeEnd>(from.end));
  to->set_claimed(from.claimed);
  if (from.provable) to->set_provable(*from.provable);
  to->set_unit(from.unit);
}

static void Read(const v1::ProvableClaims& from, ProvableClaims& to,
                 base::FaultList& faults) {
  if (from.has_tightest_limit()) to.tightest_limit = from.tightest_limit();
  to.unit = from.unit();
  ReadAll(from.reaches(), to.reaches, faults);
  to.proof_count = from.proof_count();
}

static void Write(const ProvableClaims& from, v1::ProvableClaims* to) {
  if (from.tightest_limit) to->set_tightest_limit(*from.tightest_limit);
  to->set_unit(from.unit);
  WriteAll(from.reaches, to->mutable_reaches());
  to->set_proof_count(from.proof_count);
}

void Read(const v1::Verdict& from, Verdict& to, base::FaultList& faults) {
  to.claim = from.claim();
  Read(from.text(), to.text, faults);
  to.outcome = ReadEnum<Outcome>(from.outcome(), "Verdict.outcome", faults);
  to.reason = ReadEnum<NotShownReason, Unspecified::kKept>(from.reason(),
                                                           "Verdict.reason", faults);
  to.margin = from.margin();
  to.unit = from.unit();
  ReadAll(from.worst_point(), to.worst_point, faults);
  to.estimate = from.estimate();
  to.bound = from.bound();
  to.standard_error = from.standard_error();
  to.coverage_factor = from.coverage_factor();
  to.systematic = from.systematic();
  to.allowance = from.allowance();
  to.level = from.level();
  to.look = from.look();
  to.degrees_of_freedom = from.degrees_of_freedom();
  to.model = from.model();
  to.tested_fraction = from.tested_fraction();
  ReadAll(from.untested(), to.untested, faults);
  to.box_count = from.box_count();
  to.explanation = from.explanation();
  to.data_digest = from.data_digest();
  to.worst_stage = from.worst_stage();
  if (from.has_shares()) to.shares = Shares(from.shares());
  ReadAll(from.parts(), to.parts, faults);
  if (from.has_provable()) Read(from.provable(), to.provable.emplace(), faults);
}

void Write(const Verdict& from, v1::Verdict* to) {
  to->set_claim(from.claim);
  Write(from.text, to->mutable_text());
  to->set_outcome(WriteEnum<v1::Outcome>(from.outcome));
  to->set_reason(WriteEnum<v1::NotShownReason, Unspecified::kKept>(from.reason));
  to->set_margin(from.margin);
  to->set_unit(from.unit);
  WriteAll(from.worst_point, to->mutable_worst_point());
  to->set_estimate(from.estimate);
  to->set_bound(from.bound);
  to->set_standard_error(from.standard_error);
  to->set_coverage_factor(from.coverage_factor);
  to->set_systematic(from.systematic);
  to->set_allowance(from.allowance);
  to->set_level(from.level);
  to->set_look(from.look);
  to->set_degrees_of_freedom(from.degrees_of_freedom);
  to->set_model(from.model);
  to->set_tested_fraction(from.tested_fraction);
  WriteAll(from.untested, to->mutable_untested());
  to->set_box_count(from.box_count);
  to->set_explanation(from.explanation);
  to->set_data_digest(from.data_digest);
  to->set_worst_stage(from.worst_stage);
  if (from.shares) Write(*from.shares, to->mutable_shares());
  WriteAll(from.parts, to->mutable_parts());
  if (from.provable) Write(*from.provable, to->mutable_provable());
}

}  // namespace ratebound::document
