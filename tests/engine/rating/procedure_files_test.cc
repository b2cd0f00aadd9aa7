// The procedure files that are built in: they parse, and the algorithm takes each of
// them.
#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "engine/rating/rate.h"
#include "engine/rating/unconfirmed.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::Procedure;
using ratings::EmbeddedFile;
using ratings::EmbeddedProcedures;

TEST(ProcedureFiles, AreBuiltInUnderTheirIds) {
  std::set<std::string> ids;
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    EXPECT_TRUE(file.path.ends_with(absl::StrCat("/", procedure.id, ".textproto")))
        << file.path;
    EXPECT_TRUE(ids.insert(procedure.id).second) << procedure.id;
  }
  std::vector<std::string> wanted;
  for (const char* cooled : {"air", "water", "evaporatively"}) {
    for (const char* metric :
         {"eer", "ieer", "iplv-ip", "iplv-si", "nplv-ip", "nplv-si"}) {
      wanted.push_back(absl::StrCat(metric, "-", cooled, "-cooled"));
    }
  }
  for (const char* metric : {"ismre", "ismre2", "iscop", "iscop2"}) {
    for (const char* source : {"air-cooled", "water-source"}) {
      for (const char* recovery : {"", "-energy-recovery"}) {
        wanted.push_back(absl::StrCat(metric, "-", source, recovery));
      }
    }
  }
  for (const char* metric : {"eer", "cop"}) {
    for (const char* loop : {"water-loop", "ground-water", "ground-loop"}) {
      for (const char* form : {"", "-ip"}) {
        wanted.push_back(absl::StrCat("iso-13256-1-", metric, "-", loop, form));
      }
    }
  }
  for (const char* id :
       {"iplv-ip-water-cooled-kw-per-ton", "nplv-ip-water-cooled-kw-per-ton",
        "cop-47-air-cooled", "cop-17-air-cooled", "eer-variable-refrigerant-air-cooled",
        "eer-variable-refrigerant-water-source", "ieer-variable-refrigerant-air-cooled",
        "ieer-variable-refrigerant-water-source",
        "cop-47-variable-refrigerant-air-cooled",
        "cop-17-variable-refrigerant-air-cooled", "cop-variable-refrigerant-water-source",
        "ieer-water-to-air", "acop-water-to-air", "compressor-eer", "compressor-cop"}) {
    wanted.emplace_back(id);
  }
  for (const std::string& id : wanted) EXPECT_TRUE(ids.contains(id)) << id;
}

// Seasons ask for more than a unit of one efficiency, and have tests of their own.
bool IsSeason(const Procedure& procedure) {
  return std::holds_alternative<document::BinSeason>(procedure.form);
}

TEST(ProcedureFiles, EditionsOfOneFamilyRateTheSameThing) {
  std::map<std::string, std::vector<Procedure>> families;
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    families[procedure.Family()].push_back(std::move(procedure));
  }
  EXPECT_EQ(families["ismre-air-cooled"].size(), 2);
  for (const auto& [family, procedures] : families) {
    for (const Procedure& procedure : procedures) {
      EXPECT_EQ(procedure.metric_unit, procedures[0].metric_unit) << family;
      EXPECT_EQ(procedure.mode_kind, procedures[0].mode_kind) << family;
      if (IsSeason(procedure)) continue;
      EXPECT_EQ(procedure.scope.equipment_classes, procedures[0].scope.equipment_classes)
          << family;
    }
  }
}

// Levels are for procedures that there are, but for these, which nobody has written.
TEST(MinimumFiles, AreOfProceduresThatAreBuiltIn) {
  const std::set<std::string> unwritten = {
      "room-air-double-duct-eer", "room-air-double-duct-cop", "room-air-single-duct-eer",
      "room-air-single-duct-cop"};
  std::set<std::string> known;
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    known.insert(procedure.id);
    known.insert(procedure.Family());
  }
  std::set<std::string> ids;
  for (const EmbeddedFile& file : ratings::EmbeddedMinimums()) {
    ASSERT_OK_AND_ASSIGN(const document::MinimumLevels levels,
                         document::ParseMinimumLevels(file.path, file.bytes));
    EXPECT_TRUE(file.path.ends_with(absl::StrCat("/", levels.id, ".textproto")))
        << file.path;
    EXPECT_TRUE(ids.insert(levels.id).second) << levels.id;
    for (const document::MinimumLevel& level : levels.levels) {
      for (const std::string& family : level.procedure_families) {
        EXPECT_TRUE(known.contains(family) || unwritten.contains(family))
            << levels.id << ": " << family;
      }
      EXPECT_EQ(level.value.has_value(), level.not_known.empty()) << levels.id;
    }
  }
  for (const char* id :
       {"us-431-97-unitary", "us-431-97-outdoor-air", "us-431-97-water-source",
        "us-430-32", "eu-2016-2281", "eu-206-2012", "eu-813-2013"}) {
    EXPECT_TRUE(ids.contains(id)) << id;
  }
}

