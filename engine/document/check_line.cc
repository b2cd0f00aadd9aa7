#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_line_parts.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

void CheckSystematic(const v1::SystematicUncertainty& systematic, const Node& node) {
  using S = v1::SystematicUncertainty;
  node.Require({S::kQuantityFieldNumber, S::kSourceFieldNumber});
  if (!systematic.has_relative_fraction() && !systematic.has_absolute()) {
    node.Fault(S::kRelativeFractionFieldNumber, "is missing, and so is 'absolute'",
               "write one of them, or leave out the whole entry");
  }
  const auto* quantity =
      CheckQuantity(node, S::kQuantityFieldNumber, systematic.quantity(), Use::kAny);
  CheckPart(node, S::kRelativeFractionFieldNumber, systematic.relative_fraction(),
            quantity);
  if (systematic.absolute() < 0) {
    node.Fault(S::kAbsoluteFieldNumber, "is negative", "write it without a sign");
  }
  if (systematic.has_absolute()) node.Require({S::kUnitFieldNumber});
  if (quantity == nullptr) return;
  CheckUncertaintyUnit(node, S::kUnitFieldNumber, systematic.unit(), *quantity,
                       "an uncertainty");
}

void CheckHeld(const v1::HeldCondition& held, const Node& node) {
  using H = v1::HeldCondition;
  node.Require({H::kQuantityFieldNumber, H::kValueFieldNumber, H::kToleranceFieldNumber,
                H::kUnitFieldNumber});
  if (held.tolerance() < 0) {
    node.Fault(H::kToleranceFieldNumber, "is negative", "write it without a sign");
  }
  const auto* quantity =
      CheckQuantity(node, H::kQuantityFieldNumber, held.quantity(), Use::kCondition);
  if (quantity == nullptr) return;
  const auto unit =
      CheckUnit(node, H::kUnitFieldNumber, held.unit(), quantity->dimension);
  if (!unit.has_value() || !node.Has(H::kValueFieldNumber)) return;
  CheckPlausible(node, H::kValueFieldNumber, held.value(), *unit, *quantity);
}

// A quantity that a surface is fitted to.
const quantity::Quantity* CheckFitted(const Node& node, int field,
                                      const std::string& name, int index = -1) {
  const auto* quantity = CheckQuantity(node, field, name, Use::kResponse, index);
  if (quantity == nullptr || !IsDerivedEfficiency(name)) return quantity;
  node.Fault(
      field,
      absl::StrCat("'", name, "' is computed from capacity and power and not fitted"),
      "leave it out; tables and claims may name it", index);
  return nullptr;
}

void CheckPowerLike(const Node& node, int field, const std::string& name) {
  const auto* quantity = CheckFitted(node, field, name);
  if (quantity == nullptr || quantity->dimension == quantity::Dimension::kPower) return;
  node.Fault(field, absl::StrCat("'", name, "' is not in watts"));
}

void CheckStages(const v1::Unit& unit, const v1::Mode& mode, const Node& node) {
  Unique ids("stage");
  const Names machines = IdsOf(unit.machines());
  for (int i = 0; i < mode.stages_size(); ++i) {
    using S = v1::Stage;
    const v1::Stage& stage = mode.stages(i);
    const Node child = node.Child(v1::Mode::kStagesFieldNumber, i);
    child.Require({S::kIdFieldNumber});
    CheckId(child, S::kIdFieldNumber, stage.id());
    ids.Check(child, S::kIdFieldNumber, stage.id());
    Unique running("machine");
    for (int j = 0; j < stage.machines_size(); ++j) {
      CheckReference(child, S::kMachinesFieldNumber, "machine", stage.machines(j),
                     machines, j);
      running.Check(child, S::kMachinesFieldNumber, stage.machines(j), j);
    }
  }
}

// One of the mode's conditions, and a temperature.
void CheckSide(const v1::Mode& mode, const Node& node, int field,
               const std::string& name) {
  if (!CheckReference(node, field, "condition of this mode", name,
                      Names({mode.conditions().begin(), mode.conditions().end()}))) {
    return;
  }
  CheckMeasures(node, field, name, {quantity::Dimension::kTemperature});
}

// The most that refrigerant and both fluids stand apart together; common practice, no
// source.
constexpr double kGreatestApproachK = 60;

