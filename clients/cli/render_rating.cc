#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

namespace {

// Numbers that nobody here read in the document, by where they are said to stand.
class Unconfirmed {
 public:
  // "weight of point A = 0.02 (AHRI 340/360-2022, IEER equation: SECONDARY_TEXT)"
  void Add(const std::string& procedure, const std::string& number) {
    const size_t open = number.find(" (");
    const size_t colon = number.rfind(": ");
    std::string source = procedure;
    std::string what = number;
    if (open != std::string::npos && colon != std::string::npos && open < colon &&
        number.back() == ')') {
      const std::string basis = number.substr(colon + 2, number.size() - colon - 3);
      source = absl::StrCat(procedure, ", ", number.substr(open + 2, colon - open - 2),
                            basis == "MEMORY"           ? " (from memory)"
                            : basis == "SECONDARY_TEXT" ? " (quoted elsewhere)"
                                                        : absl::StrCat(" (", basis, ")"));
      what = number.substr(0, open);
    }
    const auto [found, fresh] = places_.try_emplace(source, sources_.size());
    if (fresh) sources_.push_back({source, {}});
    std::vector<std::string>& numbers = sources_[found->second].second;
    if (std::find(numbers.begin(), numbers.end(), what) == numbers.end()) {
      numbers.push_back(what);
    }
  }
  std::string Text() const {
    if (sources_.empty()) return "";
    std::string text =
        "\nNot read in the published document; confirm against a licensed copy before "
        "publication:\n";
    for (const auto& [source, numbers] : sources_) {
      absl::StrAppend(&text, Wrapped(source + ":", 2),
                      Wrapped(absl::StrJoin(numbers, "; "), 6));
    }
    return text;
  }

