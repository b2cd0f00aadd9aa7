#include "engine/document/check_season.h"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"
#include "engine/document/check_procedure_parts.h"
#include "engine/document/check_season_parts.h"

namespace ratebound::document {
namespace {

using base::ShortestText;
using quantity::Dimension;

class SeasonCheck {
 public:
  SeasonCheck(const v1::BinSeason& season, const v1::Procedure& procedure,
              const RequiredInputs& inputs)
      : season_(season),
        metric_unit_(procedure.metric_unit()),
        numbers_(season, inputs),
        tests_(IdsOf(season.tests())),
        inputs_(inputs) {}

  void Check(const Node& node) const {
    using S = v1::BinSeason;
    node.Require({S::kTemperatureUnitFieldNumber, S::kClimatesFieldNumber,
                  S::kLoadFieldNumber, S::kUnmetLoadFieldNumber,
                  S::kRatedFigureFieldNumber, S::kFiguresFieldNumber});
    CheckCited(season_, node);
    const std::string& unit = season_.temperature_unit();
    if (!unit.empty() && unit != "degC" && unit != "degF") {
      node.Fault(S::kTemperatureUnitFieldNumber,
                 absl::StrCat("'", base::Printable(unit), "' is no unit of a season"),
                 "write degC or degF");
    }
    CheckClimates(node);
    CheckBinConditions(node);
    CheckTests(node);
    if (season_.has_load()) CheckLoad(node.Child(S::kLoadFieldNumber));
    CheckSeasonStages(season_, numbers_, tests_, node);
    CheckMisfits(node);
    CheckYear(node);
    CheckFigures(node);
  }

 private:
  void CheckClimates(const Node& node) const {
    using C = v1::Climate;
    Unique ids("climate");
    for (int i = 0; i < season_.climates_size(); ++i) {
      const v1::Climate& climate = season_.climates(i);
      const Node child = node.Child(v1::BinSeason::kClimatesFieldNumber, i);
      child.Require({C::kIdFieldNumber, C::kTitleFieldNumber});
      CheckFolderId(child, C::kIdFieldNumber, climate.id());
      ids.Check(child, C::kIdFieldNumber, climate.id());
      switch (climate.temperatures_case()) {
        case C::kBins:
          CheckBins(climate.bins(), child.Child(C::kBinsFieldNumber));
          break;
        case C::kHourly:
          CheckHourly(climate.hourly(), child.Child(C::kHourlyFieldNumber));
          break;
        case C::TEMPERATURES_NOT_SET:
          child.Fault(C::kBinsFieldNumber, "the climate has no temperatures",
                      "write bins or hourly");
          break;
      }
      Unique names("value");
      for (int j = 0; j < climate.values_size(); ++j) {
        using V = v1::ClimateValue;
        const Node value = child.Child(C::kValuesFieldNumber, j);
        value.Require({V::kNameFieldNumber, V::kValueFieldNumber});
        CheckId(value, V::kNameFieldNumber, climate.values(j).name());
        names.Check(value, V::kNameFieldNumber, climate.values(j).name());
        if (!climate.values(j).has_value()) continue;
        const Node number = value.Child(V::kValueFieldNumber);
        number.Require({v1::CitedValue::kValueFieldNumber});
        CheckAnyUnit(number, v1::CitedValue::kUnitFieldNumber,
                     climate.values(j).value().unit());
        CheckCited(climate.values(j).value(), number);
      }
    }
  }