void CheckModel(const v1::Mode& mode, const Node& node) {
  using M = v1::ModelRequest;
  const v1::ModelRequest& model = mode.model();
  node.Require({M::kFamiliesFieldNumber});
  const auto has = [&](v1::ModelFamily family) {
    return std::count(model.families().begin(), model.families().end(), family) > 0;
  };
  const bool carnot = has(v1::MODEL_FAMILY_CARNOT);
  if (carnot) {
    CheckSide(mode, node, M::kSinkConditionFieldNumber, model.sink_condition());
    CheckSide(mode, node, M::kSourceConditionFieldNumber, model.source_condition());
    if (model.sink_condition() == model.source_condition()) {
      node.Fault(M::kSourceConditionFieldNumber, "is the sink, too");
    }
    CheckBetween(node, M::kApproachKFieldNumber, model.approach_k(), 0,
                 kGreatestApproachK);
  } else if (!model.sink_condition().empty() || !model.source_condition().empty() ||
             model.approach_k() != 0) {
    node.Fault(
        M::kFamiliesFieldNumber,
        "sink, source and approach are given and MODEL_FAMILY_CARNOT is not asked");
  }
  if (has(v1::MODEL_FAMILY_JOINT_STAGES) && mode.stages_size() < 2) {
    node.Fault(M::kFamiliesFieldNumber,
               "MODEL_FAMILY_JOINT_STAGES needs a mode of at least two stages");
    return;  // shares of one stage are no other fault
  }
  if (model.stage_shares().empty()) return;
  if (model.stage_shares_size() != mode.stages_size()) {
    node.Fault(M::kStageSharesFieldNumber,
               absl::StrCat("has ", model.stage_shares_size(), " values; the mode has ",
                            mode.stages_size(), " stages"));
  }
  double last = 0;
  for (int i = 0; i < model.stage_shares_size(); ++i) {
    CheckBetween(node, M::kStageSharesFieldNumber, model.stage_shares(i), 0, 1, i);
    if (!(model.stage_shares(i) > last)) {
      node.Fault(M::kStageSharesFieldNumber, "is not above the one before", "", i);
    }
    last = model.stage_shares(i);
  }
}

void CheckMode(const v1::Unit& unit, const v1::Mode& mode, const Node& node) {
  using M = v1::Mode;
  node.Require({M::kIdFieldNumber, M::kKindFieldNumber, M::kCapacityQuantityFieldNumber,
                M::kPowerQuantityFieldNumber, M::kConditionsFieldNumber,
                M::kStagesFieldNumber});
  CheckId(node, M::kIdFieldNumber, mode.id());
  // One name, one role: a surface cannot depend on what it describes.
  Unique quantities("quantity");
  CheckPowerLike(node, M::kCapacityQuantityFieldNumber, mode.capacity_quantity());
  quantities.Check(node, M::kCapacityQuantityFieldNumber, mode.capacity_quantity());
  CheckPowerLike(node, M::kPowerQuantityFieldNumber, mode.power_quantity());
  quantities.Check(node, M::kPowerQuantityFieldNumber, mode.power_quantity());
  for (int i = 0; i < mode.conditions_size(); ++i) {
    CheckQuantity(node, M::kConditionsFieldNumber, mode.conditions(i), Use::kCondition,
                  i);
    quantities.Check(node, M::kConditionsFieldNumber, mode.conditions(i), i);
  }
  for (int i = 0; i < mode.held_conditions_size(); ++i) {
    const Node held = node.Child(M::kHeldConditionsFieldNumber, i);
    CheckHeld(mode.held_conditions(i), held);
    quantities.Check(held, v1::HeldCondition::kQuantityFieldNumber,
                     mode.held_conditions(i).quantity());
  }
  for (int i = 0; i < mode.other_responses_size(); ++i) {
    CheckFitted(node, M::kOtherResponsesFieldNumber, mode.other_responses(i), i);
    quantities.Check(node, M::kOtherResponsesFieldNumber, mode.other_responses(i), i);
  }
  CheckStages(unit, mode, node);
  if (mode.has_declared_proof_degree()) {
    CheckBetween(node, M::kDeclaredProofDegreeFieldNumber, mode.declared_proof_degree(),
                 1, 3);
  }
  if (mode.has_nearest_point_fraction()) {
    CheckAbove(node, M::kNearestPointFractionFieldNumber, mode.nearest_point_fraction(),
               0);
    CheckBetween(node, M::kNearestPointFractionFieldNumber,
                 std::max(mode.nearest_point_fraction(), 0.0), 0, 1);
  }
  if (mode.has_reduction()) {
    CheckReduction(mode, node.Child(M::kReductionFieldNumber));
  }
  CheckFolderId(node, M::kSteadinessMethodFieldNumber, mode.steadiness_method());
  if (mode.has_model()) CheckModel(mode, node.Child(M::kModelFieldNumber));
  CheckShapes(mode, node);
}

