// Names of a manifest's reduction to places and numbers.
#include <algorithm>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/points/reduction/plan_builder.h"

namespace ratebound::points {

using base::Absl;
using document::MethodKind;
using quantity::Dimension;

namespace {

int IndexIn(const std::vector<std::string>& names, std::string_view name) {
  const auto found = std::find(names.begin(), names.end(), name);
  return found == names.end() ? kNowhere : static_cast<int>(found - names.begin());
}

constexpr double kPi = 3.141592653589793;

}  // namespace

absl::Status PlanBuilder::Build() {
  if (!(core_.wet_bulb_slack_k >= 0 && core_.wet_bulb_slack_k <= 5)) {
    Fault("", "the slack of the wet bulb is outside 0 to 5 K");
  }
  if (!mode_.reduction.has_value()) {
    Fault("", "has no reduction", "write reduction { ... }");
    return faults_.ToStatus();
  }
  const document::Reduction& reduction = *mode_.reduction;
  CheckMethodInputs(reduction);
  if (reduction.air_side.has_value()) AddAirSide(*reduction.air_side);
  for (size_t i = 0; i < reduction.liquid_sides.size(); ++i) {
    AddLiquidSide(reduction.liquid_sides[i], absl::StrCat("liquid_sides[", i, "]"));
  }
  AddPower();
  AddCapacityOutputs(reduction);
  for (size_t i = 0; i < reduction.corrections.size(); ++i) {
    AddCorrection(reduction.corrections[i], absl::StrCat("corrections[", i, "]"));
  }
  if (reduction.refrigerant_saturation.has_value()) {
    AddSaturation(*reduction.refrigerant_saturation);
  }
  AddRefrigerant();
  if (core_.needs_barometer) {
    core_.barometer = Input("barometric_pressure");
    core_.altitude = Input("altitude");
  }
  return faults_.ToStatus();
}

int PlanBuilder::Input(std::string_view name) {
  const auto found = std::find(core_.inputs.begin(), core_.inputs.end(), name);
  if (found != core_.inputs.end()) {
    return static_cast<int>(found - core_.inputs.begin());
  }
  core_.inputs.emplace_back(name);
  core_.quantities.push_back(quantity::FindQuantity(name).value());
  return static_cast<int>(core_.inputs.size()) - 1;
}

bool PlanBuilder::CheckQuantity(const std::string& field, const std::string& name,
                                std::initializer_list<Dimension> dimensions) {
  const auto found = quantity::FindQuantity(name);
  if (!found.ok()) {
    Fault(field, std::string(found.status().message()));
    return false;
  }
  for (const Dimension dimension : dimensions) {
    if ((*found)->dimension == dimension) return true;
  }
  std::vector<std::string> names;
  for (const Dimension dimension : dimensions) {
    names.emplace_back(quantity::DimensionName(dimension));
  }
  Fault(field, absl::StrCat("'", name, "' is a ",
                            Absl(quantity::DimensionName((*found)->dimension)),
                            ", not a ", absl::StrJoin(names, " or a ")));
  return false;
}

void PlanBuilder::CheckMethodInputs(const document::Reduction& reduction) {
  std::vector<std::string> used;
  if (reduction.air_side.has_value()) {
    used.push_back(reduction.air_side->method);
    used.push_back(reduction.air_side->nozzle_method);
  }
  for (const auto& side : reduction.liquid_sides) used.push_back(side.method);
  for (const auto& correction : reduction.corrections) used.push_back(correction.method);
  for (const document::MethodInput& input : reduction.inputs) {
    if (std::find(used.begin(), used.end(), input.method) != used.end()) continue;
    Fault("inputs",
          absl::StrCat("method '", base::Printable(input.method), "' is not in use",
                       base::DidYouMean(input.method, used)));
  }
}

const document::MeasurementMethod* PlanBuilder::FindMethod(const std::string& field,
                                                           const std::string& id,
                                                           MethodKind kind) {
  std::vector<std::string> known;
  for (const document::MeasurementMethod& method : methods_) {
    if (method.id != id) {
      if (method.kind == kind) known.push_back(method.id);
      continue;
    }
    if (method.kind != kind) {
      Fault(field, absl::StrCat("method '", id, "' is of the kind ",
                                Absl(MethodKindName(method.kind)), ", not ",
                                Absl(MethodKindName(kind))));
      return nullptr;
    }
    const absl::Status names = CheckMethodNames(method);
    if (!names.ok()) {
      faults_.AddStatus(names);
      return nullptr;
    }
    return &method;
  }
  std::string remedy = base::NearestName(id, known);
  remedy = !remedy.empty() ? absl::StrCat("did you mean '", remedy, "'?")
           : known.empty() ? "no method of this kind is known"
                           : absl::StrCat("known are ", absl::StrJoin(known, ", "));
  Fault(field, absl::StrCat("unknown method '", base::Printable(id), "'"), remedy);
  return nullptr;
}

void PlanBuilder::AddBalanceLimit(MethodReader& reader) {
  if (!reader.Has("balance_limit")) return;
  const MethodValue limit = reader.Number("balance_limit");
  if (core_.balance_limit_fraction.has_value() &&
      *core_.balance_limit_fraction <= limit.value / 100) {
    return;
  }
  core_.balance_limit_fraction = limit.value / 100;
  core_.balance_citation = limit.citation;
}

void PlanBuilder::AddNozzles(const document::AirSide& side, AirPlan& air, bool fixed,
                             bool reynolds, double fixed_from) {
  AirConstants& k = air.constants;
  if (side.nozzles.empty()) {
    Fault("air_side.nozzles", "no nozzle was open", "write nozzles { diameter: ... }");
  }
  if (side.nozzles.size() > kMostNozzleSizes) {
    Fault("air_side.nozzles",
          absl::StrCat("more than ", kMostNozzleSizes, " sizes of nozzles"),
          "give those of one diameter together, with their count");
    return;
  }
  const double length_m = air.inch_pound ? UnitSi("ft") : 1;
  const std::string small_unit = air.inch_pound ? "in" : "mm";
  for (const document::Nozzle& nozzle : side.nozzles) {
    if (!(nozzle.diameter_m > 0 && nozzle.diameter_m < 2) || nozzle.count < 1 ||
        nozzle.count > 1000) {
      Fault("air_side.nozzles",
            absl::StrCat("a nozzle of ", base::ShortestText(nozzle.diameter), " ",
                         nozzle.unit, ", ", nozzle.count, " of them"),
            "a diameter is above 0 and below 2 m, a count from 1 to 1000");
      continue;
    }
    NozzleSize& size = k.nozzles[k.nozzle_sizes++];
    size.diameter = nozzle.diameter_m / length_m;
    if (size.diameter > k.nozzles[k.largest_nozzle].diameter) {
      k.largest_nozzle = k.nozzle_sizes - 1;
    }
    size.area = nozzle.count * (kPi / 4) * (size.diameter * size.diameter);
    // The diameter as written decides, where it stands in the method's own unit.
    const double small = nozzle.unit == small_unit
                             ? nozzle.diameter
                             : nozzle.diameter_m / UnitSi(small_unit);
    size.fixed = fixed && small >= fixed_from;
    if (!size.fixed && !reynolds) {
      Fault("air_side.nozzles",
            absl::StrCat("method '", air.nozzle_method,
                         "' has no coefficient for a nozzle of ",
                         base::ShortestText(small), " ", small_unit, ", below ",
                         base::ShortestText(fixed_from), " ", small_unit));
    }
  }
}

void PlanBuilder::AddCapacityOutputs(const document::Reduction& reduction) {
  int liquid_capacities = 0;
  for (const document::LiquidSide& side : reduction.liquid_sides) {
    // A side that closes the balance against power is a capacity, too.
    const bool counts =
        side.role == document::LiquidRole::kCapacity ||
        (side.role == document::LiquidRole::kHeatRejection && !core_.heating) ||
        (side.role == document::LiquidRole::kHeatAbsorbed && core_.heating);
    liquid_capacities += counts ? 1 : 0;
  }
  const bool air = reduction.air_side.has_value();
  core_.basis = reduction.capacity_basis;
  const int sides = liquid_capacities + (air ? 1 : 0);
  using document::CapacityBasis;
  if (sides > 2) {
    Fault("liquid_sides", "more than two sides give the capacity");
  }
  if (core_.basis == CapacityBasis::kOnlySide && sides > 1) {
    Fault("capacity_basis", "two sides give the capacity",
          "write which one counts: CAPACITY_BASIS_AIR_SIDE, _LIQUID_SIDE or _MEAN");
  }
  if (core_.basis == CapacityBasis::kAirSide && !air) {
    Fault("capacity_basis", "there is no air side");
  }
  if (core_.basis == CapacityBasis::kLiquidSide && liquid_capacities == 0) {
    Fault("capacity_basis", "no liquid side gives the capacity");
  }
  if (core_.basis == CapacityBasis::kMean && sides < 2) {
    Fault("capacity_basis", "a mean takes two sides that give the capacity");
  }
  if (sides > 1) {
    Output(OutputId::kHeatBalance);
    if (reduction.balance_limit_fraction.has_value()) {
      core_.balance_limit_fraction = reduction.balance_limit_fraction;
      core_.balance_citation = {"the line folder", document::Basis::kUnspecified};
    }
  } else {
    core_.balance_limit_fraction.reset();
  }
  if (sides == 0) return;
  if (core_.heating) {
    Output(OutputId::kHeatingCapacity);
    if (air) Output(OutputId::kGrossHeatingCapacity);
    return;
  }
  Output(OutputId::kTotalCapacity);
  if (!air) return;
  for (const OutputId id :
       {OutputId::kSensibleCapacity, OutputId::kLatentCapacity,
        OutputId::kGrossTotalCapacity, OutputId::kGrossSensibleCapacity,
        OutputId::kSensibleHeatRatio, OutputId::kMoistureRemoval}) {
    Output(id);
  }
}

Source PlanBuilder::SourceOf(const std::string& field, const std::string& name,
                             std::initializer_list<Dimension> dimensions) {
  Source source{.quantity = name};
  if (!CheckQuantity(field, name, dimensions)) return source;
  for (size_t i = 0; i < kOutputNames.size(); ++i) {
    if (kOutputNames[i] == name && HasOutput(static_cast<OutputId>(i))) {
      source.output = static_cast<int>(i);  // an OutputId until outputs are numbered
      return source;
    }
  }
  source.input = Input(name);
  return source;
}

void PlanBuilder::NumberOutputs() {
  int next = 0;
  for (int& index : core_.output_index) {
    if (index != kNowhere) index = next++;
  }
  for (CorrectionPlan& plan : core_.corrections) {
    for (Source* source : {&plan.flow, &plan.pressure}) {
      if (source->output != kNowhere) {
        source->output = core_.index_of(static_cast<OutputId>(source->output));
      }
    }
  }
}

absl::StatusOr<ReductionPlan> ReductionPlan::Create(
    const document::Mode& mode, std::span<const document::MeasurementMethod> methods,
    const ReductionOptions& options) {
  PlanBuilder builder(mode, methods, options);
  const absl::Status built = builder.Build();
  if (!built.ok()) return built;
  builder.NumberOutputs();
  ReductionPlan plan;
  plan.outputs_ = builder.Outputs();
  plan.unconfirmed_ = builder.TakeUnconfirmed();
  plan.core_ = std::make_shared<const PlanCore>(builder.TakeCore());
  plan.inputs_ = plan.core_->inputs;
  return plan;
}

int ReductionPlan::InputIndex(std::string_view quantity) const {
  return IndexIn(inputs_, quantity);
}

int ReductionPlan::OutputIndex(std::string_view quantity) const {
  return IndexIn(outputs_, quantity);
}

std::optional<double> ReductionPlan::balance_limit_fraction() const {
  return core_->balance_limit_fraction;
}

}  // namespace ratebound::points
