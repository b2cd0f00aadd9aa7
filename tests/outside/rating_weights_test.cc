// The weights of the part-load metrics as their documents publish them, against what the
// procedure files carry: a slip of one digit there would be a wrong rating everywhere.
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gtest/gtest.h"
#include "tests/outside/rating_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using ratebound::testing::OutsideCheck;

struct Weights {
  const char* source;
  std::vector<double> full_to_quarter;  // at 100, 75, 50 and 25 % of load
  std::vector<const char*> procedures;
};

TEST(PublishedWeights, StandInEveryProcedureAndSumToOne) {
  const Weights kPublished[] = {
      {"AHRI 340/360-2022, equation of the IEER",
       {0.020, 0.617, 0.238, 0.125},
       {"ieer-air-cooled", "ieer-evaporatively-cooled", "ieer-water-cooled"}},
      {"AHRI 550/590 (I-P) and 551/591 (SI), equation of IPLV and NPLV",
       {0.01, 0.42, 0.45, 0.12},
       {"iplv-ip-air-cooled", "iplv-ip-evaporatively-cooled",
        "iplv-ip-water-cooled-kw-per-ton", "iplv-ip-water-cooled", "iplv-si-air-cooled",
        "iplv-si-evaporatively-cooled", "iplv-si-water-cooled",
        "nplv-ip-water-cooled-kw-per-ton", "nplv-ip-water-cooled",
        "nplv-si-water-cooled"}},
  };
  for (const Weights& published : kPublished) {
    OutsideCheck check(
        {.name = published.procedures.size() == 3 ? "rating.ieer_weights"
                                                  : "rating.iplv_weights",
         .source = absl::StrCat(published.source, " (as quoted elsewhere)"),
         .tolerance = 0});
    for (const char* id : published.procedures) {
      ASSERT_OK_AND_ASSIGN(const document::Procedure procedure, LoadProcedure(id));
      std::vector<double> ours;
      double sum = 0;
      for (const document::LoadPoint& point : procedure.load_points) {
        ours.push_back(point.weight.value);
        sum += point.weight.value;
      }
      check.Each(id, ours, published.full_to_quarter);
      EXPECT_NEAR(sum, 1, 1e-15) << id;
    }
  }
}

}  // namespace
}  // namespace ratebound::rating
