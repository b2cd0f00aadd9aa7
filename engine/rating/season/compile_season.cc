#include "engine/rating/season/compile_season.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/season/season_compiler.h"

namespace ratebound::rating {

using document::DefaultUse;
using document::SeasonTest;
using document::StageRole;

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// -1 with the reason where the unit has no such stage.
int StageOf(StageRole role, int stage_count, std::string& why_not) {
  switch (role) {
    case StageRole::kHighest:
      return stage_count - 1;
    case StageRole::kLowest:
      if (stage_count > 1) return 0;
      why_not = "the unit has one stage, and so no lowest beside the highest";
      return -1;
    case StageRole::kMiddle:
      if (stage_count == 3) return 1;
      why_not = absl::StrCat("the unit has ", stage_count,
                             " stages, and so no middle one of three");
      return -1;
  }
  return -1;
}

}  // namespace

int SeasonCompiler::TestIndex(const std::string& id) const {
  for (size_t i = 0; i < season_.tests.size(); ++i) {
    if (season_.tests[i].id == id) return static_cast<int>(i);
  }
  return -1;
}

// What each test is at, and whether the unit can have it.
absl::Status SeasonCompiler::FindTests() {
  const int stage_count = context_.description.stage_count();
  for (const SeasonTest& test : season_.tests) {
    SeasonTestState state;
    ASSIGN_OR_RETURN(const std::optional<double> temperature,
                     values_.Temperature(test.temperature));
    state.temperature = temperature.value_or(0);
    if (test.least_temperature.has_value()) {
      ASSIGN_OR_RETURN(const std::optional<double> least,
                       values_.Temperature(*test.least_temperature));
      if (least.has_value()) state.temperature = std::max(state.temperature, *least);
    }
    state.stage = StageOf(test.stage, stage_count, state.why_not);
    if (!temperature.has_value()) {
      state.stage = -1;
      state.why_not = absl::StrCat("input ", test.temperature.input, " is not given");
    }
    if (!test.run_input.empty()) {
      ASSIGN_OR_RETURN(const std::optional<double> run,
                       values_.PlainInput(test.run_input));
      if (run.value_or(0) == 0) {
        state.stage = -1;
        state.why_not =
            absl::StrCat("input ", test.run_input, " does not say it was run");
      }
    }
    bool tested = true;
    if (test.fallback.has_value()) {
      if (test.fallback->use == DefaultUse::kAlways) tested = false;
      if (test.fallback->use == DefaultUse::kUnlessInput) {
        ASSIGN_OR_RETURN(const std::optional<double> given,
                         values_.PlainInput(test.fallback->tested_input));
        tested = given.value_or(0) != 0;
      }
    }
    tested_by_input_.push_back(tested);
    compiled_.tests.push_back(std::move(state));
  }
  return absl::OkStatus();
}

void SeasonCompiler::MarkUsed() {
  used_.assign(season_.tests.size(), false);
  const auto use = [&](const std::string& id) {
    const int test = TestIndex(id);
    if (test >= 0) used_[test] = true;
  };
  use(season_.load.capacity_of);
  use(season_.load.balance_at);
  if (season_.declared.has_value()) {
    for (const std::string& id : season_.declared->tests) use(id);
  }
  if (season_.staged.has_value()) {
    for (const document::StageCurve& curve : season_.staged->curves) {
      for (const document::CurvePiece& piece : curve.pieces) {
        for (const std::string& id : piece.tests) use(id);
      }
      if (!curve.slopes.has_value()) continue;
      use(curve.slopes->test);
      for (const std::string& id : curve.slopes->lower_tests) use(id);
      for (const std::string& id : curve.slopes->upper_tests) use(id);
    }
  }
  // Defaults rest on tests before them.
  for (int i = static_cast<int>(season_.tests.size()) - 1; i >= 0; --i) {
    if (!used_[i] || !season_.tests[i].fallback.has_value()) continue;
    for (const std::string& id : season_.tests[i].fallback->tests) use(id);
  }
  for (size_t i = 0; i < season_.tests.size(); ++i) {
    const SeasonTest& test = season_.tests[i];
    SeasonTestState& state = compiled_.tests[i];
    state.asked = used_[i] && state.stage >= 0 && tested_by_input_[i];
    const bool optional =
        test.may_be_missing ||
        (test.fallback.has_value() && test.fallback->use == DefaultUse::kUnlessKnown);
    if (!state.asked || !optional) continue;
    state.bit = static_cast<int>(compiled_.optional_tests.size());
    compiled_.optional_tests.push_back(static_cast<int>(i));
  }
}

absl::Status SeasonCompiler::FindPieceRanges() {
  if (!season_.staged.has_value()) return absl::OkStatus();
  for (const document::StageCurve& curve : season_.staged->curves) {
    std::vector<PieceRange>& ranges = ranges_.emplace_back();
    for (const document::CurvePiece& piece : curve.pieces) {
      PieceRange& range = ranges.emplace_back(PieceRange{-kInfinity, kInfinity});
      if (piece.from.has_value()) {
        ASSIGN_OR_RETURN(const std::optional<double> from,
                         values_.Temperature(*piece.from));
        range.from = from.value_or(-kInfinity);
      }
      if (piece.to.has_value()) {
        ASSIGN_OR_RETURN(const std::optional<double> to, values_.Temperature(*piece.to));
        range.to = to.value_or(kInfinity);
      }
    }
  }
  return absl::OkStatus();
}