constexpr double kEfficiency = 5;

bool RatesMoisture(const Procedure& procedure) {
  return procedure.capacity_quantity == "moisture_removal";
}

// An input in a form that takes nothing away and adds nothing.
double NeutralInput(const document::RequiredInput& input) {
  const std::string& name = input.name;
  if (name == "supply_dry_bulb_low") return 70;
  if (input.unit == "degC") return 30;
  if (input.unit.starts_with("deg")) return 85;
  if (name == "barometric_pressure") return 29.92;
  if (name.ends_with("_per_capacity")) return 0;
  if (name.find("pressure") != std::string::npos) return 0;
  return 1;
}

document::Measure NominalInside(const document::Scope& scope) {
  const auto& low = scope.capacity_low;
  const auto& high = scope.capacity_high;
  double value = 100;
  if (high) value = low ? (low->value + high->value) / 2 : high->value / 2;
  if (low && !high) value = 2 * low->value;
  const std::string unit = high ? high->unit : low ? low->unit : "kW";
  const std::string quantity = unit == "lb/h" ? "moisture_removal" : "total_capacity";
  return {quantity, value, unit, ToSi(quantity, value, unit).value()};
}

// A unit in the scope of the procedure whose efficiency is 5 in the unit of the metric,
// or 5 W/W, whatever is asked, and whose stages give 25, 50, 75 and 100 %.
RatedUnit InScope(const Procedure& procedure) {
  const document::Scope& scope = procedure.scope;
  RatedUnit rated;
  rated.unit = {.id = "u",
                .equipment_class = scope.equipment_classes.at(0),
                .phase_count = scope.phase_counts.empty() ? 3 : scope.phase_counts[0],
                .nominal_capacity = NominalInside(scope)};
  for (const document::RequiredInput& input : procedure.required_inputs) {
    rated.unit.procedure_inputs.push_back(
        {procedure.id, input.name, NeutralInput(input), input.unit});
  }
  rated.mode = {.id = "m", .kind = procedure.mode_kind};
  const auto depend_on = [&](const std::vector<document::CitedCondition>& conditions) {
    for (const document::CitedCondition& condition : conditions) {
      std::vector<std::string>& mapped = rated.mode.conditions;
      if (std::find(mapped.begin(), mapped.end(), condition.quantity) == mapped.end()) {
        mapped.push_back(condition.quantity);
      }
    }
  };
  depend_on(procedure.common_conditions);
  if (!procedure.load_points.empty()) depend_on(procedure.load_points[0].conditions);
  if (const auto* form = std::get_if<document::WeightedConditions>(&procedure.form)) {
    depend_on(form->points[0].conditions);
  }
  for (const char* stage : {"1", "2", "3", "4"})
    rated.mode.stages.push_back({.id = stage});
  rated.evaluate = [&procedure](
                       int stage,
                       std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    double capacity_si = 25e3 * (stage + 1);
    double power_w = capacity_si / kEfficiency;
    if (RatesMoisture(procedure)) {
      const double pounds_per_hour = 10 * (stage + 1);
      capacity_si = ToSi("moisture_removal", pounds_per_hour, "lb/h").value();
      power_w = 1000 * pounds_per_hour / kEfficiency;
    }
    return StageFigures{
        .quantities = {{procedure.capacity_quantity, capacity_si},
                       {procedure.power_quantity, power_w},
                       {"leaving_air_db", ToSi("leaving_air_db", 72, "degF").value()}},
        .footing = document::Footing::kTested};
  };
  return rated;
}

// A limiting case that any implementation must satisfy.
TEST(ProcedureFiles, RateAUnitOfConstantEfficiencyAtThatEfficiency) {
  ratebound::testing::OutsideCheck check(
      {.name = "rating.constant_efficiency",
       .source = "definition of an efficiency: a machine that has one and the same "
                 "everywhere, without auxiliaries or supplementary heat and on every "
                 "load point, is rated at it",
       .tolerance = 1e-12});
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    if (IsSeason(procedure)) continue;
    ASSERT_OK_AND_ASSIGN(const document::Rating rating,
                         RateUnit(procedure, InScope(procedure)));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    double efficiency = *rating.value;
    if (!RatesMoisture(procedure)) {
      ASSERT_OK_AND_ASSIGN(efficiency, ToSi("coefficient_of_performance", *rating.value,
                                            procedure.metric_unit));
    }
    // A clause whose own constant stands for the Btu is off by what that differs.
    if (procedure.capacity_unit == "Btu/h" && procedure.metric_unit == "W/W") {
      const double btu_per_hour_w = ToSi("total_capacity", 1, "Btu/h").value();
      efficiency *= btu_per_hour_w / procedure.unit_constant.value;
    }
    check.Relative(procedure.id, efficiency, kEfficiency);
  }
}

