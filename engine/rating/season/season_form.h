// The form of procedure that sums over bins of outdoor temperature. Private to
// engine/rating.
//
// The figures of the unit are asked for at the conditions of the season's tests, or of
// its bins; what they come to is said in evaluate_season.h. The first climate is rated;
// the figures of the others stand in the trace.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_FORM_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_FORM_H_

#include <array>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/season.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/season/compile_season.h"
#include "engine/rating/season/evaluate_season.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

class SeasonForm : public MetricForm {
 public:
  // FAILED_PRECONDITION where the rated climate cannot be computed for the unit.
  static absl::StatusOr<std::unique_ptr<MetricForm>> Create(
      const CompileContext& context);

  double Value(const FigureSource& source) const override;
  absl::StatusOr<Explanation> Explain(const FigureSource& source) const override;
  void FindMissing(const FigureSource& source, MissingData& missing) const override;

 private:
  using Tests = std::array<StagePoint, kMostSeasonTests>;

  SeasonForm(const CompileContext& context, const document::BinSeason& season,
             StageReader reader)
      : context_(context), season_(season), reader_(std::move(reader)) {}

  // NaN where there is no figure.
  StagePoint Ask(const CompiledSeason& climate, const FigureSource& source,
                 int figure) const;
  // The tests, and the plan of those that there are.
  const SeasonVariant& AskTests(const CompiledSeason& climate, const FigureSource& source,
                                Tests& tests) const;

  absl::Status WhyNone(const CompiledSeason& climate, const SeasonVariant& variant,
                       const FigureSource& source) const;
  // The value of the rated figure, with all below it, of one climate.
  absl::StatusOr<Explanation> ExplainClimate(const CompiledSeason& climate,
                                             const FigureSource& source) const;

  friend class SeasonTrace;

  const CompileContext& context_;
  const document::BinSeason& season_;
  StageReader reader_;
  std::vector<CompiledSeason> climates_;  // the rated one first
  std::vector<std::string> notes_;        // on climates that cannot be computed
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_FORM_H_