  static void CheckBins(const v1::BinTable& table, const Node& node) {
    using T = v1::BinTable;
    using B = v1::Bin;
    node.Require({T::kStepFieldNumber, T::kSumFieldNumber, T::kBinsFieldNumber});
    CheckCited(table, node);
    if (node.Has(T::kStepFieldNumber)) {
      CheckAbove(node, T::kStepFieldNumber, table.step(), 0);
    }
    // Weights and temperatures have a few decimals; what is left is their rounding.
    constexpr double kRounding = 1e-9;
    double sum = 0;
    for (int i = 0; i < table.bins_size(); ++i) {
      const Node child = node.Child(T::kBinsFieldNumber, i);
      child.Require({B::kTemperatureFieldNumber, B::kWeightFieldNumber});
      const v1::Bin& bin = table.bins(i);
      if (bin.weight() < 0) child.Fault(B::kWeightFieldNumber, "is negative");
      sum += bin.weight();
      if (i == 0 || !(table.step() > 0)) continue;
      const double step = bin.temperature() - table.bins(i - 1).temperature();
      const bool falling = table.bins(1).temperature() < table.bins(0).temperature();
      const double wanted = falling ? -table.step() : table.step();
      if (std::isfinite(step) && std::fabs(step - wanted) > kRounding) {
        child.Fault(B::kTemperatureFieldNumber,
                    absl::StrCat("is ", ShortestText(step),
                                 " from the bin before and not the step of ",
                                 ShortestText(wanted)),
                    "look at the temperatures, then at step");
      }
    }
    if (std::isfinite(sum) && node.Has(T::kSumFieldNumber) && table.bins_size() > 0 &&
        std::fabs(sum - table.sum()) > kRounding * std::fmax(1, std::fabs(sum))) {
      node.Fault(T::kSumFieldNumber,
                 absl::StrCat("the weights add up to ", ShortestText(sum), " and not to ",
                              ShortestText(table.sum())),
                 "look at each weight, then at the sum");
    }
    if (std::isfinite(sum) && table.bins_size() > 0 && !(sum > 0)) {
      node.Fault(T::kBinsFieldNumber, "all weights are zero");
    }
  }

  static void CheckHourly(const v1::HourlyTemperatures& hourly, const Node& node) {
    using H = v1::HourlyTemperatures;
    node.Require({H::kPathFieldNumber, H::kKindFieldNumber});
    CheckCited(hourly, node);
    // Narrower bins than instruments tell apart would only be many.
    constexpr double kNarrowest = 0.1;
    if (hourly.step() != 0 && hourly.step() < kNarrowest) {
      node.Fault(H::kStepFieldNumber, absl::StrCat("is below ", ShortestText(kNarrowest)),
                 "leave it out to use each hour by itself");
    }
    if (hourly.kind() == v1::HOURLY_FILE_KIND_CSV) {
      node.Require({H::kColumnFieldNumber, H::kUnitFieldNumber});
      CheckUnit(node, H::kUnitFieldNumber, hourly.unit(), Dimension::kTemperature);
    } else {
      for (int field : {H::kColumnFieldNumber, H::kUnitFieldNumber}) {
        if (node.Has(field)) node.Fault(field, "an EPW file has its own", "leave it out");
      }
    }
  }

  void CheckBinConditions(const Node& node) const {
    using C = v1::BinCondition;
    Unique names("condition");
    for (int i = 0; i < season_.bin_conditions_size(); ++i) {
      const v1::BinCondition& condition = season_.bin_conditions(i);
      const Node child = node.Child(v1::BinSeason::kBinConditionsFieldNumber, i);
      child.Require({C::kQuantityFieldNumber});
      CheckCited(condition, child);
      names.Check(child, C::kQuantityFieldNumber, condition.quantity());
      const auto* quantity = CheckQuantity(child, C::kQuantityFieldNumber,
                                           condition.quantity(), Use::kCondition);
      for (int j = 0; j < condition.at_size(); ++j) {
        const Node at = child.Child(C::kAtFieldNumber, j);
        at.Require({v1::ConditionAt::kTemperatureFieldNumber,
                    v1::ConditionAt::kValueFieldNumber});
        if (j > 0 &&
            !(condition.at(j - 1).temperature() < condition.at(j).temperature())) {
          at.Fault(v1::ConditionAt::kTemperatureFieldNumber,
                   "is not above the one before");
        }
      }
      if (quantity == nullptr) continue;
      if (condition.at_size() == 0) {
        if (quantity->dimension != Dimension::kTemperature) {
          child.Fault(C::kQuantityFieldNumber,
                      absl::StrCat("'", condition.quantity(), "' is no temperature"),
                      "write its values as at { ... }");
        }
        continue;
      }
      child.Require({C::kUnitFieldNumber});
      const auto unit =
          CheckUnit(child, C::kUnitFieldNumber, condition.unit(), quantity->dimension);
      if (!unit.has_value()) continue;
      for (int j = 0; j < condition.at_size(); ++j) {
        CheckPlausible(child.Child(C::kAtFieldNumber, j),
                       v1::ConditionAt::kValueFieldNumber, condition.at(j).value(), *unit,
                       *quantity);
      }
    }
  }

