// Ratings and their bins as CSV.
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

std::string RatingsCsv(const std::vector<v1::RateLineResponse>& items) {
  TextTable table({"unit", "procedure", "edition", "metric", "metric_unit", "value",
                   "rounded", "low", "high", "standard_error", "systematic", "confidence",
                   "footing", "minimum", "refusal", "missing", "unconfirmed", "notes"},
                  {});
  const auto add = [&](const v1::Rating& rating) {
    const v1::MetricUncertainty& sure = rating.uncertainty();
    const auto figure = [&](double value) {
      return rating.has_uncertainty() ? Exact(value) : "";
    };
    std::vector<std::string> minimums, missing;
    for (const v1::MinimumVerdict& verdict : rating.minimum_verdicts()) {
      minimums.push_back(MinimumText(verdict, rating.metric_unit()));
    }
    for (const v1::MissingPoint& point : rating.missing_points()) {
      const std::vector<v1::Measure> at(point.conditions().begin(),
                                        point.conditions().end());
      missing.push_back(absl::StrCat(absl::StrJoin(point.quantities(), " "), " of stage ",
                                     point.stage(), " at ", Conditions(at)));
    }
    for (const v1::MissingInput& input : rating.missing_inputs()) {
      missing.push_back(absl::StrCat("input ", input.input()));
    }
    table.AddRow({rating.unit(), rating.procedure(), rating.edition(), rating.metric(),
                  rating.metric_unit(), rating.has_value() ? Exact(rating.value()) : "",
                  rating.rounded(), figure(sure.low()), figure(sure.high()),
                  figure(sure.standard_error()), figure(sure.systematic()),
                  figure(sure.confidence()), FootingWord(rating.footing()),
                  absl::StrJoin(minimums, "; "), rating.refusal(),
                  absl::StrJoin(missing, "; "),
                  absl::StrJoin(rating.unconfirmed_numbers(), "; "),
                  absl::StrJoin(rating.notes(), "; ")});
  };
  for (const v1::RateLineResponse& item : items) {
    add(item.rating());
    if (item.has_against()) add(item.against());
  }
  return table.ToCsv();
}

std::string BinsCsv(const std::vector<v1::RateLineResponse>& items) {
  TextTable table({"unit", "procedure", "climate", "temperature", "temperature_unit",
                   "weight", "load_w", "capacity_w", "power_w", "supplementary_power_w",
                   "efficiency", "degradation", "stages"},
                  {});
  const auto add = [&](const v1::Rating& rating) {
    for (const v1::BinRow& bin : rating.bins()) {
      table.AddRow({rating.unit(), rating.procedure(), bin.climate(),
                    Exact(bin.temperature()), bin.temperature_unit(), Exact(bin.weight()),
                    Exact(bin.load_w()), Exact(bin.capacity_w()), Exact(bin.power_w()),
                    Exact(bin.supplementary_power_w()), Exact(bin.efficiency()),
                    Exact(bin.degradation()), bin.stages()});
    }
  };
  for (const v1::RateLineResponse& item : items) {
    add(item.rating());
    if (item.has_against()) add(item.against());
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
