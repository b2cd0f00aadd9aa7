#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {

std::string BasisWord(v1::Basis basis) {
  switch (basis) {
    case v1::BASIS_PUBLISHED_TEXT:
      return "published text";
    case v1::BASIS_SECONDARY_TEXT:
      return "quoted elsewhere";
    case v1::BASIS_MEMORY:
      return "from memory";
    default:
      return "";
  }
}
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

}  // namespace

std::string TraceText(const google::protobuf::RepeatedPtrField<v1::TraceStep>& steps,
                      int indent) {
  TextTable table({"value", "", "how", "clause", "basis", "footing"},
                  {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft, Align::kLeft,
                   Align::kLeft});
  for (const v1::TraceStep& step : steps) {
    table.AddRow(
        {std::string(2 * step.depth(), ' ') + step.label(),
         absl::StrCat(Number(step.value()), step.unit().empty() ? "" : " ", step.unit()),
         step.how(), step.clause(), BasisWord(step.basis()),
         step.test_points().empty()
             ? FootingWord(step.footing())
             : absl::StrCat(FootingWord(step.footing()), ", ",
                            absl::StrJoin(step.test_points(), " "))});
  }
  return table.ToString(indent);
}

namespace {

std::string MinimumText(const v1::MinimumVerdict& verdict, const std::string& unit) {
  const std::string level =
      verdict.has_level()
          ? absl::StrCat(" ", Number(verdict.level()), unit.empty() ? "" : " ", unit)
          : "";
  std::string text;
  switch (verdict.outcome()) {
    case v1::MINIMUM_OUTCOME_MEETS:
      text = absl::StrCat("meets", level);
      break;
    case v1::MINIMUM_OUTCOME_DOES_NOT_MEET:
      text = absl::StrCat("DOES NOT MEET", level);
      break;
    default:
      text = "minimum level not known";
      break;
  }
  absl::StrAppend(&text, " on ", verdict.day(), " by ", verdict.minimum_levels());
  if (!verdict.clause().empty()) absl::StrAppend(&text, " (", verdict.clause());
  if (!verdict.clause().empty()) {
    const std::string basis = BasisWord(verdict.basis());
    absl::StrAppend(&text, basis.empty() ? "" : ", ", basis, ")");
  }
  if (!verdict.reason().empty()) absl::StrAppend(&text, ": ", verdict.reason());
  return text;
}

std::string UncertaintyText(const v1::MetricUncertainty& sure, bool explain) {
  std::string text =
      absl::StrCat("between ", Number(sure.low()), " and ", Number(sure.high()), " at ",
                   Number(100 * sure.confidence()), " %: standard error ",
                   Number(sure.standard_error()), " of the tests with ",
                   Number(sure.degrees_of_freedom()),
                   " degrees of freedom, instruments +-", Number(sure.systematic()));
  if (sure.method() == v1::UNCERTAINTY_METHOD_MONTE_CARLO) {
    absl::StrAppend(&text, "; by ", sure.draw_count(), " draws");
  }
  text = Wrapped(text, 4);
  for (const std::string& note : sure.notes()) text += Wrapped(note, 6);
  if (!explain || sure.contributions().empty()) return text;
  TextTable table({"what contributes to the uncertainty", "part", "kind"},
                  {Align::kLeft, Align::kRight, Align::kLeft});
  for (const v1::MetricContribution& part : sure.contributions()) {
    table.AddRow({part.source(), Number(part.value()),
                  part.systematic() ? "instruments, added up" : "tests, standard error"});
  }
  return text + table.ToString(6);
}

std::string MissingText(const v1::Rating& rating) {
  std::string text;
  for (const v1::MissingPoint& point : rating.missing_points()) {
    std::string line = point.blocking() ? "to test: " : "better tested: ";
    if (!point.point().empty()) absl::StrAppend(&line, "point ", point.point(), ", ");
    absl::StrAppend(&line, absl::StrJoin(point.quantities(), ", "));
    if (!point.stage().empty()) absl::StrAppend(&line, " of stage ", point.stage());
    if (point.conditions_size() > 0) {
      const std::vector<v1::Measure> at(point.conditions().begin(),
                                        point.conditions().end());
      absl::StrAppend(&line, " at ", Conditions(at));
    }
    if (!point.reason().empty()) absl::StrAppend(&line, ": ", point.reason());
    text += Wrapped(line, 4);
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

std::string BinsText(const v1::Rating& rating) {
  if (rating.bins().empty()) return "";
  const std::string unit = rating.bins(0).temperature_unit();
  TextTable table(
      {"climate", absl::StrCat("outdoor ", unit), "hours or part", "load kW",
       "capacity kW", "power kW", "backup kW", "efficiency", "cycling", "runs"},
      {Align::kLeft, Align::kRight, Align::kRight, Align::kRight, Align::kRight,
       Align::kRight, Align::kRight, Align::kRight, Align::kRight, Align::kLeft});
  for (const v1::BinRow& bin : rating.bins()) {
    table.AddRow({bin.climate(), Number(bin.temperature()), Number(bin.weight()),
                  Number(bin.load_w() / 1000), Number(bin.capacity_w() / 1000),
                  Number(bin.power_w() / 1000),
                  Number(bin.supplementary_power_w() / 1000), Number(bin.efficiency()),
                  Number(bin.degradation()), bin.stages()});
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

std::string RatingText(const v1::Rating& rating, bool explain) {
  std::string text;
  if (!rating.refusal().empty()) {
    absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), "  not rated by ",
                    rating.procedure(), ":\n", Wrapped(rating.refusal(), 4),
                    MissingText(rating));
    return text;
  }
  absl::StrAppend(&text, rating.unit(), "  ", rating.metric(), " ", rating.rounded(), " ",
                  rating.metric_unit(), "  (", Number(rating.value()),
                  " before rounding; ", FootingWord(rating.footing()), "; ",
                  rating.edition(), ")\n");
  if (rating.has_uncertainty()) text += UncertaintyText(rating.uncertainty(), explain);
  for (const v1::MinimumVerdict& verdict : rating.minimum_verdicts()) {
    text += Wrapped(MinimumText(verdict, rating.metric_unit()), 4);
  }
  text += CoefficientsText(rating);
  if (!explain) return text;
  absl::StrAppend(&text, MissingText(rating), TraceText(rating.trace(), 4),
                  BinsText(rating));
  for (const std::string& note : rating.notes()) text += Wrapped(note, 4);
  return text;
}

// "-0.4 (-3.1 %)"; empty where one of the two has no value.
std::string Step(const v1::Rating& from, const v1::Rating& to) {
  if (!from.has_value() || !to.has_value()) return "";
  if (from.metric_unit() != to.metric_unit()) return "another unit";
  const double step = to.value() - from.value();
  std::string text = absl::StrCat(step < 0 ? "" : "+", Number(step));
  if (from.value() != 0) {
    const double percent = 100 * step / from.value();
    absl::StrAppend(&text, " (", step < 0 ? "" : "+",
                    Number(std::round(10 * percent) / 10), " %)");
  }
  return text;
}

std::string Figure(const v1::Rating& rating) {
  return rating.has_value() ? absl::StrCat(rating.metric(), " ", rating.rounded(), " ",
                                           rating.metric_unit())
                            : "not rated";
}

// Two procedures side by side.
std::string SideBySide(const std::vector<v1::RateLineResponse>& items) {
  const v1::RateLineResponse* const any = items.empty() ? nullptr : &items[0];
  if (any == nullptr || !any->has_against()) return "";
  TextTable table({"unit", any->rating().edition(), any->against().edition(), "step"},
                  {Align::kLeft, Align::kRight, Align::kRight, Align::kRight});
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
