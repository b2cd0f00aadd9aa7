// The steps of compile_season.h. Private to engine/rating/season.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_COMPILER_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_COMPILER_H_

#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/season.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/season/compile_season.h"
#include "engine/rating/season/season_plan.h"
#include "engine/rating/season/season_values.h"

namespace ratebound::rating {

// Where a piece of a curve holds.
struct PieceRange {
  double from = 0;
  double to = 0;
};

class SeasonCompiler {
 public:
  SeasonCompiler(const CompileContext& context, const document::BinSeason& season,
                 int climate)
      : context_(context),
        season_(season),
        climate_(season.climates[climate]),
        values_(season, climate_, context.inputs) {
    compiled_.climate = climate;
  }

  absl::StatusOr<CompiledSeason> Compile();

 private:
  // Numbers (season_numbers.cc): all but the tests and curves of the plan.
  absl::Status FindNumbers();
  absl::Status FindBins();
  absl::Status FindLoad();
  absl::Status FindOnParts();
  absl::Status FindStageLock();
  absl::Status FindCoefficients();
  absl::Status FindYear();
  double PartOfLoad(double temperature) const;

  // Tests and places (compile_season.cc).
  absl::Status FindTests();
  void MarkUsed();
  absl::Status FindPieceRanges();
  absl::Status Place();
  int TestIndex(const std::string& id) const;

  // Plans (season_variant.cc).
  SeasonVariant Variant(int optional_set) const;
  void AddTests(int optional_set, SeasonVariant& variant) const;
  void AddDeclared(SeasonVariant& variant) const;
  void AddCurves(SeasonVariant& variant) const;
  bool AddPieces(int curve, SeasonVariant& variant, CurvePlan& plan) const;
  bool AddSlope(int curve, SeasonVariant& variant, CurvePlan& plan) const;
  LinePoint LineAt(const SeasonVariant& variant, int curve, double temperature,
                   absl::Status& status) const;
  bool Have(const SeasonVariant& variant, const std::string& test) const;
  bool HaveAll(const SeasonVariant& variant, const std::vector<std::string>& tests) const;
  void Miss(const std::vector<std::string>& tests, SeasonVariant& variant) const;
  int CurveIndex(const std::string& id) const;
  absl::Status MissingTests(const SeasonVariant& variant) const;

  const CompileContext& context_;
  const document::BinSeason& season_;
  const document::Climate& climate_;
  SeasonValues values_;
  CompiledSeason compiled_;
  SeasonPlan base_;
  double first_temperature_ = 0;  // of the load's line
  double second_temperature_ = 1;
  std::vector<bool> used_;                       // tests
  std::vector<bool> tested_by_input_;            // tests whose default an input rules out
  std::vector<std::vector<PieceRange>> ranges_;  // by curve and piece
  std::vector<int> declared_first_;              // further figures, by test; -1 for none
  std::vector<int> map_first_;                   // the same by curve or stage
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_COMPILER_H_
