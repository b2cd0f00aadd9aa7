// A season of temperature bins as data. See proto/ratebound/v1/season.proto for what each
// field means. Temperatures stay in the season's own unit.
#ifndef RATEBOUND_ENGINE_DOCUMENT_SEASON_H_
#define RATEBOUND_ENGINE_DOCUMENT_SEASON_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"
#include "engine/document/part_load.h"

namespace ratebound::document {

// Exactly one of value, input and climate_value is set.
struct SeasonNumber {
  std::optional<CitedValue> value;
  std::string input;
  std::string climate_value;
  bool may_be_missing = false;
  friend bool operator==(const SeasonNumber&, const SeasonNumber&) = default;
};

struct ClimateValue {
  std::string name;
  CitedValue value;
  friend bool operator==(const ClimateValue&, const ClimateValue&) = default;
};

struct Bin {
  double temperature = 0;
  double weight = 0;
  friend bool operator==(const Bin&, const Bin&) = default;
};

struct BinTable {
  double step = 0;
  double sum = 0;
  std::vector<Bin> bins;
  Citation citation;
  friend bool operator==(const BinTable&, const BinTable&) = default;
};

enum class HourlyFileKind { kEpw, kCsv };

struct HourlyTemperatures {
  std::string path;
  HourlyFileKind kind = HourlyFileKind::kEpw;
  std::string column;
  std::string unit;
  double step = 0;  // 0 where each hour stands by itself
  Citation citation;
  friend bool operator==(const HourlyTemperatures&, const HourlyTemperatures&) = default;
};

// Exactly one of bins and hourly is set.
struct Climate {
  std::string id;
  std::string title;
  std::optional<BinTable> bins;
  std::optional<HourlyTemperatures> hourly;
  std::vector<ClimateValue> values;
  friend bool operator==(const Climate&, const Climate&) = default;
};

struct ConditionAt {
  double temperature = 0;
  double value = 0;
  friend bool operator==(const ConditionAt&, const ConditionAt&) = default;
};

struct BinCondition {
  std::string quantity;
  std::string unit;
  std::vector<ConditionAt> at;
  bool extended = false;
  Citation citation;
  bool if_mapped = false;
  friend bool operator==(const BinCondition&, const BinCondition&) = default;
};

enum class StageRole { kHighest, kLowest, kMiddle };
enum class DefaultUse { kUnlessKnown, kAlways, kUnlessInput };

struct TestDefault {
  DefaultUse use = DefaultUse::kUnlessKnown;
  std::vector<std::string> tests;
  CitedValue capacity_factor;
  CitedValue power_factor;
  std::string tested_input;
  friend bool operator==(const TestDefault&, const TestDefault&) = default;
};

struct SeasonTest {
  std::string id;
  StageRole stage = StageRole::kHighest;
  SeasonNumber temperature;
  std::optional<SeasonNumber> least_temperature;
  std::vector<CitedCondition> conditions;
  std::optional<TestDefault> fallback;
  bool may_be_missing = false;
  std::string run_input;
  friend bool operator==(const SeasonTest&, const SeasonTest&) = default;
};

// Exactly one of capacity_of, balance_at and design_load is set.
struct SeasonLoad {
  SeasonNumber first_temperature;
  CitedValue first_part;
  SeasonNumber second_temperature;
  CitedValue second_part;
  std::optional<CitedValue> least_part;
  std::optional<CitedValue> greatest_part;
  std::string capacity_of;
  std::string balance_at;
  std::optional<SeasonNumber> design_load;
  std::vector<SeasonNumber> factors;
  std::vector<SeasonNumber> divisors;
  Citation citation;
  friend bool operator==(const SeasonLoad&, const SeasonLoad&) = default;
};

enum class BetweenStages { kAlternate, kEfficiencyOverLoad, kEfficiencyOverTemperature };

struct CurvePiece {
  std::vector<std::string> tests;
  std::optional<SeasonNumber> from;
  std::optional<SeasonNumber> to;
  Citation citation;
  friend bool operator==(const CurvePiece&, const CurvePiece&) = default;
};

struct SlopeCurve {
  std::string test;
  std::string lower;
  std::string upper;
  std::vector<std::string> lower_tests;
  std::vector<std::string> upper_tests;
  Citation citation;
  friend bool operator==(const SlopeCurve&, const SlopeCurve&) = default;
};

// Exactly one of pieces (not empty), slopes and from_map is set.
struct StageCurve {
  std::string id;
  std::vector<CurvePiece> pieces;
  std::optional<SlopeCurve> slopes;
  std::optional<StageRole> from_map;
  bool may_be_missing = false;
  friend bool operator==(const StageCurve&, const StageCurve&) = default;
};

struct StagedBins {
  std::vector<StageCurve> curves;
  bool all_from_map = false;
  std::optional<BetweenStages> between;
  std::optional<Citation> between_citation;
  std::optional<SeasonNumber> lowest_locked_above;
  std::optional<SeasonNumber> lowest_locked_below;
  friend bool operator==(const StagedBins&, const StagedBins&) = default;
};

enum class DegradeAt { kPoints, kBins };
enum class BeyondPoints { kConstant, kExtended };

struct DeclaredPoints {
  std::vector<std::string> tests;
  CitedValue window_percent;
  DegradeAt degrade_at = DegradeAt::kPoints;
  BeyondPoints below = BeyondPoints::kConstant;
  BeyondPoints above = BeyondPoints::kConstant;
  Citation citation;
  friend bool operator==(const DeclaredPoints&, const DeclaredPoints&) = default;
};

enum class DegradationForm { kLinearLoss, kOffPower };

struct CyclicTest {
  std::string cyclic_efficiency_input;
  std::string steady_efficiency_input;
  std::string load_factor_input;
  friend bool operator==(const CyclicTest&, const CyclicTest&) = default;
};

struct Degradation {
  DegradationForm form = DegradationForm::kLinearLoss;
  CitedValue default_coefficient;
  std::string tested_input;
  std::optional<CyclicTest> cyclic_test;
  std::optional<CitedValue> rounding_step;
  bool worse_takes_default = false;
  Citation citation;
  friend bool operator==(const Degradation&, const Degradation&) = default;
};

struct CutOut {
  SeasonNumber off_temperature;
  bool off_at_temperature = false;
  std::optional<SeasonNumber> on_temperature;
  std::optional<CitedValue> between_part;
  bool off_below_backup = false;
  Citation citation;
  friend bool operator==(const CutOut&, const CutOut&) = default;
};

enum class UnmetLoad { kBackup, kNotCounted, kAtUnitEfficiency };

struct Backup {
  CitedValue efficiency;
  friend bool operator==(const Backup&, const Backup&) = default;
};

struct IdleMode {
  std::string name;
  SeasonNumber hours;
  SeasonNumber power;
  Citation citation;
  friend bool operator==(const IdleMode&, const IdleMode&) = default;
};

struct EfficiencyCorrection {
  std::string name;
  SeasonNumber part;
  friend bool operator==(const EfficiencyCorrection&,
                         const EfficiencyCorrection&) = default;
};

struct SpaceEfficiency {
  CitedValue conversion_coefficient;
  std::string holds_from;
  std::string holds_until;
  std::vector<EfficiencyCorrection> corrections;
  friend bool operator==(const SpaceEfficiency&, const SpaceEfficiency&) = default;
};

struct DefrostCredit {
  CitedValue greatest_gain;
  CitedValue shortest_interval;
  CitedValue longest_interval;
  std::string interval_input;
  std::string longest_interval_input;
  friend bool operator==(const DefrostCredit&, const DefrostCredit&) = default;
};

enum class SeasonFigureKind { kActive, kNet, kAnnual, kSpace };

struct SeasonFigure {
  SeasonFigureKind kind = SeasonFigureKind::kActive;
  std::string name;
  Citation citation;
  friend bool operator==(const SeasonFigure&, const SeasonFigure&) = default;
};

// Exactly one of staged and declared is set.
struct BinSeason {
  std::string temperature_unit;
  std::vector<Climate> climates;
  std::vector<BinCondition> bin_conditions;
  std::vector<SeasonTest> tests;
  SeasonLoad load;
  std::optional<StagedBins> staged;
  std::optional<DeclaredPoints> declared;
  std::optional<Degradation> degradation;
  std::optional<Degradation> highest_stage_degradation;
  std::optional<CutOut> cut_out;
  UnmetLoad unmet_load = UnmetLoad::kNotCounted;
  std::optional<Backup> backup;
  std::optional<SeasonNumber> demand_hours;
  std::vector<IdleMode> idle_modes;
  std::optional<SpaceEfficiency> space_efficiency;
  std::optional<DefrostCredit> defrost_credit;
  SeasonFigureKind rated_figure = SeasonFigureKind::kActive;
  std::vector<SeasonFigure> figures;
  std::optional<CitedValue> represented_step;
  Citation citation;
  friend bool operator==(const BinSeason&, const BinSeason&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_SEASON_H_
