#include "engine/rating/unconfirmed.h"

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::rating {
namespace {

using document::Basis;
using document::Citation;
using document::CitedCondition;
using document::CitedValue;

class Collector {
 public:
  void Add(const std::string& fact, const Citation& citation) {
    if (citation.basis == Basis::kPublishedText) return;
    std::string basis = document::BasisName(citation.basis);
    if (basis.empty()) basis = "no basis given";
    lines_.push_back(absl::StrCat(fact, " (", citation.source, ": ", basis, ")"));
  }

  void Add(const std::string& name, const CitedValue& value) {
    Add(absl::StrCat(name, " = ", base::ShortestText(value.value),
                     value.unit.empty() ? "" : " ", value.unit),
        value.citation);
  }

  void Add(const std::string& place, const CitedCondition& condition) {
    const std::string name = absl::StrCat(condition.quantity, " ", place);
    if (condition.value) Add(name, *condition.value);
    if (!condition.load_line) return;
    const document::LoadLine& line = *condition.load_line;
    const std::string slope =
        line.full_load_input.empty()
            ? absl::StrCat(base::ShortestText(line.slope_per_percent), " x load + ",
                           base::ShortestText(line.intercept))
            : absl::StrCat("straight from ", line.full_load_input, " at 100 %");
    Add(absl::StrCat(name, " = ", slope, " above ", base::ShortestText(line.percent_low),
                     " % load, ", base::ShortestText(line.constant), " below, ",
                     line.unit),
        line.citation);
  }

  std::vector<std::string> Take() && { return std::move(lines_); }

 private:
  std::vector<std::string> lines_;
};

}  // namespace

std::vector<std::string> UnconfirmedNumbers(const document::Procedure& procedure) {
  Collector facts;
  const document::Scope& scope = procedure.scope;
  facts.Add("scope", scope.citation);
  if (scope.capacity_low) facts.Add("least nominal capacity", *scope.capacity_low);
  if (scope.capacity_high) facts.Add("nominal capacity below", *scope.capacity_high);
  facts.Add("capacity basis", procedure.capacity_basis.citation);
  for (const CitedCondition& condition : procedure.common_conditions) {
    facts.Add("of all points", condition);
  }
  for (const document::LoadPoint& point : procedure.load_points) {
    facts.Add(absl::StrCat("percent load of point ", point.id), point.percent_load);
    facts.Add(absl::StrCat("weight of point ", point.id), point.weight);
    for (const CitedCondition& condition : point.conditions) {
      facts.Add(absl::StrCat("of point ", point.id), condition);
    }
  }
  if (procedure.part_load) {
    const document::PartLoad& part_load = *procedure.part_load;
    facts.Add("window around a load", part_load.window_percent);
    facts.Add("how bracketing stages are run and interpolated",
              part_load.bracket_citation);
    for (const CitedCondition& condition : part_load.load_lines) {
      facts.Add("at a stage's own load", condition);
    }
    facts.Add("degradation slope", part_load.degradation_slope);
    facts.Add("degradation intercept", part_load.degradation_intercept);
    facts.Add("how the lowest stage cycles", part_load.cycling_citation);
  }
  for (const document::AddedPower& power : procedure.added_powers) {
    facts.Add(power.name, power.citation);
  }
  facts.Add("aggregation", procedure.aggregation_citation);
  facts.Add("unit constant", procedure.unit_constant);
  facts.Add("rounding step", procedure.rounding_step);
  return std::move(facts).Take();
}

}  // namespace ratebound::rating