// A procedure, or one with the climate of its season: "id/climate".
void CheckRatedId(const Node& node, int field, const std::string& name, int index) {
  const size_t slash = name.find('/');
  CheckFolderId(node, field, name.substr(0, slash), index);
  if (slash != name.npos) CheckFolderId(node, field, name.substr(slash + 1), index);
}

// What inputs may be for: procedures of the line, for all or one of their climates.
Names RatedNames(const v1::LineManifest& manifest) {
  std::vector<std::string> names(manifest.procedures().begin(),
                                 manifest.procedures().end());
  for (const std::string& name : manifest.procedures()) {
    const std::string id = name.substr(0, name.find('/'));
    if (std::find(names.begin(), names.end(), id) == names.end()) names.push_back(id);
  }
  return Names(std::move(names));
}

void CheckProcedureInputs(const v1::Unit& unit, const v1::LineManifest& manifest,
                          const Node& node) {
  using P = v1::ProcedureInput;
  const Names procedures = RatedNames(manifest);
  Unique inputs("input");
  for (int i = 0; i < unit.procedure_inputs_size(); ++i) {
    const v1::ProcedureInput& input = unit.procedure_inputs(i);
    const Node child = node.Child(v1::Unit::kProcedureInputsFieldNumber, i);
    child.Require({P::kProcedureFieldNumber, P::kInputFieldNumber, P::kValueFieldNumber});
    CheckReference(child, P::kProcedureFieldNumber, "procedure of this line",
                   input.procedure(), procedures);
    CheckAnyUnit(child, P::kUnitFieldNumber, input.unit());
    if (input.input().empty()) continue;
    inputs.Check(child, P::kInputFieldNumber,
                 absl::StrCat(input.procedure(), "/", input.input()));
  }
}

void CheckDeclaredRatings(const v1::Unit& unit, const v1::LineManifest& manifest,
                          const Node& node) {
  using D = v1::DeclaredRating;
  const Names procedures({manifest.procedures().begin(), manifest.procedures().end()});
  Unique declared("procedure");
  for (int i = 0; i < unit.declared_ratings_size(); ++i) {
    const v1::DeclaredRating& rating = unit.declared_ratings(i);
    const Node child = node.Child(v1::Unit::kDeclaredRatingsFieldNumber, i);
    child.Require({D::kProcedureFieldNumber, D::kValueFieldNumber, D::kUnitFieldNumber});
    CheckReference(child, D::kProcedureFieldNumber, "procedure of this line",
                   rating.procedure(), procedures);
    declared.Check(child, D::kProcedureFieldNumber, rating.procedure());
    if (child.Has(D::kValueFieldNumber)) {
      CheckAbove(child, D::kValueFieldNumber, rating.value(), 0);
    }
    CheckAnyUnit(child, D::kUnitFieldNumber, rating.unit());
  }
}

void CheckNominalCapacity(const v1::Measure& nominal, const Node& node) {
  using M = v1::Measure;
  CheckMeasure(nominal, node, Use::kResponse);
  const auto quantity = quantity::FindQuantity(nominal.quantity());
  if (!quantity.ok()) return;
  // Heat, or the water that an outdoor-air unit takes out of the air.
  if ((*quantity)->dimension != quantity::Dimension::kPower &&
      nominal.quantity() != "moisture_removal") {
    node.Fault(M::kQuantityFieldNumber,
               absl::StrCat("'", nominal.quantity(), "' is no capacity"));
  } else if (node.Has(M::kValueFieldNumber)) {
    CheckAbove(node, M::kValueFieldNumber, nominal.value(), 0);
  }
}

