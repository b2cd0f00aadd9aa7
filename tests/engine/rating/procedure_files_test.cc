// The procedure files that are built in: they parse, and the algorithm takes each of
// them.
#include <algorithm>
#include <set>
#include <string>
#include <variant>

#include "engine/document/text.h"
#include "engine/rating/rate.h"
#include "engine/rating/unconfirmed.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"
#include "tests/testing/matchers.h"

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
    EXPECT_TRUE(file.path.ends_with("/" + procedure.id + ".textproto")) << file.path;
    EXPECT_TRUE(ids.insert(procedure.id).second) << procedure.id;
  }
  for (const char* id :
       {"ieer-air-cooled", "ieer-water-cooled", "ieer-evaporatively-cooled",
        "iplv-ip-water-cooled", "iplv-ip-water-cooled-kw-per-ton", "iplv-ip-air-cooled",
        "iplv-ip-evaporatively-cooled", "iplv-si-water-cooled", "iplv-si-air-cooled",
        "iplv-si-evaporatively-cooled", "nplv-ip-water-cooled",
        "nplv-ip-water-cooled-kw-per-ton", "nplv-si-water-cooled"}) {
    EXPECT_TRUE(ids.contains(id)) << id;
  }
}

// A unit in the scope of the procedure whose COP is 5 whatever is asked, and whose stages
// give 25, 50, 75 and 100 %.
RatedUnit InScope(const Procedure& procedure) {
  RatedUnit rated;
  rated.unit = {.id = "u",
                .equipment_class = procedure.scope.equipment_classes.at(0),
                .phase_count = procedure.scope.phase_counts.empty()
                                   ? 3
                                   : procedure.scope.phase_counts[0],
                .nominal_capacity = {"total_capacity", 100, "kW", 100e3}};
  for (const document::RequiredInput& input : procedure.required_inputs) {
    const bool is_temperature = input.unit.starts_with("deg");
    const double value =
        is_temperature ? (input.unit == "degC" ? 30 : 85) : (input.unit.empty() ? 0 : 1);
    rated.unit.procedure_inputs.push_back({procedure.id, input.name, value, input.unit});
  }
  rated.mode = {.id = "m", .kind = procedure.mode_kind};
  auto depend_on = [&](const document::CitedCondition& condition) {
    std::vector<std::string>& conditions = rated.mode.conditions;
    if (std::find(conditions.begin(), conditions.end(), condition.quantity) ==
        conditions.end()) {
      conditions.push_back(condition.quantity);
    }
  };
  for (const document::CitedCondition& condition : procedure.common_conditions) {
    depend_on(condition);
  }
  for (const document::CitedCondition& condition : procedure.load_points[0].conditions) {
    depend_on(condition);
  }
  for (const char* stage : {"1", "2", "3", "4"})
    rated.mode.stages.push_back({.id = stage});
  rated.evaluate = [&procedure](
                       int stage,
                       std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    const double capacity_w = 25e3 * (stage + 1);
    return StageFigures{.quantities = {{procedure.capacity_quantity, capacity_w},
                                       {procedure.power_quantity, capacity_w / 5}},
                        .footing = document::Footing::kTested};
  };
  return rated;
}

TEST(ProcedureFiles, RateAUnitOfConstantEfficiencyAtThatEfficiency) {
  for (const EmbeddedFile& file : EmbeddedProcedures()) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         document::ParseProcedure(file.path, file.bytes));
    // Seasons ask for more than this unit gives; their own tests do the same.
    if (std::holds_alternative<document::BinSeason>(procedure.form)) continue;
    ASSERT_OK_AND_ASSIGN(const document::Rating rating,
                         RateUnit(procedure, InScope(procedure)));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    ASSERT_OK_AND_ASSIGN(const double cop, ToSi("coefficient_of_performance",
                                                *rating.value, procedure.metric_unit));
    EXPECT_NEAR(cop, 5, 1e-12) << procedure.id;
  }
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
