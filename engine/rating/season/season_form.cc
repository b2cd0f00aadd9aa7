#include "engine/rating/season/season_form.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/rating/missing.h"

namespace ratebound::rating {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// What the algorithm takes for granted of a season that was not read from a file.
absl::Status CheckSeason(const document::Procedure& procedure,
                         const document::BinSeason& season) {
  base::FaultList faults;
  const auto fault = [&](std::string field, std::string message) {
    faults.Add(
        {.file = procedure.id, .field = std::move(field), .message = std::move(message)});
  };
  if (season.climates.empty()) fault("climates", "is missing");
  if (season.staged.has_value() == season.declared.has_value()) {
    fault("performance", "is not exactly one of staged and declared");
  }
  if (!(procedure.unit_constant.value > 0)) fault("unit_constant", "is not above 0");
  if (!(procedure.rounding_step.value > 0)) fault("rounding_step", "is not above 0");
  const bool needs_backup = season.unmet_load == document::UnmetLoad::kBackup ||
                            (season.cut_out && season.cut_out->off_below_backup);
  if (needs_backup && !season.backup.has_value()) fault("backup", "is missing");
  if (season.backup.has_value() && !(season.backup->efficiency.value > 0)) {
    fault("backup", "its efficiency is not above 0");
  }
  if (season.rated_figure == document::SeasonFigureKind::kSpace &&
      !(season.space_efficiency.has_value() &&
        season.space_efficiency->conversion_coefficient.value > 0)) {
    fault("space_efficiency", "has no coefficient above 0");
  }
  return faults.ToStatus();
}

class AskedFigures : public FurtherFigures {
 public:
  AskedFigures(const CompiledSeason& climate, const StageReader& reader,
               const FigureSource& source)
      : climate_(climate), reader_(reader), source_(source) {}

  StagePoint Figure(int index) const override {
    const SeasonRequest& request = climate_.requests[index];
    StageRun run;
    if (!reader_.Run(source_, request.stage, climate_.conditions->ValuesSi(request.place),
                     run)) {
      return {kNone, kNone};
    }
    return {run.capacity_si, run.power_w};
  }

 private:
  const CompiledSeason& climate_;
  const StageReader& reader_;
  const FigureSource& source_;
};

// Whether the plan rests on the figure, or would if the unit had it.
bool IsNeeded(const CompiledSeason& climate, const SeasonVariant& variant, int figure) {
  if (figure < static_cast<int>(climate.tests.size())) {
    return variant.tests[static_cast<size_t>(figure)] == TestUse::kTested ||
           std::find(variant.missing.begin(), variant.missing.end(), figure) !=
               variant.missing.end();
  }
  const SeasonPlan& plan = variant.plan;
  return plan.declared.empty() ||
         std::any_of(plan.declared.begin(), plan.declared.end(),
                     [&](const DeclaredPlan& declared) {
                       return figure >= declared.first_figure &&
                              figure < declared.first_figure + plan.stage_count;
                     });
}

}  // namespace

absl::StatusOr<std::unique_ptr<MetricForm>> SeasonForm::Create(
    const CompileContext& context) {
  const auto& season = std::get<document::BinSeason>(context.procedure.form);
  RETURN_IF_ERROR(CheckSeason(context.procedure, season));
  ASSIGN_OR_RETURN(StageReader reader, StageReader::Create(context));
  auto form =
      std::unique_ptr<SeasonForm>(new SeasonForm(context, season, std::move(reader)));
  for (size_t i = 0; i < season.climates.size(); ++i) {
    absl::StatusOr<CompiledSeason> compiled =
        CompileSeason(context, season, static_cast<int>(i));
    if (compiled.ok()) {
      form->climates_.push_back(*std::move(compiled));
    } else if (i == 0) {
      return compiled.status();
    } else {
      form->notes_.push_back(absl::StrCat("not computed for climate ",
                                          season.climates[i].id, ": ",
                                          compiled.status().message()));
    }
  }
  return form;
}

StagePoint SeasonForm::Ask(const CompiledSeason& climate, const FigureSource& source,
                           int figure) const {
  return AskedFigures(climate, reader_, source).Figure(figure);
}

const SeasonVariant& SeasonForm::AskTests(const CompiledSeason& climate,
                                          const FigureSource& source,
                                          Tests& tests) const {
  int set = 0;
  for (size_t i = 0; i < climate.tests.size(); ++i) {
    const SeasonTestState& state = climate.tests[i];
    if (!state.asked) {
      tests[i] = {kNone, kNone};
      continue;
    }
    tests[i] = Ask(climate, source, static_cast<int>(i));
    if (state.bit >= 0 && !std::isnan(tests[i].capacity_w)) set |= 1 << state.bit;
  }
  return climate.variants[static_cast<size_t>(set)];
}

double SeasonForm::Value(const FigureSource& source) const {
  const CompiledSeason& climate = climates_.front();
  Tests tests;
  const SeasonVariant& variant = AskTests(climate, source, tests);
  if (!variant.status.ok()) return kNone;
  const SeasonSums sums = SumSeason(variant.plan, {tests.data(), climate.tests.size()},
                                    AskedFigures(climate, reader_, source));
  return SeasonFigureOf(variant.plan, sums, season_.rated_figure);
}

absl::Status SeasonForm::WhyNone(const CompiledSeason& climate,
                                 const SeasonVariant& variant,
                                 const FigureSource& source) const {
  RETURN_IF_ERROR(variant.status);
  for (size_t i = 0; i < climate.requests.size(); ++i) {
    const SeasonRequest& request = climate.requests[i];
    if (request.place < 0 || !IsNeeded(climate, variant, static_cast<int>(i))) continue;
    if (!std::isnan(Ask(climate, source, static_cast<int>(i)).capacity_w)) continue;
    return reader_.WhyNot(source, request.stage,
                          climate.conditions->ValuesSi(request.place),
                          climate.conditions->Trace(request.place));
  }
  return absl::FailedPreconditionError(
      "the lines through the tests come to a capacity or power below 0, or meet the load "
      "at no temperature");
}

void SeasonForm::FindMissing(const FigureSource& source, MissingData& missing) const {
  const CompiledSeason& climate = climates_.front();
  Tests tests;
  const SeasonVariant& variant = AskTests(climate, source, tests);
  MissingSearch search(context_, source, missing);
  for (size_t i = 0; i < climate.requests.size(); ++i) {
    const SeasonRequest& request = climate.requests[i];
    if (request.place < 0 || !IsNeeded(climate, variant, static_cast<int>(i))) continue;
    const PointConditions& point = climate.conditions->point(request.place);
    const std::span<const double> conditions_si =
        climate.conditions->ValuesSi(request.place);
    search.LookForFigures(point, request.stage, conditions_si);
    search.LookAtFooting(point, request.stage, conditions_si);
  }
}

}  // namespace ratebound::rating