// The unit's figures that will be asked for, and at which conditions.
absl::Status SeasonCompiler::Place() {
  std::vector<PointConditions> places;
  const auto place = [&](std::string id, double temperature, const SeasonTest* test) {
    PointConditions point{.id = std::move(id)};
    if (test != nullptr) point.conditions = test->conditions;
    for (const document::BinCondition& condition : season_.bin_conditions) {
      const bool own = std::any_of(point.conditions.begin(), point.conditions.end(),
                                   [&](const document::CitedCondition& known) {
                                     return known.quantity == condition.quantity;
                                   });
      if (own) continue;
      point.conditions.push_back(
          {.quantity = condition.quantity,
           .value = document::CitedValue{.value = ConditionValue(condition, temperature),
                                         .unit = condition.at.empty()
                                                     ? season_.temperature_unit
                                                     : condition.unit,
                                         .citation = condition.citation},
           .if_mapped = condition.if_mapped});
    }
    places.push_back(std::move(point));
    return static_cast<int>(places.size()) - 1;
  };
  std::vector<SeasonRequest>& requests = compiled_.requests;
  requests.resize(season_.tests.size());
  for (size_t i = 0; i < season_.tests.size(); ++i) {
    const SeasonTestState& state = compiled_.tests[i];
    if (!state.asked) continue;
    requests[i] = {state.stage,
                   place(season_.tests[i].id, state.temperature, &season_.tests[i])};
  }
  const int stage_count = context_.description.stage_count();
  declared_first_.assign(season_.tests.size(), -1);
  if (season_.declared.has_value()) {
    for (const std::string& id : season_.declared->tests) {
      const int test = TestIndex(id);
      if (!compiled_.tests[test].asked) continue;
      declared_first_[test] = static_cast<int>(requests.size());
      for (int stage = 0; stage < stage_count; ++stage) {
        requests.push_back({stage, requests[test].place});
      }
    }
  } else if (season_.staged.has_value()) {
    std::vector<int> stages;
    if (season_.staged->all_from_map) {
      for (int stage = 0; stage < stage_count; ++stage) stages.push_back(stage);
    }
    for (const document::StageCurve& curve : season_.staged->curves) {
      std::string why_not;
      stages.push_back(curve.from_map.has_value()
                           ? StageOf(*curve.from_map, stage_count, why_not)
                           : -1);
    }
    map_first_.assign(stages.size(), -1);
    std::vector<int> bin_places;
    for (size_t i = 0; i < stages.size(); ++i) {
      if (stages[i] < 0) continue;
      if (bin_places.empty()) {
        for (const BinPlan& bin : base_.bins) {
          bin_places.push_back(
              place(absl::StrCat("bin ", base::ShortestText(bin.temperature), " ",
                                 season_.temperature_unit),
                    bin.temperature, nullptr));
        }
      }
      map_first_[i] = static_cast<int>(requests.size());
      for (const int at : bin_places) requests.push_back({stages[i], at});
    }
  }
  ASSIGN_OR_RETURN(ConditionPlan plan,
                   ConditionPlan::Create(context_.procedure, context_.description,
                                         context_.inputs, std::move(places)));
  compiled_.conditions.emplace(std::move(plan));
  return absl::OkStatus();
}

absl::StatusOr<CompiledSeason> SeasonCompiler::Compile() {
  if (season_.tests.size() > kMostSeasonTests) {
    return absl::InvalidArgumentError(
        absl::StrCat("a season has at most ", kMostSeasonTests, " tests"));
  }
  const int stage_count = context_.description.stage_count();
  if (stage_count < 1 || stage_count > kMostSeasonStages ||
      (season_.staged.has_value() && season_.staged->curves.size() > kMostSeasonStages)) {
    return absl::FailedPreconditionError(
        absl::StrCat("a season is computed for 1 to ", kMostSeasonStages, " stages"));
  }
  RETURN_IF_ERROR(FindTests());
  RETURN_IF_ERROR(FindNumbers());
  RETURN_IF_ERROR(FindPieceRanges());
  RETURN_IF_ERROR(values_.Missing());
  MarkUsed();
  if (compiled_.optional_tests.size() > kMostOptionalTests) {
    return absl::InvalidArgumentError(absl::StrCat("a season has at most ",
                                                   kMostOptionalTests,
                                                   " tests that a unit may have or not"));
  }
  RETURN_IF_ERROR(Place());
  const int sets = 1 << compiled_.optional_tests.size();
  for (int set = 0; set < sets; ++set) compiled_.variants.push_back(Variant(set));
  return std::move(compiled_);
}

absl::StatusOr<CompiledSeason> CompileSeason(const CompileContext& context,
                                             const document::BinSeason& season,
                                             int climate) {
  return SeasonCompiler(context, season, climate).Compile();
}

double ConditionValue(const document::BinCondition& condition, double temperature) {
  const std::vector<document::ConditionAt>& at = condition.at;
  if (at.empty()) return temperature;
  if (at.size() == 1) return at.front().value;
  if (!condition.extended) {
    if (temperature <= at.front().temperature) return at.front().value;
    if (temperature >= at.back().temperature) return at.back().value;
  }
  size_t next = 1;
  while (next + 1 < at.size() && temperature > at[next].temperature) ++next;
  const document::ConditionAt& a = at[next - 1];
  const document::ConditionAt& b = at[next];
  const double part = (temperature - a.temperature) / (b.temperature - a.temperature);
  return a.value + (b.value - a.value) * part;
}

}  // namespace ratebound::rating