 private:
  std::map<std::string, size_t> places_;
  std::vector<std::pair<std::string, std::vector<std::string>>> sources_;
};

// Contributions that are a smaller part of the greatest are only counted.
constexpr double kLeastPart = 0.005;
// Points to test that are listed of a rating unless all is to be explained.
constexpr int kMostMissingPoints = 12;

double Step10(int decimals) {
  double step = 1;
  for (int i = 0; i < decimals; ++i) step /= 10;
  return step;
}

std::string UncertaintyText(const v1::MetricUncertainty& sure, bool explain) {
  // Rounded outwards, so that the interval printed holds the one computed.
  const double half_width = std::max((sure.high() - sure.low()) / 2, 0.0);
  const int decimals = DecimalsBeside(half_width);
  const double step = Step10(decimals);
  std::string text = absl::StrCat(
      absl::StrFormat("%.*f to %.*f", decimals, std::floor(sure.low() / step) * step,
                      decimals, std::ceil(sure.high() / step) * step),
      " at ", Number(100 * sure.confidence()), " %: scatter of the tests ",
      Rough(sure.standard_error()), " (standard error, ",
      Number(sure.degrees_of_freedom()), " degrees of freedom), ",
      sure.systematic() > 0 ? absl::StrCat("instruments +-", Rough(sure.systematic()))
                            : "no instrument errors known");
  if (sure.method() == v1::UNCERTAINTY_METHOD_MONTE_CARLO) {
    absl::StrAppend(&text, "; by ", sure.draw_count(), " draws");
    if (sure.failed_draw_count() > 0) {
      absl::StrAppend(&text, ", ", sure.failed_draw_count(), " without a figure");
    }
  }
  text = Wrapped(text, 4);
  for (const std::string& note : sure.notes()) text += Wrapped(note, 6);
  if (!explain || sure.contributions().empty()) return text;
  TextTable table({"what contributes to the uncertainty", "part", "kind"},
                  {Align::kLeft, Align::kRight, Align::kLeft});
  double greatest = 0;
  for (const v1::MetricContribution& part : sure.contributions()) {
    greatest = std::max(greatest, part.value());
  }
  int small_count = 0;
  for (const v1::MetricContribution& part : sure.contributions()) {
    if (part.value() < kLeastPart * greatest || part.value() == 0) {
      ++small_count;
      continue;
    }
    table.AddRow({part.source(), Rough(part.value()),
                  part.systematic() ? "instruments, added up" : "tests, standard error"});
  }
  text += table.ToString(6);
  if (small_count == 0) return text;
  return text + Wrapped(absl::StrCat("and ", small_count, " below ",
                                     Number(100 * kLeastPart), " % of the greatest"),
                        6);
}

// At most `most_points` points to test.
std::string MissingText(const v1::Rating& rating, int most_points) {
  std::string text;
  const int hidden_count = rating.missing_points_size() - most_points;
  for (const v1::MissingPoint& point : rating.missing_points()) {
    if (most_points-- <= 0) break;
    std::string line = point.blocking() ? "to test: " : "better tested: ";
    if (!point.point().empty()) absl::StrAppend(&line, "point ", point.point(), ", ");
    absl::StrAppend(&line, absl::StrJoin(point.quantities(), ", "));
    if (!point.stage().empty()) absl::StrAppend(&line, " of stage ", point.stage());
    if (point.conditions_size() > 0) {
      const std::vector<v1::Measure> at(point.conditions().begin(),
                                        point.conditions().end());
      absl::StrAppend(&line, " at ", Conditions(at));
    }
    if (!point.reason().empty() && point.reason() != rating.refusal()) {
      absl::StrAppend(&line, ": ", point.reason());
    }
    text += Wrapped(line, 4);
  }
  if (hidden_count > 0) {
    text += Wrapped(absl::StrCat("and ", Count(hidden_count, "point"),
                                 " more; see --explain or --output json"),
                    4);
  }
  for (const v1::MissingInput& input : rating.missing_inputs()) {
    text += Wrapped(
        absl::StrCat("to declare in the manifest: ", input.input(),
                     input.unit().empty() ? "" : absl::StrCat(" in ", input.unit()), ": ",
                     input.description()),
        4);
  }
  return text;
}

std::string Kilowatts(double watts) { return absl::StrFormat("%.2f", watts / 1000); }

std::string BinsText(const v1::Rating& rating) {
  if (rating.bins().empty()) return "";
  const std::string unit = rating.bins(0).temperature_unit();
  TextTable table(
      {"climate", absl::StrCat("outdoor ", unit), "hours or part", "load kW",
       "capacity kW", "power kW", "backup kW", "efficiency", "cycling factor", "runs"},
      {Align::kLeft, Align::kRight, Align::kRight, Align::kRight, Align::kRight,
       Align::kRight, Align::kRight, Align::kRight, Align::kRight, Align::kLeft});
  for (const v1::BinRow& bin : rating.bins()) {
    table.AddRow({bin.climate(), Number(bin.temperature()), Number(bin.weight()),
                  Kilowatts(bin.load_w()), Kilowatts(bin.capacity_w()),
                  Kilowatts(bin.power_w()), Kilowatts(bin.supplementary_power_w()),
                  absl::StrFormat("%.3f", bin.efficiency()),
                  absl::StrFormat("%.3f", bin.degradation()), bin.stages()});
  }
  return table.ToString(4);
}

std::string CoefficientsText(const v1::Rating& rating) {
  if (rating.coefficient_sets().empty()) return "";
  TextTable table({"stage", "quantity", "unit", "temperatures", "c1 to c10", "off by"},
                  {Align::kLeft, Align::kLeft, Align::kLeft, Align::kLeft, Align::kLeft,
                   Align::kRight});
  for (const v1::CoefficientSet& set : rating.coefficient_sets()) {
    std::vector<std::string> numbers;
    for (double coefficient : set.coefficients()) numbers.push_back(Exact(coefficient));
    table.AddRow({set.stage(), set.quantity(), set.unit(), set.temperature_unit(),
                  absl::StrJoin(numbers, " "),
                  absl::StrCat(Number(100 * set.greatest_deviation_fraction()), " %")});
  }
  return table.ToString(4);
}

std::string Figure(const v1::Rating& rating) {
  return rating.has_value() ? absl::StrCat(rating.metric(), " ", rating.rounded(), " ",
                                           rating.metric_unit())
                            : "not rated";
}

std::string RatingText(const v1::Rating& rating, bool explain) {
  const int most_points = explain ? rating.missing_points_size() : kMostMissingPoints;
  std::string text;
  if (!rating.refusal().empty()) {
    absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), " not rated by ",
                    rating.procedure(), ":\n", Wrapped(rating.refusal(), 4),
                    MissingText(rating, most_points));
    return text;
  }
  absl::StrAppend(
      &text, rating.unit(), "  ", Figure(rating), " by ", rating.procedure(), "\n",
      Wrapped(absl::StrCat(rating.edition(), "; ", FootingWord(rating.footing()), "; ",
                           Number(rating.value()), " before rounding"),
              4));
  if (rating.has_uncertainty()) {
    text += UncertaintyText(rating.uncertainty(), explain);
    if (rating.footing() == v1::FOOTING_EXTRAPOLATED) {
      text +=
          Wrapped("neither part tells how far the map errs beyond the tested range", 4);
    }
  } else if (!explain) {
    text += Wrapped("without an uncertainty: --explain says why", 4);
  }
  for (const v1::MinimumVerdict& verdict : rating.minimum_verdicts()) {
    text += Wrapped(MinimumText(verdict, rating.metric_unit()), 4);
  }
  absl::StrAppend(&text, CoefficientsText(rating), MissingText(rating, most_points));
  if (!explain) return text;
  absl::StrAppend(&text, TraceText(rating.trace(), 4), BinsText(rating));
  for (const std::string& note : rating.notes()) text += Wrapped(note, 4);
  return text;
}

