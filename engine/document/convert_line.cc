#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(ModeKind::kHeating) + 1 == v1::MODE_KIND_HEATING);
static_assert(static_cast<int>(ModelFamily::kJointStages) + 1 ==
              v1::MODEL_FAMILY_JOINT_STAGES);
static_assert(static_cast<int>(ModelRule::kOneStandardError) ==
              v1::MODEL_RULE_ONE_STANDARD_ERROR);

static void Read(const v1::PointFile& from, PointFile& to, base::FaultList& faults) {
  to.path = from.path();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.block = from.block();
  to.specimen = from.specimen();
  to.regime = from.regime();
  ReadAll(from.columns(), to.columns, faults);
  to.tested_on = from.tested_on();
  to.curve = from.curve();
  to.reading_count = from.reading_count();
}

static void Write(const PointFile& from, v1::PointFile* to) {
  to->set_path(from.path);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  to->set_block(from.block);
  to->set_specimen(from.specimen);
  to->set_regime(from.regime);
  WriteAll(from.columns, to->mutable_columns());
  to->set_tested_on(from.tested_on);
  to->set_curve(from.curve);
  to->set_reading_count(from.reading_count);
}

static void Read(const v1::SystematicUncertainty& from, SystematicUncertainty& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  to.relative_fraction = from.relative_fraction();
  to.absolute = from.absolute();
  to.unit = from.unit();
  if (from.has_absolute()) {
    to.absolute_si = SiDifferenceOf(to.quantity, to.absolute, to.unit, faults);
  }
  to.source = from.source();
}

static void Write(const SystematicUncertainty& from, v1::SystematicUncertainty* to) {
  to->set_quantity(from.quantity);
  if (from.relative_fraction != 0) to->set_relative_fraction(from.relative_fraction);
  if (!from.unit.empty()) to->set_absolute(from.absolute);
  to->set_unit(from.unit);
  to->set_source(from.source);
}

static void Read(const v1::Specimen& from, Specimen& to, base::FaultList&) {
  to.id = from.id();
  to.description = from.description();
}

static void Write(const Specimen& from, v1::Specimen* to) {
  to->set_id(from.id);
  to->set_description(from.description);
}

static void Read(const v1::Machine& from, Machine& to, base::FaultList&) {
  to.id = from.id();
  to.description = from.description();
}

static void Write(const Machine& from, v1::Machine* to) {
  to->set_id(from.id);
  to->set_description(from.description);
}

static void Read(const v1::HeldCondition& from, HeldCondition& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  to.value = from.value();
  to.tolerance = from.tolerance();
  to.unit = from.unit();
  to.value_si = SiOf(to.quantity, to.value, to.unit, faults);
  to.tolerance_si = SiDifferenceOf(to.quantity, to.tolerance, to.unit, faults);
}

static void Write(const HeldCondition& from, v1::HeldCondition* to) {
  to->set_quantity(from.quantity);
  to->set_value(from.value);
  to->set_tolerance(from.tolerance);
  to->set_unit(from.unit);
}

static void Read(const v1::Stage& from, Stage& to, base::FaultList&) {
  to.id = from.id();
  to.machines = Plainly(from.machines());
}

static void Write(const Stage& from, v1::Stage* to) {
  to->set_id(from.id);
  Fill(from.machines, to->mutable_machines());
}

static void Read(const v1::ModelRequest& from, ModelRequest& to,
                 base::FaultList& faults) {
  for (int family : from.families()) {
    to.families.push_back(ReadEnum<ModelFamily>(family, "ModelRequest.families", faults));
  }
  to.rule =
      ReadEnum<ModelRule, Unspecified::kKept>(from.rule(), "ModelRequest.rule", faults);
  to.sink_condition = from.sink_condition();
  to.source_condition = from.source_condition();
  to.approach_k = from.approach_k();
  to.stage_shares = Plainly(from.stage_shares());
}

static void Write(const ModelRequest& from, v1::ModelRequest* to) {
  for (ModelFamily family : from.families) {
    to->add_families(WriteEnum<v1::ModelFamily>(family));
  }
  to->set_rule(WriteEnum<v1::ModelRule, Unspecified::kKept>(from.rule));
  to->set_sink_condition(from.sink_condition);
  to->set_source_condition(from.source_condition);
  to->set_approach_k(from.approach_k);
  Fill(from.stage_shares, to->mutable_stage_shares());
}

static void Read(const v1::Mode& from, Mode& to, base::FaultList& faults) {
  to.id = from.id();
  to.kind = ReadEnum<ModeKind>(from.kind(), "Mode.kind", faults);
  to.capacity_quantity = from.capacity_quantity();
  to.power_quantity = from.power_quantity();
  to.conditions = Plainly(from.conditions());
  ReadAll(from.held_conditions(), to.held_conditions, faults);
  to.other_responses = Plainly(from.other_responses());
  ReadAll(from.stages(), to.stages, faults);
  if (from.has_declared_proof_degree()) {
    to.declared_proof_degree = from.declared_proof_degree();
  }
  if (from.has_nearest_point_fraction()) {
    to.nearest_point_fraction = from.nearest_point_fraction();
  }
  if (from.has_reduction()) Read(from.reduction(), to.reduction.emplace(), faults);
  to.steadiness_method = from.steadiness_method();
  if (from.has_model()) Read(from.model(), to.model.emplace(), faults);
  ReadAll(from.shape_facts(), to.shape_facts, faults);
  to.constrain_to_shape_facts = from.constrain_to_shape_facts();
  ReadAll(from.energy_balances(), to.energy_balances, faults);
}

