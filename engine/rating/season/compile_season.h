// A season of bins made ready for one unit and one climate. Private to engine/rating.
//
// Tests that may be missing, and defaults where the unit has no figures, make different
// plans; there is one for each set of such tests that a unit can have, so that computing
// a season takes none of these decisions.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_COMPILE_SEASON_H_
#define RATEBOUND_ENGINE_RATING_SEASON_COMPILE_SEASON_H_

#include <optional>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/season.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/season/season_plan.h"
#include "engine/rating/season/season_values.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// Tests that the unit may have or not: each doubles the plans.
inline constexpr int kMostOptionalTests = 5;

// A figure to ask the unit for.
struct SeasonRequest {
  int stage = -1;
  int place = -1;  // the point of the ConditionPlan
};

struct SeasonTestState {
  int stage = -1;  // -1: the unit cannot have the test
  std::string why_not;
  double temperature = 0;
  int bit = -1;        // among those that the unit may have or not
  bool asked = false;  // whether some plan uses the unit's own figure
};

enum class TestUse { kNotUsed, kTested, kDefault, kMissing };

struct SeasonVariant {
  absl::Status status;  // FAILED_PRECONDITION where a test is missing that is needed
  SeasonPlan plan;
  std::vector<TestUse> tests;
  std::vector<std::string> stage_names;  // of curves, or of the unit's stages
  std::vector<int> missing;              // tests
};

struct CompiledSeason {
  int climate = 0;
  std::optional<ConditionPlan> conditions;
  // By index of the figure: first one for each test, then further ones.
  std::vector<SeasonRequest> requests;
  std::vector<SeasonTestState> tests;
  std::vector<int> optional_tests;      // by bit
  std::vector<SeasonVariant> variants;  // by the set of optional tests that there are
  std::vector<TraceNode> numbers;       // coefficients and the like, for the trace
  std::optional<double> demand_hours;
};

// Refers to the context, which must outlive it. FAILED_PRECONDITION where the unit does
// not fit or an input is missing; INVALID_ARGUMENT for a season that contradicts itself.
absl::StatusOr<CompiledSeason> CompileSeason(const CompileContext& context,
                                             const document::BinSeason& season,
                                             int climate);

// The value of a condition at an outdoor temperature, in its own unit.
double ConditionValue(const document::BinCondition& condition, double temperature);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_COMPILE_SEASON_H_
