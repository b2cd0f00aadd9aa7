#include "engine/document/convert_parts.h"

namespace ratebound::document {

void Read(const v1::TraceStep& from, TraceStep& to, base::FaultList& faults) {
  to.depth = from.depth();
  to.label = from.label();
  to.value = from.value();
  to.unit = from.unit();
  to.how = from.how();
  to.clause = from.clause();
  to.basis = ReadEnum<Basis, Unspecified::kKept>(from.basis(), "TraceStep.basis", faults);
  to.footing =
      ReadEnum<Footing, Unspecified::kKept>(from.footing(), "TraceStep.footing", faults);
  to.test_points = Plainly(from.test_points());
}

void Write(const TraceStep& from, v1::TraceStep* to) {
  to->set_depth(from.depth);
  to->set_label(from.label);
  to->set_value(from.value);
  to->set_unit(from.unit);
  to->set_how(from.how);
  to->set_clause(from.clause);
  to->set_basis(WriteEnum<v1::Basis, Unspecified::kKept>(from.basis));
  to->set_footing(ToMessage(from.footing));
  Fill(from.test_points, to->mutable_test_points());
}

static void Read(const v1::MissingPoint& from, MissingPoint& to,
                 base::FaultList& faults) {
  to.point = from.point();
  to.stage = from.stage();
  to.quantities = Plainly(from.quantities());
  ReadAll(from.conditions(), to.conditions, faults);
  to.reason = from.reason();
  to.blocking = from.blocking();
}

static void Write(const MissingPoint& from, v1::MissingPoint* to) {
  to->set_point(from.point);
  to->set_stage(from.stage);
  Fill(from.quantities, to->mutable_quantities());
  WriteAll(from.conditions, to->mutable_conditions());
  to->set_reason(from.reason);
  to->set_blocking(from.blocking);
}

static void Read(const v1::MissingInput& from, MissingInput& to, base::FaultList&) {
  to.input = from.input();
  to.description = from.description();
  to.unit = from.unit();
}

static void Write(const MissingInput& from, v1::MissingInput* to) {
  to->set_input(from.input);
  to->set_description(from.description);
  to->set_unit(from.unit);
}

static void Read(const v1::MetricContribution& from, MetricContribution& to,
                 base::FaultList&) {
  to.source = from.source();
  to.value = from.value();
  to.systematic = from.systematic();
}

static void Write(const MetricContribution& from, v1::MetricContribution* to) {
  to->set_source(from.source);
  to->set_value(from.value);
  to->set_systematic(from.systematic);
}

static void Read(const v1::MetricUncertainty& from, MetricUncertainty& to,
                 base::FaultList& faults) {
  to.method = ReadEnum<UncertaintyMethod, Unspecified::kKept>(
      from.method(), "MetricUncertainty.method", faults);
  to.standard_error = from.standard_error();
  to.degrees_of_freedom = from.degrees_of_freedom();
  to.systematic = from.systematic();
  to.confidence = from.confidence();
  to.low = from.low();
  to.high = from.high();
  to.draw_count = from.draw_count();
  to.seed = from.seed();
  to.failed_draw_count = from.failed_draw_count();
  ReadAll(from.contributions(), to.contributions, faults);
  to.notes = Plainly(from.notes());
}

static void Write(const MetricUncertainty& from, v1::MetricUncertainty* to) {
  to->set_method(WriteEnum<v1::UncertaintyMethod, Unspecified::kKept>(from.method));
  to->set_standard_error(from.standard_error);
  to->set_degrees_of_freedom(from.degrees_of_freedom);
  to->set_systematic(from.systematic);
  to->set_confidence(from.confidence);
  to->set_low(from.low);
  to->set_high(from.high);
  to->set_draw_count(from.draw_count);
  to->set_seed(from.seed);
  to->set_failed_draw_count(from.failed_draw_count);
  WriteAll(from.contributions, to->mutable_contributions());
  Fill(from.notes, to->mutable_notes());
}

static void Read(const v1::BinRow& from, BinRow& to, base::FaultList&) {
  to.climate = from.climate();
  to.temperature = from.temperature();
  to.temperature_unit = from.temperature_unit();
  to.weight = from.weight();
  to.load_w = from.load_w();
  to.capacity_w = from.capacity_w();
  to.power_w = from.power_w();
  to.supplementary_power_w = from.supplementary_power_w();
  to.efficiency = from.efficiency();
  to.degradation = from.degradation();
  to.stages = from.stages();
}

static void Write(const BinRow& from, v1::BinRow* to) {
  to->set_climate(from.climate);
  to->set_temperature(from.temperature);
  to->set_temperature_unit(from.temperature_unit);
  to->set_weight(from.weight);
  to->set_load_w(from.load_w);
  to->set_capacity_w(from.capacity_w);
  to->set_power_w(from.power_w);
  to->set_supplementary_power_w(from.supplementary_power_w);
  to->set_efficiency(from.efficiency);
  to->set_degradation(from.degradation);
  to->set_stages(from.stages);
}

static void Read(const v1::CoefficientSet& from, CoefficientSet& to, base::FaultList&) {
  to.stage = from.stage();
  to.quantity = from.quantity();
  to.unit = from.unit();
  to.temperature_unit = from.temperature_unit();
  to.coefficients = Plainly(from.coefficients());
  to.greatest_deviation_fraction = from.greatest_deviation_fraction();
  to.evaporating_low = from.evaporating_low();
  to.evaporating_high = from.evaporating_high();
  to.condensing_low = from.condensing_low();
  to.condensing_high = from.condensing_high();
}

static void Write(const CoefficientSet& from, v1::CoefficientSet* to) {
  to->set_stage(from.stage);
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
  to->set_temperature_unit(from.temperature_unit);
  Fill(from.coefficients, to->mutable_coefficients());
  to->set_greatest_deviation_fraction(from.greatest_deviation_fraction);
  to->set_evaporating_low(from.evaporating_low);
  to->set_evaporating_high(from.evaporating_high);
  to->set_condensing_low(from.condensing_low);
  to->set_condensing_high(from.condensing_high);
}

void Read(const v1::Rating& from, Rating& to, base::FaultList& faults) {
  to.unit = from.unit();
  to.procedure = from.procedure();
  to.edition = from.edition();
  to.metric = from.metric();
  to.metric_unit = from.metric_unit();
  if (from.has_value()) to.value = from.value();
  to.rounded = from.rounded();
  to.footing =
      ReadEnum<Footing, Unspecified::kKept>(from.footing(), "Rating.footing", faults);
  ReadAll(from.trace(), to.trace, faults);
  to.unconfirmed_numbers = Plainly(from.unconfirmed_numbers());
  to.refusal = from.refusal();
  to.notes = Plainly(from.notes());
  ReadAll(from.missing_points(), to.missing_points, faults);
  ReadAll(from.missing_inputs(), to.missing_inputs, faults);
  if (from.has_uncertainty()) Read(from.uncertainty(), to.uncertainty.emplace(), faults);
  ReadAll(from.coefficient_sets(), to.coefficient_sets, faults);
  ReadAll(from.minimum_verdicts(), to.minimum_verdicts, faults);
  ReadAll(from.bins(), to.bins, faults);
}

void Write(const Rating& from, v1::Rating* to) {
  to->set_unit(from.unit);
  to->set_procedure(from.procedure);
  to->set_edition(from.edition);
  to->set_metric(from.metric);
  to->set_metric_unit(from.metric_unit);
  if (from.value.has_value()) to->set_value(*from.value);
  to->set_rounded(from.rounded);
  to->set_footing(ToMessage(from.footing));
  WriteAll(from.trace, to->mutable_trace());
  Fill(from.unconfirmed_numbers, to->mutable_unconfirmed_numbers());
  to->set_refusal(from.refusal);
  Fill(from.notes, to->mutable_notes());
  WriteAll(from.missing_points, to->mutable_missing_points());
  WriteAll(from.missing_inputs, to->mutable_missing_inputs());
  if (from.uncertainty.has_value()) Write(*from.uncertainty, to->mutable_uncertainty());
  WriteAll(from.coefficient_sets, to->mutable_coefficient_sets());
  WriteAll(from.minimum_verdicts, to->mutable_minimum_verdicts());
  WriteAll(from.bins, to->mutable_bins());
}

}  // namespace ratebound::document
