// The facts of a season that have a source. Private to engine/rating.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_FACTS_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_FACTS_H_

#include <string>

#include "absl/strings/str_cat.h"
#include "engine/document/season.h"

namespace ratebound::rating {

// Calls facts.Add(words, citation), facts.Add(name, cited value) and facts.Add(place,
// cited condition) for everything that the season states, in its order.
template <typename Facts>
void AddSeasonFacts(const document::BinSeason& season, Facts& facts) {
  const auto number = [&](const std::string& name, const document::SeasonNumber& of) {
    if (of.value.has_value()) facts.Add(name, *of.value);
  };
  const auto number_if = [&](const std::string& name,
                             const std::optional<document::SeasonNumber>& of) {
    if (of.has_value()) number(name, *of);
  };
  for (const document::Climate& climate : season.climates) {
    if (climate.bins.has_value()) {
      facts.Add(absl::StrCat("bins of ", climate.title), climate.bins->citation);
    }
    if (climate.hourly.has_value()) {
      facts.Add(absl::StrCat("hours of ", climate.title), climate.hourly->citation);
    }
    for (const document::ClimateValue& value : climate.values) {
      facts.Add(absl::StrCat(value.name, " of ", climate.title), value.value);
    }
  }
  for (const document::BinCondition& condition : season.bin_conditions) {
    facts.Add(absl::StrCat(condition.quantity, " over outdoor temperature"),
              condition.citation);
  }
  for (const document::SeasonTest& test : season.tests) {
    number(absl::StrCat("temperature of test ", test.id), test.temperature);
    number_if(absl::StrCat("least temperature of test ", test.id),
              test.least_temperature);
    for (const document::CitedCondition& condition : test.conditions) {
      facts.Add(absl::StrCat("of test ", test.id), condition);
    }
    if (!test.fallback.has_value()) continue;
    facts.Add(absl::StrCat("capacity factor of the default of test ", test.id),
              test.fallback->capacity_factor);
    facts.Add(absl::StrCat("power factor of the default of test ", test.id),
              test.fallback->power_factor);
  }
  const document::SeasonLoad& load = season.load;
  facts.Add("line of the load", load.citation);
  number("first temperature of the load", load.first_temperature);
  facts.Add("first part of the load", load.first_part);
  number("second temperature of the load", load.second_temperature);
  facts.Add("second part of the load", load.second_part);
  if (load.least_part.has_value()) facts.Add("least part of the load", *load.least_part);
  if (load.greatest_part.has_value()) {
    facts.Add("greatest part of the load", *load.greatest_part);
  }
  number_if("design load", load.design_load);
  for (const document::SeasonNumber& factor : load.factors) {
    number("factor on the load", factor);
  }
  for (const document::SeasonNumber& divisor : load.divisors) {
    number("divisor of the load", divisor);
  }
  if (season.staged.has_value()) {
    for (const document::StageCurve& curve : season.staged->curves) {
      for (const document::CurvePiece& piece : curve.pieces) {
        const std::string name =
            absl::StrCat("line of curve ", curve.id, " through ",
                         absl::StrCat(piece.tests.front(), " and ", piece.tests.back()));
        facts.Add(name, piece.citation);
        number_if(absl::StrCat(name, ", from"), piece.from);
        number_if(absl::StrCat(name, ", to"), piece.to);
      }
      if (curve.slopes.has_value()) {
        facts.Add(absl::StrCat("slope of curve ", curve.id), curve.slopes->citation);
      }
    }
    if (season.staged->between_citation.has_value()) {
      facts.Add("load between stages", *season.staged->between_citation);
    }
    number_if("smallest stage locked out above", season.staged->lowest_locked_above);
    number_if("smallest stage locked out below", season.staged->lowest_locked_below);
  }
  if (season.declared.has_value()) {
    facts.Add("window around the load", season.declared->window_percent);
    facts.Add("declared points and what lies between", season.declared->citation);
  }
  const auto degradation = [&](const std::string& name,
                               const std::optional<document::Degradation>& of) {
    if (!of.has_value()) return;
    facts.Add(name, of->default_coefficient);
    facts.Add(absl::StrCat("rule of the ", name), of->citation);
    if (of->rounding_step.has_value()) {
      facts.Add(absl::StrCat("rounding of the ", name), *of->rounding_step);
    }
  };
  degradation("degradation coefficient", season.degradation);
  degradation("degradation coefficient of the highest stage",
              season.highest_stage_degradation);
  if (season.cut_out.has_value()) {
    facts.Add("cut-out", season.cut_out->citation);
    number("cut-out temperature", season.cut_out->off_temperature);
    number_if("cut-in temperature", season.cut_out->on_temperature);
    if (season.cut_out->between_part.has_value()) {
      facts.Add("part on between cut-out and cut-in", *season.cut_out->between_part);
    }
  }
  if (season.backup.has_value()) {
    facts.Add("efficiency of the backup", season.backup->efficiency);
  }
  number_if("demand hours", season.demand_hours);
  for (const document::IdleMode& mode : season.idle_modes) {
    facts.Add(mode.name, mode.citation);
    number(absl::StrCat("hours of ", mode.name), mode.hours);
    number(absl::StrCat("power of ", mode.name), mode.power);
  }
  if (season.space_efficiency.has_value()) {
    facts.Add("conversion coefficient", season.space_efficiency->conversion_coefficient);
    for (const document::EfficiencyCorrection& correction :
         season.space_efficiency->corrections) {
      number(absl::StrCat("correction for ", correction.name), correction.part);
    }
  }
  if (season.defrost_credit.has_value()) {
    facts.Add("greatest gain by demand defrost", season.defrost_credit->greatest_gain);
    facts.Add("shortest interval of demand defrost",
              season.defrost_credit->shortest_interval);
    facts.Add("longest interval of demand defrost",
              season.defrost_credit->longest_interval);
  }
  for (const document::SeasonFigure& figure : season.figures) {
    facts.Add(figure.name, figure.citation);
  }
  if (season.represented_step.has_value()) {
    facts.Add("rounding step of represented values", *season.represented_step);
  }
  facts.Add("sums over the bins", season.citation);
}

// Calls name(input) for each input that a unit must give: none of those that may be
// missing.
template <typename Name>
void ForEachSeasonInput(const document::BinSeason& season, Name name) {
  const auto number = [&](const document::SeasonNumber& of) {
    if (!of.input.empty() && !of.may_be_missing) name(of.input);
  };
  const auto number_if = [&](const std::optional<document::SeasonNumber>& of) {
    if (of.has_value()) number(*of);
  };
  for (const document::SeasonTest& test : season.tests) {
    number(test.temperature);
    number_if(test.least_temperature);
  }
  number(season.load.first_temperature);
  number(season.load.second_temperature);
  number_if(season.load.design_load);
  for (const document::SeasonNumber& factor : season.load.factors) number(factor);
  for (const document::SeasonNumber& divisor : season.load.divisors) number(divisor);
  if (season.staged.has_value()) {
    for (const document::StageCurve& curve : season.staged->curves) {
      for (const document::CurvePiece& piece : curve.pieces) {
        number_if(piece.from);
        number_if(piece.to);
      }
    }
    number_if(season.staged->lowest_locked_above);
    number_if(season.staged->lowest_locked_below);
  }
  if (season.cut_out.has_value()) {
    number(season.cut_out->off_temperature);
    number_if(season.cut_out->on_temperature);
  }
  number_if(season.demand_hours);
  for (const document::IdleMode& mode : season.idle_modes) {
    number(mode.hours);
    number(mode.power);
  }
  if (season.space_efficiency.has_value()) {
    for (const document::EfficiencyCorrection& correction :
         season.space_efficiency->corrections) {
      number(correction.part);
    }
  }
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_FACTS_H_