  void CheckTests(const Node& node) const {
    using T = v1::SeasonTest;
    Unique ids("test");
    for (int i = 0; i < season_.tests_size(); ++i) {
      const v1::SeasonTest& test = season_.tests(i);
      const Node child = node.Child(v1::BinSeason::kTestsFieldNumber, i);
      child.Require(
          {T::kIdFieldNumber, T::kStageFieldNumber, T::kTemperatureFieldNumber});
      CheckId(child, T::kIdFieldNumber, test.id());
      ids.Check(child, T::kIdFieldNumber, test.id());
      if (test.has_temperature()) {
        numbers_.Check(test.temperature(), NumberKind::kTemperature,
                       child.Child(T::kTemperatureFieldNumber));
      }
      if (test.has_least_temperature()) {
        numbers_.Check(test.least_temperature(), NumberKind::kTemperature,
                       child.Child(T::kLeastTemperatureFieldNumber));
      }
      Unique conditions("condition");
      for (int j = 0; j < test.conditions_size(); ++j) {
        using C = v1::CitedCondition;
        const Node condition = child.Child(T::kConditionsFieldNumber, j);
        CheckCondition(test.conditions(j), inputs_, condition);
        conditions.Check(condition, C::kQuantityFieldNumber,
                         test.conditions(j).quantity());
        if (test.conditions(j).has_load_line()) {
          condition.Fault(C::kLoadLineFieldNumber, "a test has no line over load",
                          "write value or input");
        }
      }
      if (!test.run_input().empty()) {
        numbers_.CheckInput(child, T::kRunInputFieldNumber, test.run_input(),
                            NumberKind::kPlain);
        if (!test.may_be_missing()) {
          child.Fault(T::kRunInputFieldNumber, "is for tests that may be missing",
                      "write may_be_missing: true");
        }
      }
      if (test.has_fallback()) CheckFallback(i, child.Child(T::kFallbackFieldNumber));
    }
  }

  // A default may rest on tests that stand before, so that no two rest on each other.
  void CheckFallback(int index, const Node& node) const {
    using D = v1::TestDefault;
    const v1::TestDefault& fallback = season_.tests(index).fallback();
    node.Require({D::kUseFieldNumber, D::kTestsFieldNumber, D::kCapacityFactorFieldNumber,
                  D::kPowerFactorFieldNumber});
    for (auto [value, field] :
         {std::pair(&fallback.capacity_factor(), D::kCapacityFactorFieldNumber),
          std::pair(&fallback.power_factor(), D::kPowerFactorFieldNumber)}) {
      if (!node.Has(field)) continue;
      CheckPlainNumber(*value, node.Child(field));
      CheckAbove(node.Child(field), v1::CitedValue::kValueFieldNumber, value->value(), 0);
    }
    std::vector<std::string> before;
    for (int i = 0; i < index; ++i) before.push_back(season_.tests(i).id());
    CheckTestList(node, D::kTestsFieldNumber, fallback.tests(), Names(std::move(before)),
                  "test before this one");
    if (fallback.use() == v1::DEFAULT_USE_UNLESS_INPUT) {
      node.Require({D::kTestedInputFieldNumber});
      numbers_.CheckInput(node, D::kTestedInputFieldNumber, fallback.tested_input(),
                          NumberKind::kPlain);
    } else if (!fallback.tested_input().empty()) {
      node.Fault(D::kTestedInputFieldNumber, "is used with DEFAULT_USE_UNLESS_INPUT only",
                 "leave it out");
    }
  }