// "-0.412 (-3.1 %)"; empty where one of the two has no value.
std::string Step(const v1::Rating& from, const v1::Rating& to) {
  if (!from.has_value() || !to.has_value()) return "";
  if (from.metric_unit() != to.metric_unit()) return "another unit";
  const double step = to.value() - from.value();
  std::string text = absl::StrCat(step < 0 ? "" : "+", absl::StrFormat("%.3g", step));
  if (from.value() != 0) {
    const double percent = 100 * step / from.value();
    absl::StrAppend(&text, absl::StrFormat(" (%+.1f %%)", percent));
  }
  return text;
}

// Two procedures side by side.
std::string SideBySide(const std::vector<v1::RateLineResponse>& items) {
  const v1::RateLineResponse* const any = items.empty() ? nullptr : &items[0];
  if (any == nullptr || !any->has_against()) return "";
  TextTable table({"unit", any->rating().procedure(), any->against().procedure(), "step"},
                  {Align::kLeft, Align::kLeft, Align::kLeft, Align::kRight});
  for (const v1::RateLineResponse& item : items) {
    table.AddRow({item.rating().unit(), Figure(item.rating()), Figure(item.against()),
                  Step(item.rating(), item.against())});
  }
  return absl::StrCat("\n", table.ToString());
}

// Who falls below a minimum, by any of the procedures.
std::string BelowText(const std::vector<v1::RateLineResponse>& items) {
  bool asked = false;
  std::vector<std::string> below;
  const auto look = [&](const v1::Rating& rating) {
    for (const v1::MinimumVerdict& verdict : rating.minimum_verdicts()) {
      asked = true;
      if (verdict.outcome() != v1::MINIMUM_OUTCOME_DOES_NOT_MEET) continue;
      below.push_back(absl::StrCat(rating.unit(), " by ", rating.procedure(), ": ",
                                   Figure(rating), " against ", Number(verdict.level())));
    }
  };
  for (const v1::RateLineResponse& item : items) {
    look(item.rating());
    if (item.has_against()) look(item.against());
  }
  if (!asked) return "";
  if (below.empty()) return "\nNo unit was found below a minimum level that is known.\n";
  std::string text = "\nBelow a minimum level:\n";
  for (const std::string& line : below) text += Wrapped(line, 2);
  return text;
}

}  // namespace

std::string RatingsText(const std::vector<v1::RateLineResponse>& items, bool explain) {
  std::string text;
  Unconfirmed unconfirmed;
  const auto add = [&](const v1::Rating& rating) {
    text += RatingText(rating, explain);
    if (!rating.has_value()) return;  // nothing to publish yet
    for (const std::string& number : rating.unconfirmed_numbers()) {
      unconfirmed.Add(rating.procedure(), number);
    }
  };
  for (const v1::RateLineResponse& item : items) {
    add(item.rating());
    if (item.has_against()) add(item.against());
  }
  absl::StrAppend(&text, SideBySide(items), BelowText(items), unconfirmed.Text(),
                  "\nComputed figures, not certified ratings.\n");
  return text;
}

}  // namespace ratebound::cli
