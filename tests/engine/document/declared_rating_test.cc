// Ratings that a maker declares, and the tolerance that a procedure gives authorities.
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

std::string WithDeclared(const std::string& declared) {
  return With(kManifest, "  pool_specimens: true",
              absl::StrCat("  pool_specimens: true ", declared));
}

TEST(DeclaredRating, ComesBackAsItIsWritten) {
  ASSERT_OK_AND_ASSIGN(
      const LineManifest line,
      ParseLineManifest("l", WithDeclared("declared_ratings { procedure: 'ieer' value: "
                                          "14.2 unit: 'Btu/Wh' stated_in: 'sheet 7' }")));
  ASSERT_EQ(line.units[0].declared_ratings.size(), 1u);
  EXPECT_EQ(line.units[0].declared_ratings[0],
            (DeclaredRating{"ieer", 14.2, "Btu/Wh", "sheet 7"}));
}

TEST(DeclaredRating, EveryFaultIsReportedWithItsPlace) {
  const struct {
    std::string declared;
    std::string want;
  } kCases[] = {
      {"declared_ratings { procedure: 'ieer' value: 14.2 }",
       "unit: is missing; write unit: \"...\""},
      {"declared_ratings { procedure: 'ieer' value: 0 unit: 'Btu/Wh' }",
       "value: 0 is out of range; write a number above 0"},
      {"declared_ratings { procedure: 'eier' value: 14 unit: 'Btu/Wh' }",
       "procedure: unknown procedure of this line 'eier'; did you mean 'ieer'?"},
      {"declared_ratings { procedure: 'ieer' value: 14 unit: 'Btu/Wg' }",
       "unknown unit 'Btu/Wg'; did you mean 'Btu/Wh'?"},
      {"declared_ratings { procedure: 'ieer' value: 14 unit: 'Btu/Wh' } "
       "declared_ratings { procedure: 'ieer' value: 15 unit: 'Btu/Wh' }",
       "procedure: the procedure 'ieer' is given twice"},
  };
  for (const auto& c : kCases) {
    SCOPED_TRACE(c.declared);
    const std::string faults =
        FaultsOf(ParseLineManifest("line.textproto", WithDeclared(c.declared)).status());
    EXPECT_THAT(faults, ::testing::StartsWith("line.textproto:50:"));
    EXPECT_THAT(faults, ::testing::HasSubstr("units[0].declared_ratings["));
    EXPECT_THAT(faults, ::testing::HasSubstr(c.want));
  }
}

TEST(SurveillanceTolerance, IsAPercentageWithItsSource) {
  const auto with = [](const std::string& tolerance) {
    return With(kProcedure, "mode_kind: \"cooling\"",
                absl::StrCat("mode_kind: \"cooling\" ", tolerance));
  };
  ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                       ParseProcedure("p", with("surveillance_tolerance { value: 8 unit: "
                                                "'%' citation { source: 's' basis: "
                                                "BASIS_MEMORY } }")));
  ASSERT_TRUE(procedure.surveillance_tolerance.has_value());
  EXPECT_EQ(procedure.surveillance_tolerance->value, 8);
  EXPECT_THAT(FaultsOf(ParseProcedure("p", with("surveillance_tolerance { value: 108 "
                                                "unit: 'W' }"))
                           .status()),
              ::testing::AllOf(::testing::HasSubstr("'W' is no percentage"),
                               ::testing::HasSubstr("108 is out of range"),
                               ::testing::HasSubstr("citation: is missing")));
}

}  // namespace
}  // namespace ratebound::document
