// What the parsers read out of documents without a fault.
#include <string>

#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::testing::DoubleEq;
using ::testing::ElementsAre;
using ::testing::Optional;

// International Table Btu, 1055.05585262 J; NIST SP 811 (2008), appendix B.
constexpr double kBtuPerHourW = 1055.05585262 / 3600;

TEST(TextValue, ManifestIsRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kManifest));
  EXPECT_EQ(line.id, "canal");
  EXPECT_THAT(line.cautions, ElementsAre("not rating tests"));
  EXPECT_EQ(line.columns[0].quantity, "entering_water_temp");
  EXPECT_EQ(line.columns[1].label, ColumnLabel::kPoint);
  EXPECT_EQ(line.columns[2].unused_reason, "initials");
  EXPECT_EQ(line.point_files[0].columns[0].header, "Q");
  const Unit& unit = line.units[0];
  EXPECT_EQ(unit.phase_count, 3);
  EXPECT_TRUE(unit.pool_specimens);
  const Mode& mode = unit.modes[0];
  EXPECT_EQ(mode.kind, ModeKind::kCooling);
  EXPECT_THAT(mode.conditions, ElementsAre("entering_water_temp", "entering_air_wb"));
  EXPECT_THAT(mode.stages[1].machines, ElementsAre("a", "b"));
  EXPECT_THAT(mode.declared_proof_degree, Optional(2));
  EXPECT_EQ(mode.nearest_point_fraction, 0.4);
  EXPECT_EQ(unit.procedure_inputs[0].value, 12);
  EXPECT_EQ(line.tables[0].confidence, 0.9);
  EXPECT_EQ(line.tables[0].figures[0].decimal_count, 1);
  EXPECT_EQ(line.dropped_points[0].reason, "pump tripped");
}

TEST(TextValue, WhatIsNotWrittenHasItsDefault) {
  std::string text = With(kManifest, "    declared_proof_degree: 2\n", "");
  text = With(text, "    nearest_point_fraction: 0.4\n", "");
  text = With(text, "  confidence: 0.9\n", "");
  text = With(text, "  relative_fraction: 0\n", "");
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", text));
  EXPECT_FALSE(line.units[0].modes[0].declared_proof_degree.has_value());
  EXPECT_EQ(line.units[0].modes[0].nearest_point_fraction, 0.5);
  EXPECT_EQ(line.tables[0].confidence, 0.95);
  EXPECT_EQ(line.systematic_uncertainties[0].relative_fraction, 0);
  EXPECT_EQ(line.tables[1].columns.quantity, "");
}

TEST(TextValue, ValuesOfTheManifestAreTurnedIntoSi) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kManifest));
  EXPECT_EQ(line.units[0].nominal_capacity.value, 60);
  EXPECT_THAT(line.units[0].nominal_capacity.value_si, DoubleEq(60000 * kBtuPerHourW));
  const HeldCondition& held = line.units[0].modes[0].held_conditions[0];
  // A US gallon is 231 cubic inches.
  constexpr double kGallonPerMinuteM3PerS = 231 * 0.0254 * 0.0254 * 0.0254 / 60;
  EXPECT_THAT(held.value_si, DoubleEq(12 * kGallonPerMinuteM3PerS));
  EXPECT_THAT(held.tolerance_si, DoubleEq(0.5 * kGallonPerMinuteM3PerS));
  EXPECT_THAT(line.tables[0].rows.values, ElementsAre(60, 70, 85));
  EXPECT_THAT(line.tables[0].rows.values_si[2], DoubleEq((85 - 32) / 1.8));
  EXPECT_THAT(line.tables[1].fixed_conditions[0].value_si, DoubleEq((67 - 32) / 1.8));
}