void CheckUnitOfLine(const v1::Unit& unit, const v1::LineManifest& manifest,
                     const Node& node) {
  using U = v1::Unit;
  node.Require({U::kIdFieldNumber, U::kTitleFieldNumber, U::kEquipmentClassFieldNumber,
                U::kPhaseCountFieldNumber, U::kNominalCapacityFieldNumber,
                U::kModesFieldNumber});
  CheckId(node, U::kIdFieldNumber, unit.id());
  if (node.Has(U::kPhaseCountFieldNumber) && unit.phase_count() != 1 &&
      unit.phase_count() != 3) {
    node.Fault(U::kPhaseCountFieldNumber,
               absl::StrCat(unit.phase_count(), " is no number of phases"),
               "write 1 or 3");
  }
  if (unit.has_nominal_capacity()) {
    CheckNominalCapacity(unit.nominal_capacity(),
                         node.Child(U::kNominalCapacityFieldNumber));
  }
  Unique machines("machine");
  for (int i = 0; i < unit.machines_size(); ++i) {
    const Node machine = node.Child(U::kMachinesFieldNumber, i);
    machine.Require({v1::Machine::kIdFieldNumber});
    CheckId(machine, v1::Machine::kIdFieldNumber, unit.machines(i).id());
    machines.Check(machine, v1::Machine::kIdFieldNumber, unit.machines(i).id());
  }
  Unique modes("mode");
  for (int i = 0; i < unit.modes_size(); ++i) {
    const Node mode = node.Child(U::kModesFieldNumber, i);
    CheckMode(unit, unit.modes(i), mode);
    modes.Check(mode, v1::Mode::kIdFieldNumber, unit.modes(i).id());
  }
  CheckCurves(unit, node);
  CheckProcedureInputs(unit, manifest, node);
  CheckDeclaredRatings(unit, manifest, node);
}

void CheckDroppedPoints(const v1::LineManifest& manifest, const Node& node) {
  using D = v1::DroppedPoint;
  Unique points("point");
  for (int i = 0; i < manifest.dropped_points_size(); ++i) {
    const Node point = node.Child(v1::LineManifest::kDroppedPointsFieldNumber, i);
    point.Require({D::kPointFieldNumber, D::kReasonFieldNumber});
    points.Check(point, D::kPointFieldNumber, manifest.dropped_points(i).point());
  }
}

}  // namespace

void CheckLineManifest(const v1::LineManifest& manifest, const Node& node) {
  using L = v1::LineManifest;
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.Require({L::kIdFieldNumber, L::kTitleFieldNumber, L::kDataSourceFieldNumber,
                L::kUnitsFieldNumber});
  node.RequireSoundValues();
  CheckFolderId(node, L::kIdFieldNumber, manifest.id());
  const LineNames names(manifest);
  CheckColumns(manifest, L::kColumnsFieldNumber, names, node);
  Unique paths("file");
  for (int i = 0; i < manifest.point_files_size(); ++i) {
    const Node file = node.Child(L::kPointFilesFieldNumber, i);
    CheckPointFile(manifest.point_files(i), names, file);
    paths.Check(file, v1::PointFile::kPathFieldNumber, manifest.point_files(i).path());
  }
  Unique logs("log");
  for (int i = 0; i < manifest.log_files_size(); ++i) {
    const Node file = node.Child(L::kLogFilesFieldNumber, i);
    CheckLogFile(manifest.log_files(i), names, file);
    logs.Check(file, v1::LogFile::kPathFieldNumber, manifest.log_files(i).path());
  }
  CheckInstruments(manifest, node);
  Unique uncertain("quantity");
  for (int i = 0; i < manifest.systematic_uncertainties_size(); ++i) {
    const Node systematic = node.Child(L::kSystematicUncertaintiesFieldNumber, i);
    CheckSystematic(manifest.systematic_uncertainties(i), systematic);
    uncertain.Check(systematic, v1::SystematicUncertainty::kQuantityFieldNumber,
                    manifest.systematic_uncertainties(i).quantity());
  }
  Unique specimens("specimen");
  for (int i = 0; i < manifest.specimens_size(); ++i) {
    const Node specimen = node.Child(L::kSpecimensFieldNumber, i);
    specimen.Require({v1::Specimen::kIdFieldNumber});
    specimens.Check(specimen, v1::Specimen::kIdFieldNumber, manifest.specimens(i).id());
  }
  Unique units("unit");
  for (int i = 0; i < manifest.units_size(); ++i) {
    const Node unit = node.Child(L::kUnitsFieldNumber, i);
    CheckUnitOfLine(manifest.units(i), manifest, unit);
    units.Check(unit, v1::Unit::kIdFieldNumber, manifest.units(i).id());
  }
  Unique procedures("procedure");
  for (int i = 0; i < manifest.procedures_size(); ++i) {
    CheckRatedId(node, L::kProceduresFieldNumber, manifest.procedures(i), i);
    procedures.Check(node, L::kProceduresFieldNumber, manifest.procedures(i), i);
  }
  Unique tables("table");
  for (int i = 0; i < manifest.tables_size(); ++i) {
    const Node table = node.Child(L::kTablesFieldNumber, i);
    CheckTableRequest(manifest.tables(i), manifest, table);
    tables.Check(table, v1::TableRequest::kIdFieldNumber, manifest.tables(i).id());
  }
  CheckDroppedPoints(manifest, node);
}

}  // namespace ratebound::document