  void CheckLoad(const Node& node) const {
    using L = v1::SeasonLoad;
    const v1::SeasonLoad& load = season_.load();
    node.Require({L::kFirstTemperatureFieldNumber, L::kFirstPartFieldNumber,
                  L::kSecondTemperatureFieldNumber, L::kSecondPartFieldNumber});
    CheckCited(load, node);
    numbers_.CheckIf(load.has_first_temperature(), load.first_temperature(),
                     NumberKind::kTemperature, L::kFirstTemperatureFieldNumber, node);
    numbers_.CheckIf(load.has_second_temperature(), load.second_temperature(),
                     NumberKind::kTemperature, L::kSecondTemperatureFieldNumber, node);
    for (auto [has, value, field] :
         {std::tuple(load.has_first_part(), &load.first_part(), L::kFirstPartFieldNumber),
          std::tuple(load.has_second_part(), &load.second_part(),
                     L::kSecondPartFieldNumber),
          std::tuple(load.has_least_part(), &load.least_part(), L::kLeastPartFieldNumber),
          std::tuple(load.has_greatest_part(), &load.greatest_part(),
                     L::kGreatestPartFieldNumber)}) {
      if (!has) continue;
      const Node child = node.Child(field);
      CheckPlainNumber(*value, child);
      if (value->value() < 0) {
        child.Fault(v1::CitedValue::kValueFieldNumber, "is negative");
      }
    }
    if (load.has_greatest_part() &&
        load.greatest_part().value() < load.least_part().value()) {
      node.Child(L::kGreatestPartFieldNumber)
          .Fault(v1::CitedValue::kValueFieldNumber, "is below least_part");
    }
    switch (load.size_case()) {
      case L::kCapacityOf:
        CheckReference(node, L::kCapacityOfFieldNumber, "test", load.capacity_of(),
                       tests_);
        node.Require({L::kCapacityOfFieldNumber});
        break;
      case L::kBalanceAt:
        CheckReference(node, L::kBalanceAtFieldNumber, "test", load.balance_at(), tests_);
        node.Require({L::kBalanceAtFieldNumber});
        break;
      case L::kDesignLoad:
        numbers_.Check(load.design_load(), NumberKind::kPower,
                       node.Child(L::kDesignLoadFieldNumber));
        break;
      case L::SIZE_NOT_SET:
        node.Fault(L::kDesignLoadFieldNumber, "the load has no size",
                   "write capacity_of, balance_at or design_load");
        break;
    }
    for (int i = 0; i < load.factors_size(); ++i) {
      numbers_.Check(load.factors(i), NumberKind::kPlain,
                     node.Child(L::kFactorsFieldNumber, i));
    }
    for (int i = 0; i < load.divisors_size(); ++i) {
      const Node child = node.Child(L::kDivisorsFieldNumber, i);
      numbers_.Check(load.divisors(i), NumberKind::kPlain, child);
      if (load.divisors(i).has_value() && load.divisors(i).value().value() == 0) {
        child.Child(v1::SeasonNumber::kValueFieldNumber)
            .Fault(v1::CitedValue::kValueFieldNumber, "is zero");
      }
    }
  }

