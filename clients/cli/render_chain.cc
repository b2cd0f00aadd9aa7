#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "clients/cli/display_unit.h"
#include "clients/cli/render.h"
#include "clients/cli/text_table.h"

namespace ratebound::cli {
namespace {

std::string WithUnit(const std::string& quantity, double value_si, bool inch_pound) {
  const Displayed shown = Display(quantity, value_si, inch_pound);
  return absl::StrCat(Number(shown.value), shown.unit.empty() ? "" : " ", shown.unit);
}

// A difference of the quantity, with two digits as uncertainties are stated.
std::string Difference(const std::string& quantity, double difference_si,
                       bool inch_pound) {
  const double shown = difference_si * Display(quantity, 0, inch_pound).scale;
  const double size = std::fabs(shown);
  if (size >= 10) return absl::StrFormat("%.0f", shown);
  return absl::StrFormat("%.2g", shown);
}

// A value to the place of the second digit of its uncertainty.
std::string ToPlace(const std::string& quantity, double value_si, double uncertainty_si,
                    bool inch_pound) {
  const Displayed shown = Display(quantity, value_si, inch_pound);
  double scaled = uncertainty_si * shown.scale;
  if (!(scaled > 0)) return WithUnit(quantity, value_si, inch_pound);
  int decimals = 0;
  for (; scaled < 9.95 && decimals < 8; ++decimals) scaled *= 10;
  return absl::StrCat(absl::StrFormat("%.*f", decimals, shown.value),
                      shown.unit.empty() ? "" : " ", shown.unit);
}

std::string Values(const v1::TestPoint& point, bool inch_pound) {
  const bool any_lab =
      std::any_of(point.values().begin(), point.values().end(),
                  [](const v1::SiValue& value) { return value.has_lab_value_si(); });
  std::vector<std::string> header = {"quantity", "value", "+- 95 %", "from"};
  if (any_lab) header.push_back("lab's figure");
  TextTable table(
      header, {Align::kLeft, Align::kRight, Align::kRight, Align::kLeft, Align::kRight});
  for (const v1::SiValue& value : point.values()) {
    const std::string& quantity = value.quantity();
    const double expanded_si = value.uncertainty().expanded_si();
    std::vector<std::string> row = {
        quantity, ToPlace(quantity, value.value_si(), expanded_si, inch_pound),
        value.has_uncertainty() ? Difference(quantity, expanded_si, inch_pound)
                                : "not known",
        value.computed() ? "computed" : "read"};
    if (any_lab) {
      row.push_back(value.has_lab_value_si()
                        ? WithUnit(quantity, value.lab_value_si(), inch_pound)
                        : "");
    }
    table.AddRow(std::move(row));
  }
  return table.ToString(2);
}

// Steps with the clauses they rest on numbered, and the clauses below.
std::string Steps(const google::protobuf::RepeatedPtrField<v1::TraceStep>& steps) {
  TextTable table({"step", "value", "", "how"},
                  {Align::kLeft, Align::kRight, Align::kLeft, Align::kLeft});
  std::vector<std::string> clauses;
  for (const v1::TraceStep& step : steps) {
    std::string mark;
    if (!step.clause().empty()) {
      const std::string clause = absl::StrCat(
          step.clause(), step.basis() == v1::BASIS_PUBLISHED_TEXT
                             ? ""
                             : absl::StrCat(" (", BasisWord(step.basis()), ")"));
      const auto found = std::find(clauses.begin(), clauses.end(), clause);
      mark = absl::StrCat(" [", found - clauses.begin() + 1, "]");
      if (found == clauses.end()) clauses.push_back(clause);
    }
    table.AddRow({std::string(2 * step.depth(), ' ') + step.label(), Number(step.value()),
                  step.unit() == "1" ? "" : step.unit(), step.how() + mark});
  }
  std::string text = table.ToString(2);
  for (size_t i = 0; i < clauses.size(); ++i) {
    absl::StrAppend(&text, "  [", i + 1, "] ", clauses[i], "\n");
  }
  return text;
}

constexpr double kLeastShareShown = 0.005;
// Beyond this many the t factor is that of the normal distribution to three digits.
constexpr double kManyDegreesOfFreedom = 1000;

// What a rating rests on; other budgets are for --all.
bool IsTelling(const std::string& quantity) {
  for (const char* telling :
       {"total_capacity", "sensible_capacity", "heating_capacity", "power_input",
        "moisture_removal", "heat_balance", "integrated_heating_capacity"}) {
    if (quantity == telling) return true;
  }
  return false;
}

std::string BudgetText(const v1::UncertaintyBudget& budget, bool inch_pound, bool all) {
  const std::string& quantity = budget.quantity();
  const v1::ValueUncertainty& u = budget.uncertainty();
  const double freedom = u.degrees_of_freedom();
  std::string text = absl::StrCat(
      "  ", quantity, " ",
      ToPlace(quantity, budget.value_si(), u.expanded_si(), inch_pound), " +- ",
      Difference(quantity, u.expanded_si(), inch_pound), " (standard: random ",
      Difference(quantity, u.random_standard_si(), inch_pound), ", systematic ",
      Difference(quantity, u.systematic_standard_si(), inch_pound), "; ",
      freedom > 0 && freedom < kManyDegreesOfFreedom
          ? absl::StrFormat("%.3g effective degrees of freedom", freedom)
          : std::string("degrees of freedom unlimited"),
      ")\n");
  TextTable table(
      {"share", "contribution", "part", "reading", "source"},
      {Align::kRight, Align::kRight, Align::kLeft, Align::kLeft, Align::kLeft});
  for (const v1::UncertaintyContribution& line : budget.contributions()) {
    // A share is negative where an error cancels others.
    if (!all && std::fabs(line.share()) < kLeastShareShown) continue;
    table.AddRow({absl::StrFormat("%.1f %%", 100 * line.share()),
                  Difference(quantity, line.contribution_si(), inch_pound),
                  line.systematic() ? "systematic" : "random", line.input(),
                  line.name()});
  }
  return text + table.ToString(4);
}

std::string Budgets(const v1::PointChain& chain, bool inch_pound, bool all) {
  const bool any_telling = std::any_of(
      chain.budgets().begin(), chain.budgets().end(),
      [](const v1::UncertaintyBudget& budget) { return IsTelling(budget.quantity()); });
  std::string text;
  int others = 0;
  for (const v1::UncertaintyBudget& budget : chain.budgets()) {
    if (all || !any_telling || IsTelling(budget.quantity())) {
      text += BudgetText(budget, inch_pound, all);
    } else {
      ++others;
    }
  }
  if (others > 0) {
    absl::StrAppend(&text, "  and ", others, " of other quantities (--all shows them)\n");
  }
  return text;
}

std::string MonteCarlo(const v1::PointChain& chain, bool inch_pound) {
  std::string text = absl::StrCat("\nBy drawing the readings ",
                                  chain.monte_carlo(0).draw_count(), " times\n");
  for (const v1::MonteCarloFigure& figure : chain.monte_carlo()) {
    const std::string& quantity = figure.quantity();
    const double standard_si = figure.standard_deviation_si();
    const auto shown = [&](double value_si) {
      return ToPlace(quantity, value_si, standard_si, inch_pound);
    };
    absl::StrAppend(&text, "  ", quantity, " ", shown(figure.mean_si()),
                    ", standard deviation ",
                    Difference(quantity, standard_si, inch_pound), "; 95 % lie within ",
                    shown(figure.low_si()), " to ", shown(figure.high_si()),
                    figure.adequate() ? ", as the linear answer has it"
                                      : "; the linear interval is not adequate here",
                    "\n");
  }
  return text;
}

}  // namespace

std::string ChainText(const v1::PointChain& chain, bool inch_pound, bool all) {
  const v1::TestPoint& point = chain.point();
  std::string text = absl::StrCat("point ", point.id(), "  (", point.file(), ":",
                                  point.line(), ")  ", point.unit());
  for (const std::string& label : {point.mode(), point.stage(), point.curve()}) {
    if (!label.empty()) absl::StrAppend(&text, "/", label);
  }
  for (const auto& [name, label] : {std::pair{"block", point.block()},
                                    {"specimen", point.specimen()},
                                    {"regime", point.regime()},
                                    {"tested on", point.tested_on()}}) {
    if (!label.empty()) absl::StrAppend(&text, ", ", name, " ", label);
  }
  text += "\n";
  if (!point.dropped_reason().empty()) {
    absl::StrAppend(&text, "dropped by the manifest: ", point.dropped_reason(), "\n");
  }
  absl::StrAppend(&text, Values(point, inch_pound));
  if (chain.steps_size() > 0) {
    absl::StrAppend(&text, "\nHow it was computed, in the methods' own units\n",
                    Steps(chain.steps()));
  }
  if (chain.budgets_size() > 0) {
    absl::StrAppend(&text, "\nWhere the uncertainty comes from\n",
                    Budgets(chain, inch_pound, all));
  }
  if (chain.monte_carlo_size() > 0) text += MonteCarlo(chain, inch_pound);
  if (chain.findings_size() > 0) {
    text += "\nWhat the check found on it\n";
    for (const v1::Finding& finding : chain.findings()) {
      absl::StrAppendFormat(&text, "  %-8s %s\n", SeverityWord(finding.severity()),
                            finding.message());
    }
  }
  return text;
}

std::string ChainCsv(const v1::PointChain& chain) {
  TextTable table({"depth", "label", "value", "unit", "how", "clause"}, {});
  for (const v1::TraceStep& step : chain.steps()) {
    table.AddRow({absl::StrCat(step.depth()), step.label(), Exact(step.value()),
                  step.unit(), step.how(), step.clause()});
  }
  return table.ToCsv();
}

}  // namespace ratebound::cli
