#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(Relation::kAtMost) + 1 == v1::RELATION_AT_MOST);
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

void Read(const v1::Claim& from, Claim& to, base::FaultList& faults) {
  to.id = from.id();
  to.statement = from.statement();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.quantity = from.quantity();
  to.relation = ReadEnum<Relation>(from.relation(), "Claim.relation", faults);
  to.limit = from.limit();
  to.limit_unit = from.limit_unit();
  to.limit_si = SiOf(to.quantity, to.limit, to.limit_unit, faults);
  ReadAll(from.region(), to.region, faults);
  to.confidence = from.confidence();
  to.allowance.relative_fraction = from.allowance().relative_fraction();
  to.allowance.absolute = from.allowance().absolute();
  to.allowance.absolute_si =
      SiDifferenceOf(to.quantity, to.allowance.absolute, to.limit_unit, faults);
  to.allowance.reason = from.allowance().reason();
}

void Write(const Claim& from, v1::Claim* to) {
  to->set_id(from.id);
  to->set_statement(from.statement);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  to->set_quantity(from.quantity);
  to->set_relation(WriteEnum<v1::Relation>(from.relation));
  to->set_limit(from.limit);
  to->set_limit_unit(from.limit_unit);
  WriteAll(from.region, to->mutable_region());
  to->set_confidence(from.confidence);
  to->mutable_allowance()->set_relative_fraction(from.allowance.relative_fraction);
  to->mutable_allowance()->set_absolute(from.allowance.absolute);
  to->mutable_allowance()->set_reason(from.allowance.reason);
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
}

}  // namespace ratebound::document