  // Degradation, cut-out and what the unit cannot meet.
  void CheckMisfits(const Node& node) const {
    using S = v1::BinSeason;
    if (season_.has_degradation()) {
      CheckDegradation(season_.degradation(), node.Child(S::kDegradationFieldNumber));
    }
    if (season_.has_highest_stage_degradation()) {
      CheckDegradation(season_.highest_stage_degradation(),
                       node.Child(S::kHighestStageDegradationFieldNumber));
    }
    if (season_.has_cut_out()) CheckCutOut(node.Child(S::kCutOutFieldNumber));
    if (season_.unmet_load() == v1::UNMET_LOAD_BACKUP ||
        season_.cut_out().off_below_backup()) {
      node.Require({S::kBackupFieldNumber});
    }
    if (!season_.has_backup()) return;
    using B = v1::Backup;
    const Node backup = node.Child(S::kBackupFieldNumber);
    backup.Require({B::kEfficiencyFieldNumber});
    if (!season_.backup().has_efficiency()) return;
    const Node efficiency = backup.Child(B::kEfficiencyFieldNumber);
    const v1::CitedValue& value = season_.backup().efficiency();
    efficiency.Require({v1::CitedValue::kValueFieldNumber});
    CheckCited(value, efficiency);
    CheckAbove(efficiency, v1::CitedValue::kValueFieldNumber, value.value(), 0);
    // A figure in primary energy is in percent; its backup still gives watts for watts.
    const std::string wanted = metric_unit_ == "%" ? "W/W" : metric_unit_;
    if (value.unit() != wanted) {
      efficiency.Fault(v1::CitedValue::kUnitFieldNumber,
                       absl::StrCat("'", base::Printable(value.unit()),
                                    "' is not the unit that the efficiency is in"),
                       absl::StrCat("write ", base::Printable(wanted)));
    }
  }

  void CheckDegradation(const v1::Degradation& degradation, const Node& node) const {
    using D = v1::Degradation;
    node.Require({D::kFormFieldNumber, D::kDefaultCoefficientFieldNumber});
    CheckCited(degradation, node);
    if (degradation.has_default_coefficient()) {
      const Node value = node.Child(D::kDefaultCoefficientFieldNumber);
      CheckPlainNumber(degradation.default_coefficient(), value);
      CheckBetween(value, v1::CitedValue::kValueFieldNumber,
                   degradation.default_coefficient().value(), 0, 1);
    }
    numbers_.CheckInput(node, D::kTestedInputFieldNumber, degradation.tested_input(),
                        NumberKind::kPlain);
    if (degradation.has_cyclic_test()) {
      using C = v1::CyclicTest;
      const Node test = node.Child(D::kCyclicTestFieldNumber);
      test.Require({C::kCyclicEfficiencyInputFieldNumber,
                    C::kSteadyEfficiencyInputFieldNumber,
                    C::kLoadFactorInputFieldNumber});
      const v1::CyclicTest& cyclic = degradation.cyclic_test();
      numbers_.CheckInput(test, C::kCyclicEfficiencyInputFieldNumber,
                          cyclic.cyclic_efficiency_input(), NumberKind::kAny);
      numbers_.CheckInput(test, C::kSteadyEfficiencyInputFieldNumber,
                          cyclic.steady_efficiency_input(), NumberKind::kAny);
      numbers_.CheckInput(test, C::kLoadFactorInputFieldNumber,
                          cyclic.load_factor_input(), NumberKind::kPlain);
    }
    if (degradation.has_rounding_step()) {
      const Node step = node.Child(D::kRoundingStepFieldNumber);
      CheckPlainNumber(degradation.rounding_step(), step);
      CheckAbove(step, v1::CitedValue::kValueFieldNumber,
                 degradation.rounding_step().value(), 0);
    }
  }

  void CheckCutOut(const Node& node) const {
    using C = v1::CutOut;
    const v1::CutOut& cut_out = season_.cut_out();
    node.Require({C::kOffTemperatureFieldNumber});
    CheckCited(cut_out, node);
    numbers_.CheckIf(cut_out.has_off_temperature(), cut_out.off_temperature(),
                     NumberKind::kTemperature, C::kOffTemperatureFieldNumber, node);
    if (cut_out.has_on_temperature()) {
      numbers_.Check(cut_out.on_temperature(), NumberKind::kTemperature,
                     node.Child(C::kOnTemperatureFieldNumber));
      node.Require({C::kBetweenPartFieldNumber});
    }
    if (!cut_out.has_between_part()) return;
    const Node part = node.Child(C::kBetweenPartFieldNumber);
    CheckPlainNumber(cut_out.between_part(), part);
    CheckBetween(part, v1::CitedValue::kValueFieldNumber, cut_out.between_part().value(),
                 0, 1);
  }

