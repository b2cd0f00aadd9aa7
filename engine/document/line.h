// The manifest of a line folder. See proto/ratebound/v1/line.proto for what each field
// means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_LINE_H_
#define RATEBOUND_ENGINE_DOCUMENT_LINE_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/column.h"
#include "engine/document/curve.h"
#include "engine/document/instrument.h"
#include "engine/document/log.h"
#include "engine/document/measure.h"
#include "engine/document/reduction.h"
#include "engine/document/shape.h"
#include "engine/document/table.h"

namespace ratebound::document {

struct PointFile {
  std::string path;
  std::string unit;
  std::string mode;
  std::string stage;
  std::string block;
  std::string specimen;
  std::string regime;
  std::vector<Column> columns;
  std::string tested_on;
  std::string curve;
  int reading_count = 0;
  friend bool operator==(const PointFile&, const PointFile&) = default;
};

// Expanded, at about 95 %.
struct SystematicUncertainty {
  std::string quantity;
  double relative_fraction = 0;
  double absolute_si = 0;
  double absolute = 0;
  std::string unit;
  std::string source;
  friend bool operator==(const SystematicUncertainty&,
                         const SystematicUncertainty&) = default;
};

struct Specimen {
  std::string id;
  std::string description;
  friend bool operator==(const Specimen&, const Specimen&) = default;
};

struct Machine {
  std::string id;
  std::string description;
  friend bool operator==(const Machine&, const Machine&) = default;
};

enum class ModeKind { kCooling, kHeating };

struct HeldCondition {
  std::string quantity;
  double value = 0;
  double tolerance = 0;
  std::string unit;
  double value_si = 0;
  double tolerance_si = 0;
  friend bool operator==(const HeldCondition&, const HeldCondition&) = default;
};

struct Stage {
  std::string id;
  std::vector<std::string> machines;
  friend bool operator==(const Stage&, const Stage&) = default;
};

enum class ModelFamily {
  kTotalDegree,
  kConditionDegrees,
  kLogResponse,
  kReciprocalTemperature,
  kCarnot,
  kJointStages
};
enum class ModelRule { kUnspecified, kLeastError, kOneStandardError };

struct ModelRequest {
  std::vector<ModelFamily> families;
  ModelRule rule = ModelRule::kUnspecified;
  std::string sink_condition;
  std::string source_condition;
  double approach_k = 0;
  std::vector<double> stage_shares;
  friend bool operator==(const ModelRequest&, const ModelRequest&) = default;
};

struct Mode {
  std::string id;
  ModeKind kind = ModeKind::kCooling;
  std::string capacity_quantity;
  std::string power_quantity;
  std::vector<std::string> conditions;
  std::vector<HeldCondition> held_conditions;
  std::vector<std::string> other_responses;
  std::vector<Stage> stages;
  std::optional<int> declared_proof_degree;
  double nearest_point_fraction = 0.5;
  std::optional<Reduction> reduction;
  std::string steadiness_method;
  std::optional<ModelRequest> model;
  std::vector<ShapeFact> shape_facts;
  bool constrain_to_shape_facts = false;
  std::vector<EnergyBalance> energy_balances;
  friend bool operator==(const Mode&, const Mode&) = default;
};

struct ProcedureInput {
  std::string procedure;
  std::string input;
  double value = 0;
  std::string unit;
  friend bool operator==(const ProcedureInput&, const ProcedureInput&) = default;
};

struct DeclaredRating {
  std::string procedure;
  double value = 0;
  std::string unit;
  std::string stated_in;
  friend bool operator==(const DeclaredRating&, const DeclaredRating&) = default;
};

struct Unit {
  std::string id;
  std::string title;
  std::string equipment_class;
  int phase_count = 0;
  Measure nominal_capacity;
  std::vector<Machine> machines;
  std::vector<Mode> modes;
  std::vector<ProcedureInput> procedure_inputs;
  bool pool_specimens = false;
  std::vector<CurveRequest> curves;
  std::vector<DeclaredRating> declared_ratings;
  friend bool operator==(const Unit&, const Unit&) = default;
};

struct DroppedPoint {
  std::string point;
  std::string reason;
  friend bool operator==(const DroppedPoint&, const DroppedPoint&) = default;
};

struct LineManifest {
  std::string id;
  std::string title;
  std::string data_source;
  std::vector<std::string> cautions;
  std::vector<Column> columns;
  std::vector<PointFile> point_files;
  std::vector<SystematicUncertainty> systematic_uncertainties;
  std::vector<Specimen> specimens;
  std::vector<Unit> units;
  std::vector<std::string> procedures;
  std::vector<TableRequest> tables;
  std::vector<DroppedPoint> dropped_points;
  std::vector<Instrument> instruments;
  std::vector<ReadingCorrelation> reading_correlations;
  std::vector<LogFile> log_files;
  friend bool operator==(const LineManifest&, const LineManifest&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_LINE_H_
