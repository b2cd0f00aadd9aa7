#include "engine/document/convert_parts.h"
#include "engine/document/season.h"
#include "ratebound/v1/season.pb.h"

namespace ratebound::document {

static_assert(static_cast<int>(HourlyFileKind::kCsv) + 1 == v1::HOURLY_FILE_KIND_CSV);
static_assert(static_cast<int>(StageRole::kMiddle) + 1 == v1::STAGE_ROLE_MIDDLE);
static_assert(static_cast<int>(DefaultUse::kUnlessInput) + 1 ==
              v1::DEFAULT_USE_UNLESS_INPUT);
static_assert(static_cast<int>(BetweenStages::kEfficiencyOverTemperature) + 1 ==
              v1::BETWEEN_STAGES_EFFICIENCY_OVER_TEMPERATURE);
static_assert(static_cast<int>(DegradeAt::kBins) + 1 == v1::DEGRADE_AT_BINS);
static_assert(static_cast<int>(BeyondPoints::kExtended) + 1 ==
              v1::BEYOND_POINTS_EXTENDED);
static_assert(static_cast<int>(DegradationForm::kOffPower) + 1 ==
              v1::DEGRADATION_FORM_OFF_POWER);
static_assert(static_cast<int>(UnmetLoad::kAtUnitEfficiency) + 1 ==
              v1::UNMET_LOAD_AT_UNIT_EFFICIENCY);
static_assert(static_cast<int>(SeasonFigureKind::kSpace) + 1 ==
              v1::SEASON_FIGURE_KIND_SPACE);

// A part that may be absent.
template <typename Wire, typename Plain>
static void ReadIf(bool present, const Wire& from, std::optional<Plain>& to,
                   base::FaultList& faults) {
  if (present) Read(from, to.emplace(), faults);
}

static void Read(const v1::SeasonNumber& from, SeasonNumber& to,
                 base::FaultList& faults) {
  ReadIf(from.has_value(), from.value(), to.value, faults);
  to.input = from.input();
  to.climate_value = from.climate_value();
  if (from.from_case() == v1::SeasonNumber::FROM_NOT_SET) {
    faults.Add({.field = "SeasonNumber.from", .message = "is missing"});
  }
  to.may_be_missing = from.may_be_missing();
}

static void Write(const SeasonNumber& from, v1::SeasonNumber* to) {
  if (from.value.has_value()) {
    Write(*from.value, to->mutable_value());
  } else if (!from.climate_value.empty()) {
    to->set_climate_value(from.climate_value);
  } else {
    to->set_input(from.input);
  }
  to->set_may_be_missing(from.may_be_missing);
}

static void Read(const v1::ClimateValue& from, ClimateValue& to,
                 base::FaultList& faults) {
  to.name = from.name();
  Read(from.value(), to.value, faults);
}

static void Write(const ClimateValue& from, v1::ClimateValue* to) {
  to->set_name(from.name);
  Write(from.value, to->mutable_value());
}

static void Read(const v1::Bin& from, Bin& to, base::FaultList&) {
  to.temperature = from.temperature();
  to.weight = from.weight();
}

static void Write(const Bin& from, v1::Bin* to) {
  to->set_temperature(from.temperature);
  to->set_weight(from.weight);
}

static void Read(const v1::BinTable& from, BinTable& to, base::FaultList& faults) {
  to.step = from.step();
  to.sum = from.sum();
  ReadAll(from.bins(), to.bins, faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const BinTable& from, v1::BinTable* to) {
  to->set_step(from.step);
  to->set_sum(from.sum);
  WriteAll(from.bins, to->mutable_bins());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::HourlyTemperatures& from, HourlyTemperatures& to,
                 base::FaultList& faults) {
  to.path = from.path();
  to.kind = ReadEnum<HourlyFileKind>(from.kind(), "HourlyTemperatures.kind", faults);
  to.column = from.column();
  to.unit = from.unit();
  to.step = from.step();
  Read(from.citation(), to.citation, faults);
}

static void Write(const HourlyTemperatures& from, v1::HourlyTemperatures* to) {
  to->set_path(from.path);
  to->set_kind(WriteEnum<v1::HourlyFileKind>(from.kind));
  to->set_column(from.column);
  to->set_unit(from.unit);
  to->set_step(from.step);
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::Climate& from, Climate& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  ReadIf(from.has_bins(), from.bins(), to.bins, faults);
  ReadIf(from.has_hourly(), from.hourly(), to.hourly, faults);
  if (from.temperatures_case() == v1::Climate::TEMPERATURES_NOT_SET) {
    faults.Add({.field = "Climate.temperatures", .message = "is missing"});
  }
  ReadAll(from.values(), to.values, faults);
}

static void Write(const Climate& from, v1::Climate* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  if (from.bins.has_value()) {
    Write(*from.bins, to->mutable_bins());
  } else if (from.hourly.has_value()) {
    Write(*from.hourly, to->mutable_hourly());
  }
  WriteAll(from.values, to->mutable_values());
}

static void Read(const v1::ConditionAt& from, ConditionAt& to, base::FaultList&) {
  to.temperature = from.temperature();
  to.value = from.value();
}

static void Write(const ConditionAt& from, v1::ConditionAt* to) {
  to->set_temperature(from.temperature);
  to->set_value(from.value);
}

static void Read(const v1::BinCondition& from, BinCondition& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  to.unit = from.unit();
  ReadAll(from.at(), to.at, faults);
  to.extended = from.extended();
  Read(from.citation(), to.citation, faults);
  to.if_mapped = from.if_mapped();
}

static void Write(const BinCondition& from, v1::BinCondition* to) {
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
  WriteAll(from.at, to->mutable_at());
  to->set_extended(from.extended);
  Write(from.citation, to->mutable_citation());
  to->set_if_mapped(from.if_mapped);
}

static void Read(const v1::TestDefault& from, TestDefault& to, base::FaultList& faults) {
  to.use = ReadEnum<DefaultUse>(from.use(), "TestDefault.use", faults);
  to.tests = Plainly(from.tests());
  Read(from.capacity_factor(), to.capacity_factor, faults);
  Read(from.power_factor(), to.power_factor, faults);
  to.tested_input = from.tested_input();
}

static void Write(const TestDefault& from, v1::TestDefault* to) {
  to->set_use(WriteEnum<v1::DefaultUse>(from.use));
  Fill(from.tests, to->mutable_tests());
  Write(from.capacity_factor, to->mutable_capacity_factor());
  Write(from.power_factor, to->mutable_power_factor());
  to->set_tested_input(from.tested_input);
}

static void Read(const v1::SeasonTest& from, SeasonTest& to, base::FaultList& faults) {
  to.id = from.id();
  to.stage = ReadEnum<StageRole>(from.stage(), "SeasonTest.stage", faults);
  Read(from.temperature(), to.temperature, faults);
  ReadIf(from.has_least_temperature(), from.least_temperature(), to.least_temperature,
         faults);
  ReadAll(from.conditions(), to.conditions, faults);
  ReadIf(from.has_fallback(), from.fallback(), to.fallback, faults);
  to.may_be_missing = from.may_be_missing();
  to.run_input = from.run_input();
}

static void Write(const SeasonTest& from, v1::SeasonTest* to) {
  to->set_id(from.id);
  to->set_stage(WriteEnum<v1::StageRole>(from.stage));
  Write(from.temperature, to->mutable_temperature());
  if (from.least_temperature.has_value()) {
    Write(*from.least_temperature, to->mutable_least_temperature());
  }
  WriteAll(from.conditions, to->mutable_conditions());
  if (from.fallback.has_value()) Write(*from.fallback, to->mutable_fallback());
  to->set_may_be_missing(from.may_be_missing);
  to->set_run_input(from.run_input);
}

static void Read(const v1::SeasonLoad& from, SeasonLoad& to, base::FaultList& faults) {
  Read(from.first_temperature(), to.first_temperature, faults);
  Read(from.first_part(), to.first_part, faults);
  Read(from.second_temperature(), to.second_temperature, faults);
  Read(from.second_part(), to.second_part, faults);
  ReadIf(from.has_least_part(), from.least_part(), to.least_part, faults);
  ReadIf(from.has_greatest_part(), from.greatest_part(), to.greatest_part, faults);
  to.capacity_of = from.capacity_of();
  to.balance_at = from.balance_at();
  ReadIf(from.has_design_load(), from.design_load(), to.design_load, faults);
  if (from.size_case() == v1::SeasonLoad::SIZE_NOT_SET) {
    faults.Add({.field = "SeasonLoad.size", .message = "is missing"});
  }
  ReadAll(from.factors(), to.factors, faults);
  ReadAll(from.divisors(), to.divisors, faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const SeasonLoad& from, v1::SeasonLoad* to) {
  Write(from.first_temperature, to->mutable_first_temperature());
  Write(from.first_part, to->mutable_first_part());
  Write(from.second_temperature, to->mutable_second_temperature());
  Write(from.second_part, to->mutable_second_part());
  if (from.least_part.has_value()) Write(*from.least_part, to->mutable_least_part());
  if (from.greatest_part.has_value()) {
    Write(*from.greatest_part, to->mutable_greatest_part());
  }
  if (from.design_load.has_value()) {
    Write(*from.design_load, to->mutable_design_load());
  } else if (!from.balance_at.empty()) {
    to->set_balance_at(from.balance_at);
  } else {
    to->set_capacity_of(from.capacity_of);
  }
  WriteAll(from.factors, to->mutable_factors());
  WriteAll(from.divisors, to->mutable_divisors());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::CurvePiece& from, CurvePiece& to, base::FaultList& faults) {
  to.tests = Plainly(from.tests());
  ReadIf(from.has_from(), from.from(), to.from, faults);
  ReadIf(from.has_to(), from.to(), to.to, faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const CurvePiece& from, v1::CurvePiece* to) {
  Fill(from.tests, to->mutable_tests());
  if (from.from.has_value()) Write(*from.from, to->mutable_from());
  if (from.to.has_value()) Write(*from.to, to->mutable_to());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::SlopeCurve& from, SlopeCurve& to, base::FaultList& faults) {
  to.test = from.test();
  to.lower = from.lower();
  to.upper = from.upper();
  to.lower_tests = Plainly(from.lower_tests());
  to.upper_tests = Plainly(from.upper_tests());
  Read(from.citation(), to.citation, faults);
}

static void Write(const SlopeCurve& from, v1::SlopeCurve* to) {
  to->set_test(from.test);
  to->set_lower(from.lower);
  to->set_upper(from.upper);
  Fill(from.lower_tests, to->mutable_lower_tests());
  Fill(from.upper_tests, to->mutable_upper_tests());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::StageCurve& from, StageCurve& to, base::FaultList& faults) {
  to.id = from.id();
  switch (from.shape_case()) {
    case v1::StageCurve::kPieces:
      ReadAll(from.pieces().pieces(), to.pieces, faults);
      break;
    case v1::StageCurve::kSlopes:
      Read(from.slopes(), to.slopes.emplace(), faults);
      break;
    case v1::StageCurve::kFromMap:
      to.from_map = ReadEnum<StageRole>(from.from_map(), "StageCurve.from_map", faults);
      break;
    case v1::StageCurve::SHAPE_NOT_SET:
      faults.Add({.field = "StageCurve.shape", .message = "is missing"});
      break;
  }
  to.may_be_missing = from.may_be_missing();
}

static void Write(const StageCurve& from, v1::StageCurve* to) {
  to->set_id(from.id);
  if (from.slopes.has_value()) {
    Write(*from.slopes, to->mutable_slopes());
  } else if (from.from_map.has_value()) {
    to->set_from_map(WriteEnum<v1::StageRole>(*from.from_map));
  } else {
    WriteAll(from.pieces, to->mutable_pieces()->mutable_pieces());
  }
  to->set_may_be_missing(from.may_be_missing);
}

static void Read(const v1::StagedBins& from, StagedBins& to, base::FaultList& faults) {
  ReadAll(from.curves(), to.curves, faults);
  to.all_from_map = from.all_from_map();
  if (from.between() != v1::BETWEEN_STAGES_UNSPECIFIED) {
    to.between = ReadEnum<BetweenStages>(from.between(), "StagedBins.between", faults);
  }
  ReadIf(from.has_between_citation(), from.between_citation(), to.between_citation,
         faults);
  ReadIf(from.has_lowest_locked_above(), from.lowest_locked_above(),
         to.lowest_locked_above, faults);
  ReadIf(from.has_lowest_locked_below(), from.lowest_locked_below(),
         to.lowest_locked_below, faults);
}

static void Write(const StagedBins& from, v1::StagedBins* to) {
  WriteAll(from.curves, to->mutable_curves());
  to->set_all_from_map(from.all_from_map);
  if (from.between.has_value()) {
    to->set_between(WriteEnum<v1::BetweenStages>(*from.between));
  }
  if (from.between_citation.has_value()) {
    Write(*from.between_citation, to->mutable_between_citation());
  }
  if (from.lowest_locked_above.has_value()) {
    Write(*from.lowest_locked_above, to->mutable_lowest_locked_above());
  }
  if (from.lowest_locked_below.has_value()) {
    Write(*from.lowest_locked_below, to->mutable_lowest_locked_below());
  }
}

static void Read(const v1::DeclaredPoints& from, DeclaredPoints& to,
                 base::FaultList& faults) {
  to.tests = Plainly(from.tests());
  Read(from.window_percent(), to.window_percent, faults);
  to.degrade_at =
      ReadEnum<DegradeAt>(from.degrade_at(), "DeclaredPoints.degrade_at", faults);
  to.below = ReadEnum<BeyondPoints>(from.below(), "DeclaredPoints.below", faults);
  to.above = ReadEnum<BeyondPoints>(from.above(), "DeclaredPoints.above", faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const DeclaredPoints& from, v1::DeclaredPoints* to) {
  Fill(from.tests, to->mutable_tests());
  Write(from.window_percent, to->mutable_window_percent());
  to->set_degrade_at(WriteEnum<v1::DegradeAt>(from.degrade_at));
  to->set_below(WriteEnum<v1::BeyondPoints>(from.below));
  to->set_above(WriteEnum<v1::BeyondPoints>(from.above));
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::CyclicTest& from, CyclicTest& to, base::FaultList&) {
  to.cyclic_efficiency_input = from.cyclic_efficiency_input();
  to.steady_efficiency_input = from.steady_efficiency_input();
  to.load_factor_input = from.load_factor_input();
}

static void Write(const CyclicTest& from, v1::CyclicTest* to) {
  to->set_cyclic_efficiency_input(from.cyclic_efficiency_input);
  to->set_steady_efficiency_input(from.steady_efficiency_input);
  to->set_load_factor_input(from.load_factor_input);
}

static void Read(const v1::Degradation& from, Degradation& to, base::FaultList& faults) {
  to.form = ReadEnum<DegradationForm>(from.form(), "Degradation.form", faults);
  Read(from.default_coefficient(), to.default_coefficient, faults);
  to.tested_input = from.tested_input();
  ReadIf(from.has_cyclic_test(), from.cyclic_test(), to.cyclic_test, faults);
  ReadIf(from.has_rounding_step(), from.rounding_step(), to.rounding_step, faults);
  to.worse_takes_default = from.worse_takes_default();
  Read(from.citation(), to.citation, faults);
}

static void Write(const Degradation& from, v1::Degradation* to) {
  to->set_form(WriteEnum<v1::DegradationForm>(from.form));
  Write(from.default_coefficient, to->mutable_default_coefficient());
  to->set_tested_input(from.tested_input);
  if (from.cyclic_test.has_value()) Write(*from.cyclic_test, to->mutable_cyclic_test());
  if (from.rounding_step.has_value()) {
    Write(*from.rounding_step, to->mutable_rounding_step());
  }
  to->set_worse_takes_default(from.worse_takes_default);
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::CutOut& from, CutOut& to, base::FaultList& faults) {
  Read(from.off_temperature(), to.off_temperature, faults);
  to.off_at_temperature = from.off_at_temperature();
  ReadIf(from.has_on_temperature(), from.on_temperature(), to.on_temperature, faults);
  ReadIf(from.has_between_part(), from.between_part(), to.between_part, faults);
  to.off_below_backup = from.off_below_backup();
  Read(from.citation(), to.citation, faults);
}

static void Write(const CutOut& from, v1::CutOut* to) {
  Write(from.off_temperature, to->mutable_off_temperature());
  to->set_off_at_temperature(from.off_at_temperature);
  if (from.on_temperature.has_value()) {
    Write(*from.on_temperature, to->mutable_on_temperature());
  }
  if (from.between_part.has_value()) {
    Write(*from.between_part, to->mutable_between_part());
  }
  to->set_off_below_backup(from.off_below_backup);
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::Backup& from, Backup& to, base::FaultList& faults) {
  Read(from.efficiency(), to.efficiency, faults);
}

static void Write(const Backup& from, v1::Backup* to) {
  Write(from.efficiency, to->mutable_efficiency());
}

static void Read(const v1::IdleMode& from, IdleMode& to, base::FaultList& faults) {
  to.name = from.name();
  Read(from.hours(), to.hours, faults);
  Read(from.power(), to.power, faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const IdleMode& from, v1::IdleMode* to) {
  to->set_name(from.name);
  Write(from.hours, to->mutable_hours());
  Write(from.power, to->mutable_power());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::EfficiencyCorrection& from, EfficiencyCorrection& to,
                 base::FaultList& faults) {
  to.name = from.name();
  Read(from.part(), to.part, faults);
}

static void Write(const EfficiencyCorrection& from, v1::EfficiencyCorrection* to) {
  to->set_name(from.name);
  Write(from.part, to->mutable_part());
}

static void Read(const v1::SpaceEfficiency& from, SpaceEfficiency& to,
                 base::FaultList& faults) {
  Read(from.conversion_coefficient(), to.conversion_coefficient, faults);
  to.holds_from = from.holds_from();
  to.holds_until = from.holds_until();
  ReadAll(from.corrections(), to.corrections, faults);
}

static void Write(const SpaceEfficiency& from, v1::SpaceEfficiency* to) {
  Write(from.conversion_coefficient, to->mutable_conversion_coefficient());
  to->set_holds_from(from.holds_from);
  to->set_holds_until(from.holds_until);
  WriteAll(from.corrections, to->mutable_corrections());
}

static void Read(const v1::DefrostCredit& from, DefrostCredit& to,
                 base::FaultList& faults) {
  Read(from.greatest_gain(), to.greatest_gain, faults);
  Read(from.shortest_interval(), to.shortest_interval, faults);
  Read(from.longest_interval(), to.longest_interval, faults);
  to.interval_input = from.interval_input();
  to.longest_interval_input = from.longest_interval_input();
}

static void Write(const DefrostCredit& from, v1::DefrostCredit* to) {
  Write(from.greatest_gain, to->mutable_greatest_gain());
  Write(from.shortest_interval, to->mutable_shortest_interval());
  Write(from.longest_interval, to->mutable_longest_interval());
  to->set_interval_input(from.interval_input);
  to->set_longest_interval_input(from.longest_interval_input);
}

static void Read(const v1::SeasonFigure& from, SeasonFigure& to,
                 base::FaultList& faults) {
  to.kind = ReadEnum<SeasonFigureKind>(from.kind(), "SeasonFigure.kind", faults);
  to.name = from.name();
  Read(from.citation(), to.citation, faults);
}

static void Write(const SeasonFigure& from, v1::SeasonFigure* to) {
  to->set_kind(WriteEnum<v1::SeasonFigureKind>(from.kind));
  to->set_name(from.name);
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::BinSeason& from, BinSeason& to, base::FaultList& faults) {
  to.temperature_unit = from.temperature_unit();
  ReadAll(from.climates(), to.climates, faults);
  ReadAll(from.bin_conditions(), to.bin_conditions, faults);
  ReadAll(from.tests(), to.tests, faults);
  Read(from.load(), to.load, faults);
  ReadIf(from.has_staged(), from.staged(), to.staged, faults);
  ReadIf(from.has_declared(), from.declared(), to.declared, faults);
  if (from.performance_case() == v1::BinSeason::PERFORMANCE_NOT_SET) {
    faults.Add({.field = "BinSeason.performance", .message = "is missing"});
  }
  ReadIf(from.has_degradation(), from.degradation(), to.degradation, faults);
  ReadIf(from.has_highest_stage_degradation(), from.highest_stage_degradation(),
         to.highest_stage_degradation, faults);
  ReadIf(from.has_cut_out(), from.cut_out(), to.cut_out, faults);
  to.unmet_load = ReadEnum<UnmetLoad>(from.unmet_load(), "BinSeason.unmet_load", faults);
  ReadIf(from.has_backup(), from.backup(), to.backup, faults);
  ReadIf(from.has_demand_hours(), from.demand_hours(), to.demand_hours, faults);
  ReadAll(from.idle_modes(), to.idle_modes, faults);
  ReadIf(from.has_space_efficiency(), from.space_efficiency(), to.space_efficiency,
         faults);
  ReadIf(from.has_defrost_credit(), from.defrost_credit(), to.defrost_credit, faults);
  to.rated_figure =
      ReadEnum<SeasonFigureKind>(from.rated_figure(), "BinSeason.rated_figure", faults);
  ReadAll(from.figures(), to.figures, faults);
  ReadIf(from.has_represented_step(), from.represented_step(), to.represented_step,
         faults);
  Read(from.citation(), to.citation, faults);
}

void Write(const BinSeason& from, v1::BinSeason* to) {
  to->set_temperature_unit(from.temperature_unit);
  WriteAll(from.climates, to->mutable_climates());
  WriteAll(from.bin_conditions, to->mutable_bin_conditions());
  WriteAll(from.tests, to->mutable_tests());
  Write(from.load, to->mutable_load());
  if (from.staged.has_value()) {
    Write(*from.staged, to->mutable_staged());
  } else if (from.declared.has_value()) {
    Write(*from.declared, to->mutable_declared());
  }
  if (from.degradation.has_value()) Write(*from.degradation, to->mutable_degradation());
  if (from.highest_stage_degradation.has_value()) {
    Write(*from.highest_stage_degradation, to->mutable_highest_stage_degradation());
  }
  if (from.cut_out.has_value()) Write(*from.cut_out, to->mutable_cut_out());
  to->set_unmet_load(WriteEnum<v1::UnmetLoad>(from.unmet_load));
  if (from.backup.has_value()) Write(*from.backup, to->mutable_backup());
  if (from.demand_hours.has_value()) {
    Write(*from.demand_hours, to->mutable_demand_hours());
  }
  WriteAll(from.idle_modes, to->mutable_idle_modes());
  if (from.space_efficiency.has_value()) {
    Write(*from.space_efficiency, to->mutable_space_efficiency());
  }
  if (from.defrost_credit.has_value()) {
    Write(*from.defrost_credit, to->mutable_defrost_credit());
  }
  to->set_rated_figure(WriteEnum<v1::SeasonFigureKind>(from.rated_figure));
  WriteAll(from.figures, to->mutable_figures());
  if (from.represented_step.has_value()) {
    Write(*from.represented_step, to->mutable_represented_step());
  }
  Write(from.citation, to->mutable_citation());
}

}  // namespace ratebound::document