  void CheckYear(const Node& node) const {
    using S = v1::BinSeason;
    using I = v1::IdleMode;
    numbers_.CheckIf(season_.has_demand_hours(), season_.demand_hours(),
                     NumberKind::kHours, S::kDemandHoursFieldNumber, node);
    Unique names("mode");
    for (int i = 0; i < season_.idle_modes_size(); ++i) {
      const v1::IdleMode& mode = season_.idle_modes(i);
      const Node child = node.Child(S::kIdleModesFieldNumber, i);
      child.Require({I::kNameFieldNumber, I::kHoursFieldNumber, I::kPowerFieldNumber});
      CheckId(child, I::kNameFieldNumber, mode.name());
      names.Check(child, I::kNameFieldNumber, mode.name());
      CheckCited(mode, child);
      numbers_.CheckIf(mode.has_hours(), mode.hours(), NumberKind::kHours,
                       I::kHoursFieldNumber, child);
      numbers_.CheckIf(mode.has_power(), mode.power(), NumberKind::kPower,
                       I::kPowerFieldNumber, child);
    }
    if (season_.has_defrost_credit()) {
      CheckDefrostCredit(node.Child(S::kDefrostCreditFieldNumber));
    }
    if (season_.has_space_efficiency()) {
      CheckSpaceEfficiency(node.Child(S::kSpaceEfficiencyFieldNumber));
    }
  }

  void CheckDefrostCredit(const Node& node) const {
    using D = v1::DefrostCredit;
    const v1::DefrostCredit& credit = season_.defrost_credit();
    node.Require({D::kGreatestGainFieldNumber, D::kShortestIntervalFieldNumber,
                  D::kLongestIntervalFieldNumber, D::kIntervalInputFieldNumber,
                  D::kLongestIntervalInputFieldNumber});
    if (credit.has_greatest_gain()) {
      const Node gain = node.Child(D::kGreatestGainFieldNumber);
      CheckPlainNumber(credit.greatest_gain(), gain);
      CheckBetween(gain, v1::CitedValue::kValueFieldNumber,
                   credit.greatest_gain().value(), 0, 1);
    }
    for (auto [has, value, field] :
         {std::tuple(credit.has_shortest_interval(), &credit.shortest_interval(),
                     D::kShortestIntervalFieldNumber),
          std::tuple(credit.has_longest_interval(), &credit.longest_interval(),
                     D::kLongestIntervalFieldNumber)}) {
      if (!has) continue;
      const Node child = node.Child(field);
      child.Require(
          {v1::CitedValue::kValueFieldNumber, v1::CitedValue::kUnitFieldNumber});
      CheckUnit(child, v1::CitedValue::kUnitFieldNumber, value->unit(), Dimension::kTime);
      CheckAbove(child, v1::CitedValue::kValueFieldNumber, value->value(), 0);
      CheckCited(*value, child);
    }
    numbers_.CheckInput(node, D::kIntervalInputFieldNumber, credit.interval_input(),
                        NumberKind::kHours);
    numbers_.CheckInput(node, D::kLongestIntervalInputFieldNumber,
                        credit.longest_interval_input(), NumberKind::kHours);
  }