static void Write(const Mode& from, v1::Mode* to) {
  to->set_id(from.id);
  to->set_kind(WriteEnum<v1::ModeKind>(from.kind));
  to->set_capacity_quantity(from.capacity_quantity);
  to->set_power_quantity(from.power_quantity);
  Fill(from.conditions, to->mutable_conditions());
  WriteAll(from.held_conditions, to->mutable_held_conditions());
  Fill(from.other_responses, to->mutable_other_responses());
  WriteAll(from.stages, to->mutable_stages());
  if (from.declared_proof_degree.has_value()) {
    to->set_declared_proof_degree(*from.declared_proof_degree);
  }
  to->set_nearest_point_fraction(from.nearest_point_fraction);
  if (from.reduction.has_value()) Write(*from.reduction, to->mutable_reduction());
  to->set_steadiness_method(from.steadiness_method);
  if (from.model.has_value()) Write(*from.model, to->mutable_model());
  WriteAll(from.shape_facts, to->mutable_shape_facts());
  to->set_constrain_to_shape_facts(from.constrain_to_shape_facts);
  WriteAll(from.energy_balances, to->mutable_energy_balances());
}

static void Read(const v1::ProcedureInput& from, ProcedureInput& to, base::FaultList&) {
  to.procedure = from.procedure();
  to.input = from.input();
  to.value = from.value();
  to.unit = from.unit();
}

static void Write(const ProcedureInput& from, v1::ProcedureInput* to) {
  to->set_procedure(from.procedure);
  to->set_input(from.input);
  to->set_value(from.value);
  to->set_unit(from.unit);
}

static void Read(const v1::DeclaredRating& from, DeclaredRating& to, base::FaultList&) {
  to.procedure = from.procedure();
  to.value = from.value();
  to.unit = from.unit();
  to.stated_in = from.stated_in();
}

static void Write(const DeclaredRating& from, v1::DeclaredRating* to) {
  to->set_procedure(from.procedure);
  to->set_value(from.value);
  to->set_unit(from.unit);
  to->set_stated_in(from.stated_in);
}

static void Read(const v1::Unit& from, Unit& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.equipment_class = from.equipment_class();
  to.phase_count = from.phase_count();
  Read(from.nominal_capacity(), to.nominal_capacity, faults);
  ReadAll(from.machines(), to.machines, faults);
  ReadAll(from.modes(), to.modes, faults);
  ReadAll(from.procedure_inputs(), to.procedure_inputs, faults);
  to.pool_specimens = from.pool_specimens();
  ReadAll(from.curves(), to.curves, faults);
  ReadAll(from.declared_ratings(), to.declared_ratings, faults);
}

static void Write(const Unit& from, v1::Unit* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_equipment_class(from.equipment_class);
  to->set_phase_count(from.phase_count);
  Write(from.nominal_capacity, to->mutable_nominal_capacity());
  WriteAll(from.machines, to->mutable_machines());
  WriteAll(from.modes, to->mutable_modes());
  WriteAll(from.procedure_inputs, to->mutable_procedure_inputs());
  to->set_pool_specimens(from.pool_specimens);
  WriteAll(from.curves, to->mutable_curves());
  WriteAll(from.declared_ratings, to->mutable_declared_ratings());
}

static void Read(const v1::DroppedPoint& from, DroppedPoint& to, base::FaultList&) {
  to.point = from.point();
  to.reason = from.reason();
}

static void Write(const DroppedPoint& from, v1::DroppedPoint* to) {
  to->set_point(from.point);
  to->set_reason(from.reason);
}

void Read(const v1::LineManifest& from, LineManifest& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.data_source = from.data_source();
  to.cautions = Plainly(from.cautions());
  ReadAll(from.columns(), to.columns, faults);
  ReadAll(from.point_files(), to.point_files, faults);
  ReadAll(from.systematic_uncertainties(), to.systematic_uncertainties, faults);
  ReadAll(from.specimens(), to.specimens, faults);
  ReadAll(from.units(), to.units, faults);
  to.procedures = Plainly(from.procedures());
  ReadAll(from.tables(), to.tables, faults);
  ReadAll(from.dropped_points(), to.dropped_points, faults);
  ReadAll(from.instruments(), to.instruments, faults);
  ReadAll(from.reading_correlations(), to.reading_correlations, faults);
  ReadAll(from.log_files(), to.log_files, faults);
}

void Write(const LineManifest& from, v1::LineManifest* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_data_source(from.data_source);
  Fill(from.cautions, to->mutable_cautions());
  WriteAll(from.columns, to->mutable_columns());
  WriteAll(from.point_files, to->mutable_point_files());
  WriteAll(from.systematic_uncertainties, to->mutable_systematic_uncertainties());
  WriteAll(from.specimens, to->mutable_specimens());
  WriteAll(from.units, to->mutable_units());
  Fill(from.procedures, to->mutable_procedures());
  WriteAll(from.tables, to->mutable_tables());
  WriteAll(from.dropped_points, to->mutable_dropped_points());
  WriteAll(from.instruments, to->mutable_instruments());
  WriteAll(from.reading_correlations, to->mutable_reading_correlations());
  WriteAll(from.log_files, to->mutable_log_files());
}

}  // namespace ratebound::document