TEST(TextValue, DifferencesHaveNoOffset) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kManifest));
  EXPECT_THAT(line.systematic_uncertainties[0].absolute_si, DoubleEq(0.5));
  // A unit of temperature means the same: an uncertainty is always a difference.
  ASSERT_OK_AND_ASSIGN(
      const LineManifest same,
      ParseLineManifest("l", With(kManifest, "unit: \"delta_degF\"", "unit: \"degF\"")));
  EXPECT_THAT(same.systematic_uncertainties[0].absolute_si, DoubleEq(0.5));
  ASSERT_OK_AND_ASSIGN(
      const LineManifest held,
      ParseLineManifest(
          "l",
          With(kManifest,
               "quantity: \"water_flow\" value: 12 tolerance: 0.5 unit: \"gpm\"",
               "quantity: \"entering_air_db\" value: 80 tolerance: 0.9 unit: \"degF\"")));
  EXPECT_THAT(held.units[0].modes[0].held_conditions[0].tolerance_si, DoubleEq(0.5));
  ASSERT_OK_AND_ASSIGN(const ParsedClaims claims, ParseClaims("c", kClaims));
  EXPECT_THAT(claims.claims[1].allowance.absolute_si, DoubleEq(0.5));
}

TEST(TextValue, ClaimsAreReadWithTheirPlaces) {
  ASSERT_OK_AND_ASSIGN(const ParsedClaims parsed, ParseClaims("c", kClaims));
  ASSERT_EQ(parsed.claims.size(), 2u);
  const Claim& claim = parsed.claims[0];
  EXPECT_EQ(claim.relation, Relation::kAtLeast);
  EXPECT_EQ(claim.limit, 11);
  EXPECT_THAT(claim.limit_si, DoubleEq(11 * kBtuPerHourW));
  EXPECT_THAT(claim.region[1].high_si, DoubleEq(40 / 1.8));
  EXPECT_EQ(claim.allowance.relative_fraction, 0.03);
  EXPECT_EQ(parsed.claims[1].relation, Relation::kAtMost);
  EXPECT_THAT(parsed.claims[1].limit_si, DoubleEq(15));
  EXPECT_EQ(parsed.file, "c");
  EXPECT_EQ(parsed.places[1].claim, (Place{.line = 16, .column = 1}));
  EXPECT_EQ(parsed.places[1].Of("stage"), (Place{.line = 20, .column = 3}));
  EXPECT_EQ(parsed.places[1].Of("region[1].quantity"), (Place{.line = 26, .column = 12}));
}

TEST(TextValue, ProcedureKeepsItsOwnUnits) {
  ASSERT_OK_AND_ASSIGN(const Procedure procedure, ParseProcedure("p", kProcedure));
  EXPECT_EQ(procedure.mode_kind, ModeKind::kCooling);
  ASSERT_TRUE(procedure.scope.capacity_low.has_value());
  EXPECT_EQ(procedure.scope.capacity_low->value, 65);
  EXPECT_EQ(procedure.scope.capacity_low->unit, "kBtu/h");
  EXPECT_EQ(procedure.common_conditions[0].value->citation.basis, Basis::kPublishedText);
  EXPECT_EQ(procedure.common_conditions[1].input, "rated_flow");
  EXPECT_TRUE(procedure.common_conditions[1].if_mapped);
  EXPECT_EQ(procedure.load_points[1].conditions[0].load_line->full_load_input,
            "design_water");
  ASSERT_TRUE(procedure.part_load.has_value());
  EXPECT_EQ(procedure.part_load->bracket_condition, BracketCondition::kOwnLoad);
  EXPECT_EQ(procedure.part_load->load_lines[0].load_line->slope_per_percent, 0.4);
  EXPECT_EQ(procedure.aggregation, Aggregation::kWeightedMean);
  EXPECT_EQ(procedure.unit_constant.value, 3.412);
  EXPECT_EQ(procedure.added_powers[0].cycling_part_input, "tower_part");
}

TEST(TextValue, ByteOrderMarkAndCarriageReturnsAreRead) {
  std::string text = "\xEF\xBB\xBF";
  for (char c : std::string_view(kClaims)) {
    if (c == '\n') text.push_back('\r');
    text.push_back(c);
  }
  ASSERT_OK_AND_ASSIGN(const ParsedClaims parsed, ParseClaims("c", text));
  EXPECT_EQ(parsed.claims.size(), 2u);
  EXPECT_EQ(parsed.places[1].Of("stage"), (Place{.line = 20, .column = 3}));
}

}  // namespace
}  // namespace ratebound::document