  void CheckSpaceEfficiency(const Node& node) const {
    using E = v1::SpaceEfficiency;
    using C = v1::EfficiencyCorrection;
    const v1::SpaceEfficiency& space = season_.space_efficiency();
    node.Require({E::kConversionCoefficientFieldNumber});
    if (space.has_conversion_coefficient()) {
      const Node value = node.Child(E::kConversionCoefficientFieldNumber);
      CheckPlainNumber(space.conversion_coefficient(), value);
      CheckAbove(value, v1::CitedValue::kValueFieldNumber,
                 space.conversion_coefficient().value(), 0);
    }
    const bool from = CheckDay(node, E::kHoldsFromFieldNumber, space.holds_from());
    const bool until = CheckDay(node, E::kHoldsUntilFieldNumber, space.holds_until());
    // Days written as year-month-day stand in their order as texts.
    if (from && until && !space.holds_from().empty() && !space.holds_until().empty() &&
        space.holds_until() < space.holds_from()) {
      node.Fault(E::kHoldsUntilFieldNumber, "is before holds_from");
    }
    Unique names("correction");
    for (int i = 0; i < space.corrections_size(); ++i) {
      const Node child = node.Child(E::kCorrectionsFieldNumber, i);
      child.Require({C::kNameFieldNumber, C::kPartFieldNumber});
      names.Check(child, C::kNameFieldNumber, space.corrections(i).name());
      numbers_.CheckIf(space.corrections(i).has_part(), space.corrections(i).part(),
                       NumberKind::kFraction, C::kPartFieldNumber, child);
    }
  }

  void CheckFigures(const Node& node) const {
    using S = v1::BinSeason;
    using F = v1::SeasonFigure;
    bool rated = false;
    Unique kinds("figure");
    Unique names("name");
    for (int i = 0; i < season_.figures_size(); ++i) {
      const v1::SeasonFigure& figure = season_.figures(i);
      const Node child = node.Child(S::kFiguresFieldNumber, i);
      child.Require({F::kKindFieldNumber, F::kNameFieldNumber});
      CheckCited(figure, child);
      kinds.Check(child, F::kKindFieldNumber, v1::SeasonFigureKind_Name(figure.kind()));
      names.Check(child, F::kNameFieldNumber, figure.name());
      rated = rated || figure.kind() == season_.rated_figure();
      if (figure.kind() == v1::SEASON_FIGURE_KIND_SPACE) {
        node.Require({S::kSpaceEfficiencyFieldNumber});
      }
    }
    if (!rated && season_.figures_size() > 0 &&
        season_.rated_figure() != v1::SEASON_FIGURE_KIND_UNSPECIFIED) {
      node.Fault(S::kRatedFigureFieldNumber, "is none of the figures",
                 "add it to figures");
    }
    const bool space = season_.rated_figure() == v1::SEASON_FIGURE_KIND_SPACE;
    if (space != (metric_unit_ == "%") && !metric_unit_.empty()) {
      node.Fault(S::kRatedFigureFieldNumber,
                 absl::StrCat("does not fit the metric's unit '",
                              base::Printable(metric_unit_), "'"),
                 "a figure in primary energy is in %, the others are not");
    }
    if (!season_.has_represented_step()) return;
    const Node step = node.Child(S::kRepresentedStepFieldNumber);
    step.Require({v1::CitedValue::kValueFieldNumber});
    CheckCited(season_.represented_step(), step);
    CheckAbove(step, v1::CitedValue::kValueFieldNumber,
               season_.represented_step().value(), 0);
    if (!season_.represented_step().unit().empty() &&
        season_.represented_step().unit() != metric_unit_) {
      step.Fault(v1::CitedValue::kUnitFieldNumber, "is not the metric's unit",
                 absl::StrCat("write ", base::Printable(metric_unit_)));
    }
  }

  const v1::BinSeason& season_;
  const std::string& metric_unit_;
  SeasonNumbers numbers_;
  Names tests_;
  const RequiredInputs& inputs_;
};

}  // namespace

void CheckSeason(const v1::BinSeason& season, const v1::Procedure& procedure,
                 const RequiredInputs& inputs, const Node& node) {
  SeasonCheck(season, procedure, inputs).Check(node);
}

}  // namespace ratebound::document