TEST(ProcedureFiles, RefuseUnitsOutsideTheirScopeWithAReason) {
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    if (IsSeason(procedure)) continue;
    const document::Scope& scope = procedure.scope;
    const auto refuses = [&](const RatedUnit& rated, const RateOptions& options = {}) {
      const auto rating = RateUnit(procedure, rated, options);
      return rating.ok() && !rating->value.has_value() && !rating->refusal.empty();
    };
    RatedUnit rated = InScope(procedure);
    rated.unit.equipment_class = "paperweight";
    EXPECT_TRUE(refuses(rated)) << procedure.id;
    for (const int phases : {1, 3}) {
      const std::vector<int>& in_scope = scope.phase_counts;
      if (in_scope.empty() ||
          std::find(in_scope.begin(), in_scope.end(), phases) != in_scope.end()) {
        continue;
      }
      rated = InScope(procedure);
      rated.unit.phase_count = phases;
      EXPECT_TRUE(refuses(rated)) << procedure.id;
    }
    for (const auto& [limit, step] :
         {std::pair(scope.capacity_low, -1e-6), std::pair(scope.capacity_high, 0.0)}) {
      if (!limit) continue;
      rated = InScope(procedure);
      document::Measure& nominal = rated.unit.nominal_capacity;
      const double value = limit->value * (1 + step);
      nominal = {nominal.quantity, value, limit->unit,
                 ToSi(nominal.quantity, value, limit->unit).value()};
      EXPECT_TRUE(refuses(rated)) << procedure.id << " at " << value << limit->unit;
    }
    if (!scope.valid_from.empty()) {
      EXPECT_TRUE(refuses(InScope(procedure), {.day = "1999-12-31"})) << procedure.id;
      EXPECT_FALSE(refuses(InScope(procedure), {.day = scope.valid_from}))
          << procedure.id;
    }
    rated = InScope(procedure);
    rated.mode.kind = procedure.mode_kind == document::ModeKind::kCooling
                          ? document::ModeKind::kHeating
                          : document::ModeKind::kCooling;
    EXPECT_TRUE(refuses(rated)) << procedure.id;
  }
}

// Every file is held to its weights: one that is changed or left out is found, and told
// where.
TEST(ProcedureFiles, AWeightThatIsChangedOrMissingIsRefusedInEveryFile) {
  int files = 0;
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    const std::string text(file.bytes);
    const size_t at = text.find("weight {\n");
    if (at == std::string::npos) continue;
    ++files;
    const size_t digits = text.find("value: ", at) + 7;
    const std::string changed =
        absl::StrCat(text.substr(0, digits), "9", text.substr(digits));
    const auto by_sum = document::ParseProcedure(file.path, changed).status();
    EXPECT_NE(std::string(by_sum.message()).find("weight_sum: the weights add up to"),
              std::string::npos)
        << file.path << ": " << by_sum;
    // The whole of "weight { ... }", with as many braces closed as opened.
    size_t end = text.find('{', at) + 1;
    for (int depth = 1; depth > 0; ++end) {
      depth += text[end] == '{' ? 1 : text[end] == '}' ? -1 : 0;
    }
    const auto missing =
        document::ParseProcedure(file.path,
                                 absl::StrCat(text.substr(0, at), text.substr(end)))
            .status();
    EXPECT_NE(std::string(missing.message()).find("[0].weight"), std::string::npos)
        << file.path << ": " << missing;
    EXPECT_TRUE(std::string(missing.message()).starts_with(file.path)) << missing;
  }
  EXPECT_GE(files, 35);
}

TEST(ProcedureFiles, ConditionsOfThePointsLieOnTheirLinesOverLoad) {
  // The lines are rounded where they meet the constant, so 0.5 degrees are let pass.
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    if (!procedure.part_load) continue;
    for (const document::CitedCondition& condition : procedure.part_load->load_lines) {
      const document::LoadLine& line = *condition.load_line;
      for (const document::LoadPoint& point : procedure.load_points) {
        for (const document::CitedCondition& fixed : point.conditions) {
          if (fixed.quantity != condition.quantity || !fixed.value) continue;
          const double percent = point.percent_load.value;
          const double on_line = percent > line.percent_low
                                     ? line.slope_per_percent * percent + line.intercept
                                     : line.constant;
          EXPECT_NEAR(fixed.value->value, on_line, 0.5)
              << procedure.id << " " << point.id;
        }
      }
    }
  }
}

TEST(ProcedureFiles, SayWhichNumbersToConfirmAndThatFiguresAreNotCertified) {
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    const bool says_so = std::any_of(
        procedure.notes.begin(), procedure.notes.end(), [](const std::string& note) {
          return note.find("not a certified rating") != std::string::npos;
        });
    EXPECT_TRUE(says_so) << procedure.id;
    for (const std::string& line : UnconfirmedNumbers(procedure)) {
      EXPECT_EQ(line.find("no basis given"), std::string::npos) << procedure.id << line;
    }
  }
}

}  // namespace
}  // namespace ratebound::rating
