// The plan of a season for one set of the tests that a unit may have or not.
#include <algorithm>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/rating/season/declared_columns.h"
#include "engine/rating/season/season_compiler.h"

namespace ratebound::rating {

using document::CurvePiece;
using document::DefaultUse;
using document::StageCurve;

bool SeasonCompiler::Have(const SeasonVariant& variant, const std::string& test) const {
  const int index = TestIndex(test);
  return index >= 0 && (variant.tests[index] == TestUse::kTested ||
                        variant.tests[index] == TestUse::kDefault);
}

bool SeasonCompiler::HaveAll(const SeasonVariant& variant,
                             const std::vector<std::string>& tests) const {
  return std::all_of(tests.begin(), tests.end(),
                     [&](const std::string& test) { return Have(variant, test); });
}

void SeasonCompiler::Miss(const std::vector<std::string>& tests,
                          SeasonVariant& variant) const {
  for (const std::string& id : tests) {
    const int test = TestIndex(id);
    if (test < 0 || Have(variant, id)) continue;
    if (std::find(variant.missing.begin(), variant.missing.end(), test) ==
        variant.missing.end()) {
      variant.missing.push_back(test);
    }
  }
}

int SeasonCompiler::CurveIndex(const std::string& id) const {
  for (size_t i = 0; i < season_.staged->curves.size(); ++i) {
    if (season_.staged->curves[i].id == id) return static_cast<int>(i);
  }
  return -1;
}

void SeasonCompiler::AddTests(int optional_set, SeasonVariant& variant) const {
  SeasonPlan& plan = variant.plan;
  plan.tests.resize(season_.tests.size());
  variant.tests.assign(season_.tests.size(), TestUse::kNotUsed);
  for (size_t i = 0; i < season_.tests.size(); ++i) {
    if (!used_[i]) continue;
    const document::SeasonTest& test = season_.tests[i];
    const SeasonTestState& state = compiled_.tests[i];
    TestPlan& test_plan = plan.tests[i];
    test_plan.temperature = state.temperature;
    const bool known =
        state.asked && (state.bit < 0 || ((optional_set >> state.bit) & 1) != 0);
    if (known) {
      variant.tests[i] = TestUse::kTested;
      continue;
    }
    variant.tests[i] = TestUse::kMissing;
    // An input that says that the test was run asks for it.
    const bool ruled_out =
        !test.fallback.has_value() ||
        (test.fallback->use == DefaultUse::kUnlessInput && tested_by_input_[i]);
    if (ruled_out || !HaveAll(variant, test.fallback->tests)) continue;
    const int a = TestIndex(test.fallback->tests.front());
    const int b = TestIndex(test.fallback->tests.back());
    const double from = compiled_.tests[a].temperature;
    const double to = compiled_.tests[b].temperature;
    test_plan.is_default = true;
    test_plan.line = {a, b, a == b ? 0 : (state.temperature - from) / (to - from)};
    test_plan.capacity_factor = test.fallback->capacity_factor.value;
    test_plan.power_factor = test.fallback->power_factor.value;
    variant.tests[i] = TestUse::kDefault;
  }
}

void SeasonCompiler::AddDeclared(SeasonVariant& variant) const {
  SeasonPlan& plan = variant.plan;
  const document::DeclaredPoints& declared = *season_.declared;
  plan.stage_count = context_.description.stage_count();
  plan.window_part = declared.window_percent.value / 100;
  plan.degrade_at = declared.degrade_at;
  for (const document::Stage& stage : context_.description.mode.stages) {
    variant.stage_names.push_back(stage.id);
  }
  for (const std::string& id : declared.tests) {
    const int test = TestIndex(id);
    if (variant.tests[test] != TestUse::kTested) {
      if (!season_.tests[test].may_be_missing) Miss({id}, variant);
      continue;
    }
    const double temperature = compiled_.tests[test].temperature;
    const bool taken = std::any_of(
        plan.declared.begin(), plan.declared.end(),
        [&](const DeclaredPlan& other) { return other.temperature == temperature; });
    if (taken) continue;
    plan.declared.push_back({.temperature = temperature,
                             .load_part = PartOfLoad(temperature),
                             .test = test,
                             .own_stage = compiled_.tests[test].stage,
                             .first_figure = declared_first_[test]});
  }
  if (plan.declared.empty()) return Miss(declared.tests, variant);
  std::sort(plan.declared.begin(), plan.declared.end(),
            [](const DeclaredPlan& a, const DeclaredPlan& b) {
              return a.temperature < b.temperature;
            });
  const int last = static_cast<int>(plan.declared.size()) - 1;
  for (const BinPlan& bin : plan.bins) {
    if (last == 0) {
      plan.lines.push_back({});
      continue;
    }
    int next = 1;
    while (next < last && bin.temperature > plan.declared[next].temperature) ++next;
    const double from = plan.declared[next - 1].temperature;
    const double to = plan.declared[next].temperature;
    double part = (bin.temperature - from) / (to - from);
    if (part < 0 && declared.below == document::BeyondPoints::kConstant) part = 0;
    if (part > 1 && declared.above == document::BeyondPoints::kConstant) part = 1;
    plan.lines.push_back({next - 1, next, part});
  }
  plan.declared_columns = ColumnsOf(plan);
}

LinePoint SeasonCompiler::LineAt(const SeasonVariant& variant, int curve,
                                 double temperature, absl::Status& status) const {
  const StageCurve& shape = season_.staged->curves[curve];
  for (size_t i = 0; i < shape.pieces.size(); ++i) {
    const PieceRange& range = ranges_[curve][i];
    if (!(temperature >= range.from && temperature < range.to)) continue;
    const std::vector<std::string>& tests = shape.pieces[i].tests;
    if (!HaveAll(variant, tests)) continue;
    const int a = TestIndex(tests.front());
    const int b = TestIndex(tests.back());
    if (a == b) return {a, a, 0};
    const double from = compiled_.tests[a].temperature;
    const double to = compiled_.tests[b].temperature;
    return {a, b, (temperature - from) / (to - from)};
  }
  status.Update(absl::FailedPreconditionError(
      absl::StrCat("curve ", shape.id, " has no line at ",
                   base::ShortestText(temperature), " ", season_.temperature_unit)));
  return {};
}

bool SeasonCompiler::AddPieces(int curve, SeasonVariant& variant, CurvePlan& plan) const {
  const StageCurve& shape = season_.staged->curves[curve];
  for (size_t i = 0; i < shape.pieces.size(); ++i) {
    const std::vector<std::string>& tests = shape.pieces[i].tests;
    if (!HaveAll(variant, tests)) continue;
    const int a = TestIndex(tests.front());
    const int b = TestIndex(tests.back());
    if (a != b && compiled_.tests[a].temperature == compiled_.tests[b].temperature) {
      variant.status.Update(absl::FailedPreconditionError(
          absl::StrCat("tests ", absl::StrJoin(tests, " and "), " of curve ", shape.id,
                       " are at the same temperature and give no line")));
      return true;
    }
    plan.segments.push_back({a, b, ranges_[curve][i].from, ranges_[curve][i].to});
  }
  if (!plan.segments.empty()) return true;
  if (shape.may_be_missing) return false;
  for (const CurvePiece& piece : shape.pieces) Miss(piece.tests, variant);
  return true;
}

bool SeasonCompiler::AddSlope(int curve, SeasonVariant& variant, CurvePlan& plan) const {
  const StageCurve& shape = season_.staged->curves[curve];
  const document::SlopeCurve& slopes = *shape.slopes;
  const int lower = CurveIndex(slopes.lower);
  const int upper = CurveIndex(slopes.upper);
  const bool have = Have(variant, slopes.test) && HaveAll(variant, slopes.lower_tests) &&
                    HaveAll(variant, slopes.upper_tests);
  if (!have) {
    if (shape.may_be_missing) return false;
    Miss({slopes.test}, variant);
    Miss(slopes.lower_tests, variant);
    Miss(slopes.upper_tests, variant);
    return true;
  }
  plan.is_slope = true;
  plan.slope.test = TestIndex(slopes.test);
  plan.slope.temperature = compiled_.tests[plan.slope.test].temperature;
  plan.slope.lower = LineAt(variant, lower, plan.slope.temperature, variant.status);
  plan.slope.upper = LineAt(variant, upper, plan.slope.temperature, variant.status);
  plan.slope.lower_slope = {.a = TestIndex(slopes.lower_tests.front()),
                            .b = TestIndex(slopes.lower_tests.back())};
  plan.slope.upper_slope = {.a = TestIndex(slopes.upper_tests.front()),
                            .b = TestIndex(slopes.upper_tests.back())};
  return true;
}

void SeasonCompiler::AddCurves(SeasonVariant& variant) const {
  SeasonPlan& plan = variant.plan;
  const document::StagedBins& staged = *season_.staged;
  std::vector<int> used;  // curves, or stages where all are from the map
  if (staged.all_from_map) {
    for (const document::Stage& stage : context_.description.mode.stages) {
      used.push_back(static_cast<int>(used.size()));
      variant.stage_names.push_back(stage.id);
      plan.curves.emplace_back();
    }
  }
  for (size_t i = 0; i < staged.curves.size(); ++i) {
    CurvePlan curve;
    const int index = static_cast<int>(i);
    if (staged.curves[i].slopes.has_value()) {
      if (!AddSlope(index, variant, curve)) continue;
    } else if (!staged.curves[i].from_map.has_value()) {
      if (!AddPieces(index, variant, curve)) continue;
    } else if (map_first_[i] < 0) {
      if (staged.curves[i].may_be_missing) continue;
      variant.status.Update(absl::FailedPreconditionError(
          absl::StrCat("the unit has no stage for curve ", staged.curves[i].id)));
    }
    used.push_back(index);
    variant.stage_names.push_back(staged.curves[i].id);
    plan.curves.push_back(std::move(curve));
  }
  if (!variant.status.ok() || !variant.missing.empty()) return;
  const int count = static_cast<int>(used.size());
  if (count == 0) {
    variant.status = absl::FailedPreconditionError("the unit has none of the curves");
    return;
  }
  if (staged.between == document::BetweenStages::kEfficiencyOverTemperature &&
      staged.all_from_map) {
    variant.status = absl::InvalidArgumentError(
        "temperatures of balance are found on straight lines only");
    return;
  }
  for (size_t bin = 0; bin < plan.bins.size(); ++bin) {
    BinPlan& bin_plan = plan.bins[bin];
    bin_plan.lowest = std::min(bin_plan.lowest, count - 1);
    for (int i = 0; i < count; ++i) {
      const int first = map_first_[used[i]];
      const CurvePlan& curve = plan.curves[i];
      if (curve.is_slope) {
        plan.lines.push_back({curve.slope.test, curve.slope.test,
                              bin_plan.temperature - curve.slope.temperature});
      } else if (first >= 0) {
        const int figure = first + static_cast<int>(bin);
        plan.lines.push_back({figure, figure, 0});
      } else {
        absl::Status status;
        plan.lines.push_back(LineAt(variant, used[i], bin_plan.temperature, status));
        // A bin without load runs nothing.
        if (bin_plan.load_part > 0) variant.status.Update(status);
      }
    }
  }
}

absl::Status SeasonCompiler::MissingTests(const SeasonVariant& variant) const {
  std::vector<std::string> lines;
  for (const int test : variant.missing) {
    const SeasonTestState& state = compiled_.tests[test];
    lines.push_back(absl::StrCat(
        season_.tests[test].id,
        state.stage >= 0
            ? absl::StrCat(" (stage ", context_.description.StageId(state.stage), " at ",
                           base::ShortestText(state.temperature), " ",
                           season_.temperature_unit, ")")
            : absl::StrCat(" (", state.why_not, ")")));
  }
  return absl::FailedPreconditionError(
      absl::StrCat("the unit lacks tests: ", absl::StrJoin(lines, ", ")));
}

SeasonVariant SeasonCompiler::Variant(int optional_set) const {
  SeasonVariant variant{.plan = base_};
  AddTests(optional_set, variant);
  if (base_.load.size_test >= 0) {
    Miss({season_.tests[base_.load.size_test].id}, variant);
  }
  if (season_.declared.has_value()) {
    AddDeclared(variant);
  } else {
    AddCurves(variant);
  }
  if (!variant.missing.empty()) variant.status = MissingTests(variant);
  return variant;
}

}  // namespace ratebound::rating
