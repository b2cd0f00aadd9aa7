#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(ServingRule::kPerPart) + 1 == v1::SERVING_RULE_PER_PART);
static_assert(static_cast<int>(BoundSide::kAtMost) + 1 == v1::BOUND_SIDE_AT_MOST);

static void Read(const v1::LinearCutTerm& from, LinearCutTerm& to, base::FaultList&) {
  to = {.quantity = from.quantity(), .factor = from.factor(), .unit = from.unit()};
}

static void Write(const LinearCutTerm& from, v1::LinearCutTerm* to) {
  to->set_quantity(from.quantity);
  to->set_factor(from.factor);
  to->set_unit(from.unit);
}

static void Read(const v1::PolygonVertex& from, PolygonVertex& to, base::FaultList&) {
  to = {.value = from.value(), .other_value = from.other_value()};
}

static void Write(const PolygonVertex& from, v1::PolygonVertex* to) {
  to->set_value(from.value);
  to->set_other_value(from.other_value);
}

static void Read(const v1::PolygonCut& from, PolygonCut& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.unit = from.unit();
  to.other_quantity = from.other_quantity();
  to.other_unit = from.other_unit();
  ReadAll(from.vertices(), to.vertices, faults);
}

static void Write(const PolygonCut& from, v1::PolygonCut* to) {
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
  to->set_other_quantity(from.other_quantity);
  to->set_other_unit(from.other_unit);
  WriteAll(from.vertices, to->mutable_vertices());
}

static void Read(const v1::RegionCut& from, RegionCut& to, base::FaultList& faults) {
  if (from.has_linear()) {
    LinearCut& cut = to.linear.emplace();
    ReadAll(from.linear().terms(), cut.terms, faults);
    cut.at_most = from.linear().at_most();
  }
  if (from.has_order()) {
    to.order = {.quantity = from.order().quantity(),
                .not_above = from.order().not_above(),
                .offset = from.order().offset(),
                .unit = from.order().unit()};
  }
  if (from.has_polygon()) Read(from.polygon(), to.polygon.emplace(), faults);
  if (from.has_bound()) {
    const v1::BoundCut& bound = from.bound();
    to.bound = {.quantity = bound.quantity(),
                .side = ReadEnum<BoundSide>(bound.side(), "BoundCut.side", faults),
                .unit = bound.unit(),
                .constant = bound.constant(),
                .slope = bound.slope(),
                .other_quantity = bound.other_quantity(),
                .other_unit = bound.other_unit()};
  }
}

static void Write(const RegionCut& from, v1::RegionCut* to) {
  if (from.linear) {
    WriteAll(from.linear->terms, to->mutable_linear()->mutable_terms());
    to->mutable_linear()->set_at_most(from.linear->at_most);
  }
  if (from.order) {
    v1::OrderCut* order = to->mutable_order();
    order->set_quantity(from.order->quantity);
    order->set_not_above(from.order->not_above);
    order->set_offset(from.order->offset);
    order->set_unit(from.order->unit);
  }
  if (from.polygon) Write(*from.polygon, to->mutable_polygon());
  if (from.bound) {
    v1::BoundCut* bound = to->mutable_bound();
    bound->set_quantity(from.bound->quantity);
    bound->set_side(WriteEnum<v1::BoundSide>(from.bound->side));
    bound->set_unit(from.bound->unit);
    bound->set_constant(from.bound->constant);
    bound->set_slope(from.bound->slope);
    bound->set_other_quantity(from.bound->other_quantity);
    bound->set_other_unit(from.bound->other_unit);
  }
}

static void Read(const v1::ServingPart& from, ServingPart& to, base::FaultList& faults) {
  to.stage = from.stage();
  ReadAll(from.ranges(), to.ranges, faults);
}

static void Write(const ServingPart& from, v1::ServingPart* to) {
  to->set_stage(from.stage);
  WriteAll(from.ranges, to->mutable_ranges());
}

static void Read(const v1::Serving& from, Serving& to, base::FaultList& faults) {
  to.rule = ReadEnum<ServingRule>(from.rule(), "Serving.rule", faults);
  to.stages = Plainly(from.stages());
  ReadAll(from.parts(), to.parts, faults);
}

static void Write(const Serving& from, v1::Serving* to) {
  to->set_rule(WriteEnum<v1::ServingRule>(from.rule));
  Fill(from.stages, to->mutable_stages());
  WriteAll(from.parts, to->mutable_parts());
}

// Limits are in the unit of the claim.
static void ReadLimits(const v1::Claim& from, Claim& to, base::FaultList& faults) {
  // Other kinds of promise have no limit of a quantity.
  const bool plain = from.promise_case() == v1::Claim::PROMISE_NOT_SET;
  const auto si = [&](double limit) {
    return plain ? SiOf(to.quantity, limit, to.limit_unit, faults) : 0;
  };
  const auto difference_si = [&](double difference) {
    return plain ? SiDifferenceOf(to.quantity, difference, to.limit_unit, faults) : 0;
  };
  to.limit = from.limit();
  to.limit_si = si(to.limit);
  if (from.has_upper_limit()) {
    to.upper_limit = from.upper_limit();
    to.upper_limit_si = si(*to.upper_limit);
  }
  if (from.has_against()) {
    AgainstQuantity& against = to.against.emplace();
    against.quantity = from.against().quantity();
    against.offset = from.against().offset();
    against.offset_si = difference_si(against.offset);
    if (from.against().has_upper_offset()) {
      against.upper_offset = from.against().upper_offset();
      against.upper_offset_si = difference_si(*against.upper_offset);
    }
  }
  if (from.has_limit_line()) {
    const v1::LimitLine& line = from.limit_line();
    to.limit_line = {
        .quantity = line.quantity(),
        .unit = line.unit(),
        .value = line.value(),
        .limit = line.limit(),
        .other_value = line.other_value(),
        .other_limit = line.other_limit(),
        .value_si = SiOf(line.quantity(), line.value(), line.unit(), faults),
        .limit_si = si(line.limit()),
        .other_value_si = SiOf(line.quantity(), line.other_value(), line.unit(), faults),
        .other_limit_si = si(line.other_limit())};
  }
  if (from.has_limit_table()) {
    LimitTable& table = to.limit_table.emplace();
    table.source = from.limit_table().source();
    for (const v1::LimitRow& row : from.limit_table().rows()) {
      LimitRow& limits = table.rows.emplace_back();
      ReadAll(row.ranges(), limits.ranges, faults);
      limits.limit = row.limit();
      limits.limit_si = si(row.limit());
      if (row.has_upper_limit()) {
        limits.upper_limit = row.upper_limit();
        limits.upper_limit_si = si(row.upper_limit());
      }
    }
  }
}

static void WriteLimits(const Claim& from, v1::Claim* to) {
  to->set_limit(from.limit);
  if (from.upper_limit) to->set_upper_limit(*from.upper_limit);
  if (from.against) {
    v1::AgainstQuantity* against = to->mutable_against();
    against->set_quantity(from.against->quantity);
    against->set_offset(from.against->offset);
    if (from.against->upper_offset) {
      against->set_upper_offset(*from.against->upper_offset);
    }
  }
  if (from.limit_line) {
    v1::LimitLine* line = to->mutable_limit_line();
    line->set_quantity(from.limit_line->quantity);
    line->set_unit(from.limit_line->unit);
    line->set_value(from.limit_line->value);
    line->set_limit(from.limit_line->limit);
    line->set_other_value(from.limit_line->other_value);
    line->set_other_limit(from.limit_line->other_limit);
  }
  if (from.limit_table) {
    v1::LimitTable* table = to->mutable_limit_table();
    table->set_source(from.limit_table->source);
    for (const LimitRow& row : from.limit_table->rows) {
      v1::LimitRow* wire = table->add_rows();
      WriteAll(row.ranges, wire->mutable_ranges());
      wire->set_limit(row.limit);
      if (row.upper_limit) wire->set_upper_limit(*row.upper_limit);
    }
  }
}

static void ReadPromise(const v1::Claim& from, Claim& to, base::FaultList& faults) {
  if (from.has_turndown()) {
    to.turndown = {.capacity_fraction = from.turndown().capacity_fraction(),
                   .lowest_stage = from.turndown().lowest_stage(),
                   .highest_stage = from.turndown().highest_stage()};
  }
  if (from.has_capacity_steps()) {
    const v1::CapacitySteps& steps = from.capacity_steps();
    to.capacity_steps = {.least_count = steps.least_count(),
                         .distinct_fraction = steps.distinct_fraction(),
                         .greatest_gap_fraction = {}};
    if (steps.has_greatest_gap_fraction()) {
      to.capacity_steps->greatest_gap_fraction = steps.greatest_gap_fraction();
    }
  }
  if (from.has_equivalence()) {
    to.equivalence = {.specimen = from.equivalence().specimen(),
                      .reference_specimen = from.equivalence().reference_specimen(),
                      .within_fraction = from.equivalence().within_fraction()};
  }
  if (from.has_operating_envelope()) {
    Read(from.operating_envelope().polygon(), to.operating_envelope.emplace().polygon,
         faults);
  }
  if (from.has_seasonal_floor()) {
    to.seasonal_floor = {.procedure = from.seasonal_floor().procedure(),
                         .at_least = from.seasonal_floor().at_least(),
                         .unit = from.seasonal_floor().unit()};
  }
  if (from.has_steadiness()) {
    const v1::Steadiness& steady = from.steadiness();
    const auto difference_si = [&](double difference) {
      return SiDifferenceOf(steady.quantity(), difference, steady.unit(), faults);
    };
    to.steadiness = {
        .log = steady.log(),
        .quantity = steady.quantity(),
        .target = steady.target(),
        .unit = steady.unit(),
        .mean_within = steady.mean_within(),
        .band = steady.band(),
        .target_si = SiOf(steady.quantity(), steady.target(), steady.unit(), faults),
        .mean_within_si = difference_si(steady.mean_within()),
        .band_si = difference_si(steady.band())};
  }
}

static void WritePromise(const Claim& from, v1::Claim* to) {
  if (from.turndown) {
    to->mutable_turndown()->set_capacity_fraction(from.turndown->capacity_fraction);
    to->mutable_turndown()->set_lowest_stage(from.turndown->lowest_stage);
    to->mutable_turndown()->set_highest_stage(from.turndown->highest_stage);
  }
  if (from.capacity_steps) {
    v1::CapacitySteps* steps = to->mutable_capacity_steps();
    steps->set_least_count(from.capacity_steps->least_count);
    steps->set_distinct_fraction(from.capacity_steps->distinct_fraction);
    if (from.capacity_steps->greatest_gap_fraction) {
      steps->set_greatest_gap_fraction(*from.capacity_steps->greatest_gap_fraction);
    }
  }
  if (from.equivalence) {
    v1::Equivalence* equivalence = to->mutable_equivalence();
    equivalence->set_specimen(from.equivalence->specimen);
    equivalence->set_reference_specimen(from.equivalence->reference_specimen);
    equivalence->set_within_fraction(from.equivalence->within_fraction);
  }
  if (from.operating_envelope) {
    Write(from.operating_envelope->polygon,
          to->mutable_operating_envelope()->mutable_polygon());
  }
  if (from.seasonal_floor) {
    to->mutable_seasonal_floor()->set_procedure(from.seasonal_floor->procedure);
    to->mutable_seasonal_floor()->set_at_least(from.seasonal_floor->at_least);
    to->mutable_seasonal_floor()->set_unit(from.seasonal_floor->unit);
  }
  if (from.steadiness) {
    v1::Steadiness* steady = to->mutable_steadiness();
    steady->set_log(from.steadiness->log);
    steady->set_quantity(from.steadiness->quantity);
    steady->set_target(from.steadiness->target);
    steady->set_unit(from.steadiness->unit);
    steady->set_mean_within(from.steadiness->mean_within);
    steady->set_band(from.steadiness->band);
  }
}

// Whether the claim stays on one side of something that it must name.
static bool IsSided(const v1::Claim& claim) {
  return claim.promise_case() == v1::Claim::PROMISE_NOT_SET || claim.has_turndown();
}

void Read(const v1::Claim& from, Claim& to, base::FaultList& faults) {
  to.id = from.id();
  to.statement = from.statement();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.quantity = from.quantity();
  // Kinds without a side leave it unspecified.
  to.relation = from.relation() == v1::RELATION_UNSPECIFIED && !IsSided(from)
                    ? Relation::kAtLeast
                    : ReadEnum<Relation>(from.relation(), "Claim.relation", faults);
  to.limit_unit = from.limit_unit();
  ReadLimits(from, to, faults);
  ReadAll(from.region(), to.region, faults);
  to.confidence = from.confidence();
  to.allowance.relative_fraction = from.allowance().relative_fraction();
  to.allowance.absolute = from.allowance().absolute();
  if (from.promise_case() == v1::Claim::PROMISE_NOT_SET) {
    to.allowance.absolute_si =
        SiDifferenceOf(to.quantity, to.allowance.absolute, to.limit_unit, faults);
  }
  to.allowance.reason = from.allowance().reason();
  if (from.has_serving()) Read(from.serving(), to.serving.emplace(), faults);
  ReadAll(from.cuts(), to.cuts, faults);
  ReadPromise(from, to, faults);
}

void Write(const Claim& from, v1::Claim* to) {
  to->set_id(from.id);
  to->set_statement(from.statement);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  to->set_quantity(from.quantity);
  to->set_relation(WriteEnum<v1::Relation>(from.relation));
  to->set_limit_unit(from.limit_unit);
  WriteLimits(from, to);
  WriteAll(from.region, to->mutable_region());
  to->set_confidence(from.confidence);
  to->mutable_allowance()->set_relative_fraction(from.allowance.relative_fraction);
  to->mutable_allowance()->set_absolute(from.allowance.absolute);
  to->mutable_allowance()->set_reason(from.allowance.reason);
  if (from.serving) Write(*from.serving, to->mutable_serving());
  WriteAll(from.cuts, to->mutable_cuts());
  WritePromise(from, to);
}

}  // namespace ratebound::document
