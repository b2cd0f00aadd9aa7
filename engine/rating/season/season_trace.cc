// A season with its work shown: figures, load, tests and coefficients as a trace, and
// every bin with what ran in it as a row.
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/rounding.h"
#include "engine/rating/season/declared_points.h"
#include "engine/rating/season/season_form.h"

namespace ratebound::rating {

using base::ShortestText;
using document::Footing;
using document::SeasonFigureKind;

namespace {

TraceNode Cited(TraceNode node, const document::Citation& citation) {
  node.step.clause = citation.source;
  node.step.basis = citation.basis;
  return node;
}

std::string Watts(double value_w) { return absl::StrFormat("%.1f W", value_w); }

// A sum over bins, of watts times hours or times parts of a season.
std::string Kilowatts(double sum_w) {
  return absl::StrFormat("%.*f", std::fabs(sum_w) < 1e6 ? 3 : 1, sum_w / 1000);
}

}  // namespace

class SeasonTrace {
 public:
  SeasonTrace(const SeasonForm& form, const CompiledSeason& climate,
              const FigureSource& source)
      : form_(form),
        season_(form.season_),
        climate_(climate),
        source_(source),
        variant_(form.AskTests(climate, source, raw_)) {}

  absl::StatusOr<Explanation> Explain() {
    RETURN_IF_ERROR(variant_.status);
    class Figures : public FurtherFigures {
     public:
      explicit Figures(const SeasonTrace& trace) : trace_(trace) {}
      StagePoint Figure(int index) const override {
        return trace_.form_.Ask(trace_.climate_, trace_.source_, index);
      }

     private:
      const SeasonTrace& trace_;
    };
    const std::span<const StagePoint> raw{raw_.data(), climate_.tests.size()};
    sums_ = SumSeason(variant_.plan, raw, Figures(*this), bins_);
    tests_ = TestsWithDefaults(variant_.plan, raw);
    const double value = SeasonFigureOf(variant_.plan, sums_, season_.rated_figure);
    if (!std::isfinite(value)) return form_.WhyNone(climate_, variant_, source_);

    Explanation told{.value = value};
    for (const document::SeasonFigure& figure : season_.figures) {
      TraceNode node = FigureNode(figure);
      if (figure.kind == season_.rated_figure) {
        told.trace = std::move(node);
      } else {
        figures_.push_back(std::move(node));
      }
    }
    if (told.trace.step.label.empty()) {
      told.trace = FigureNode(
          {season_.rated_figure, form_.context_.procedure.metric, season_.citation});
    }
    std::vector<TraceNode>& inputs = told.trace.inputs;
    inputs = std::move(figures_);
    if (season_.represented_step.has_value()) inputs.push_back(RepresentedNode(value));
    inputs.push_back(LoadNode());
    for (const TraceNode& number : climate_.numbers) inputs.push_back(number);
    AddTests(inputs);
    AddIdle(inputs);
    inputs.push_back(BinsNode());
    told.footing = footing_;
    told.footing_reason = footing_reason_;
    told.trace.step.footing = footing_;
    return told;
  }

  std::vector<document::BinRow> Rows() const {
    std::vector<document::BinRow> rows;
    for (const BinResult& bin : bins_) {
      rows.push_back({.climate = Climate().id,
                      .temperature = bin.temperature,
                      .temperature_unit = season_.temperature_unit,
                      .weight = bin.weight,
                      .load_w = bin.load_w,
                      .capacity_w = bin.capacity_w,
                      .power_w = bin.power_w,
                      .supplementary_power_w = bin.backup_power_w,
                      .efficiency = EfficiencyOf(bin),
                      .degradation = bin.degradation,
                      .stages = Running(bin)});
    }
    return rows;
  }

 private:
  const document::Climate& Climate() const { return season_.climates[climate_.climate]; }

  // In the unit of the metric; in W/W where that is percent.
  double EfficiencyOf(const BinResult& bin) const {
    if (!(bin.power_w > 0)) return 0;
    return variant_.plan.unit_factor * bin.capacity_w / bin.power_w;
  }
  std::string EfficiencyUnit() const {
    return season_.rated_figure == SeasonFigureKind::kSpace
               ? "W/W"
               : form_.context_.procedure.metric_unit;
  }

  void RestsOn(const FigureFooting& footing, const std::string& what) {
    if (document::Weaker(footing_, footing.footing) != footing_) {
      footing_reason_ =
          absl::StrCat(what, " is ", document::FootingName(footing.footing));
      if (!footing.reason.empty())
        absl::StrAppend(&footing_reason_, ": ", footing.reason);
    }
    footing_ = document::Weaker(footing_, footing.footing);
  }

  TraceNode FigureNode(const document::SeasonFigure& figure) const {
    const SeasonPlan& plan = variant_.plan;
    TraceNode node{.step = {.label = figure.name,
                            .value = SeasonFigureOf(plan, sums_, figure.kind),
                            .unit = figure.kind == SeasonFigureKind::kSpace
                                        ? "%"
                                        : EfficiencyUnit()}};
    switch (figure.kind) {
      case SeasonFigureKind::kActive:
        node.step.how =
            absl::StrCat("load met ", Kilowatts(sums_.counted), " over power ",
                         Kilowatts(sums_.used), ", in kW times weight");
        break;
      case SeasonFigureKind::kNet:
        node.step.how =
            absl::StrCat("by the unit alone: ", Kilowatts(sums_.unit_counted), " over ",
                         Kilowatts(sums_.unit_used), ", in kW times weight");
        break;
      case SeasonFigureKind::kAnnual:
        node.step.how =
            plan.demand_hours > 0
                ? absl::StrCat("demand of a year, ", Watts(sums_.design_load_w), " for ",
                               ShortestText(plan.demand_hours),
                               " h, over its use with idle modes")
                : "load met over power, idle modes included";
        break;
      case SeasonFigureKind::kSpace:
        node.step.how = absl::StrCat(
            "annual efficiency / ", ShortestText(plan.conversion_coefficient), " less ",
            absl::StrFormat("%.6g", 100 * plan.corrections), " %", HoldsText());
        break;
    }
    return Cited(std::move(node), figure.citation);
  }

  std::string HoldsText() const {
    if (!season_.space_efficiency.has_value()) return "";
    const document::SpaceEfficiency& space = *season_.space_efficiency;
    std::string text;
    if (!space.holds_from.empty()) {
      absl::StrAppend(&text, "; the coefficient holds from ", space.holds_from);
    }
    if (!space.holds_until.empty()) {
      absl::StrAppend(&text, text.empty() ? "; the coefficient holds" : "", " until ",
                      space.holds_until);
    }
    return text;
  }

  TraceNode RepresentedNode(double value) const {
    const document::CitedValue& step = *season_.represented_step;
    const double rounded =
        std::floor(value / step.value * (1 + 1e-12) + 0.5) * step.value;
    return Cited({.step = {.label = "represented value",
                           .value = rounded,
                           .unit = form_.context_.procedure.metric_unit,
                           .how = absl::StrCat("rounded to ", ShortestText(step.value))}},
                 step.citation);
  }

  TraceNode LoadNode() const {
    const LoadPlan& load = variant_.plan.load;
    std::string how = "stated";
    if (load.size_test >= 0) {
      how = absl::StrCat(ShortestText(load.size), " times the capacity of test ",
                         season_.tests[load.size_test].id);
    }
    return Cited({.step = {.label = "design load",
                           .value = sums_.design_load_w,
                           .unit = "W",
                           .how = how}},
                 season_.load.citation);
  }

  void AddTests(std::vector<TraceNode>& nodes) {
    for (size_t i = 0; i < season_.tests.size(); ++i) {
      const SeasonRequest& request = climate_.requests[i];
      const std::string label = absl::StrCat("test ", season_.tests[i].id);
      if (variant_.tests[i] == TestUse::kTested) {
        const std::span<const double> conditions_si =
            climate_.conditions->ValuesSi(request.place);
        StageRun run;
        if (!form_.reader_.Run(source_, request.stage, conditions_si, run)) continue;
        TraceNode node =
            form_.reader_.Trace(source_, run, conditions_si,
                                climate_.conditions->Trace(request.place), label);
        node.step.label = absl::StrCat(label, ", ", node.step.label);
        node.step.unit = EfficiencyUnit();
        node.step.how = "at the conditions of the test";
        nodes.push_back(std::move(node));
        RestsOn(source_.Footing(request.stage, conditions_si), label);
      } else if (variant_.tests[i] == TestUse::kDefault) {
        nodes.push_back(DefaultNode(static_cast<int>(i), label));
      }
    }
    AddFurther(nodes);
  }

  TraceNode DefaultNode(int test, const std::string& label) const {
    const document::TestDefault& fallback = *season_.tests[test].fallback;
    const TestPlan& plan = variant_.plan.tests[test];
    TraceNode node{
        .step = {.label = label,
                 .value = variant_.plan.unit_factor * tests_[test].capacity_w /
                          tests_[test].power_w,
                 .unit = EfficiencyUnit(),
                 .how = absl::StrCat(
                     "default: by test ", fallback.tests.front(),
                     fallback.tests.size() > 1
                         ? absl::StrCat(" and ", fallback.tests.back(), " in line")
                         : "")}};
    node.inputs.push_back(
        {.step = {.label = form_.context_.procedure.capacity_quantity,
                  .value = tests_[test].capacity_w,
                  .unit = "W",
                  .how = absl::StrCat(ShortestText(plan.capacity_factor), " of the line"),
                  .clause = fallback.capacity_factor.citation.source,
                  .basis = fallback.capacity_factor.citation.basis}});
    node.inputs.push_back(
        {.step = {.label = form_.context_.procedure.power_quantity,
                  .value = tests_[test].power_w,
                  .unit = "W",
                  .how = absl::StrCat(ShortestText(plan.power_factor), " of the line"),
                  .clause = fallback.power_factor.citation.source,
                  .basis = fallback.power_factor.citation.basis}});
    return node;
  }

  // Whether a further figure is of the plan.
  bool Uses(int figure) const {
    const SeasonPlan& plan = variant_.plan;
    if (plan.declared.empty()) return true;
    for (const DeclaredPlan& declared : plan.declared) {
      if (figure >= declared.first_figure &&
          figure < declared.first_figure + plan.stage_count) {
        return true;
      }
    }
    return false;
  }

  // Stages at declared points, and the footing of stages in bins.
  void AddFurther(std::vector<TraceNode>& nodes) {
    for (size_t i = climate_.tests.size(); i < climate_.requests.size(); ++i) {
      const SeasonRequest& request = climate_.requests[i];
      if (request.place < 0 || !Uses(static_cast<int>(i))) continue;
      RestsOn(
          source_.Footing(request.stage, climate_.conditions->ValuesSi(request.place)),
          absl::StrCat("stage ", form_.reader_.StageId(request.stage), " at ",
                       climate_.conditions->point(request.place).id));
    }
    const SeasonPlan& plan = variant_.plan;
    for (const DeclaredPlan& declared : plan.declared) {
      std::vector<StagePoint> stages;
      for (int stage = 0; stage < plan.stage_count; ++stage) {
        stages.push_back(
            stage == declared.own_stage
                ? raw_[declared.test]
                : form_.Ask(climate_, source_, declared.first_figure + stage));
      }
      const double load_w = sums_.design_load_w * declared.load_part;
      const DeclaredPoint point = FindDeclaredPoint(plan, stages, load_w);
      TraceNode node{.step = {.label = absl::StrCat("declared point ",
                                                    season_.tests[declared.test].id, ", ",
                                                    ShortestText(declared.temperature),
                                                    " ", season_.temperature_unit),
                              .value = plan.unit_factor * point.efficiency,
                              .unit = EfficiencyUnit(),
                              .how = PointText(point)}};
      node.inputs.push_back({.step = {.label = "load", .value = load_w, .unit = "W"}});
      node.inputs.push_back(
          {.step = {.label = "capacity", .value = point.capacity_w, .unit = "W"}});
      if (point.degradation != 1) {
        node.inputs.push_back(
            {.step = {.label = "cycling factor", .value = point.degradation}});
      }
      nodes.push_back(Cited(std::move(node), season_.declared->citation));
    }
  }

  std::string PointText(const DeclaredPoint& point) const {
    const std::string& high = variant_.stage_names[point.high];
    switch (point.run) {
      case PointRun::kInWindow:
        return absl::StrCat("stage ", high, ", within the window");
      case PointRun::kBetween:
        return absl::StrCat("interpolated over load between stages ",
                            variant_.stage_names[point.low], " and ", high);
      case PointRun::kCycling:
        return absl::StrCat("stage ", high, ", cycling");
      case PointRun::kShort:
        return absl::StrCat("stage ", high, ", all the time");
    }
    return "";
  }

  void AddIdle(std::vector<TraceNode>& nodes) const {
    for (size_t i = 0; i < season_.idle_modes.size(); ++i) {
      const IdlePlan& mode = variant_.plan.idle_modes[i];
      nodes.push_back(Cited(
          {.step = {.label = season_.idle_modes[i].name,
                    .value = mode.power_w,
                    .unit = "W",
                    .how = absl::StrCat("for ", ShortestText(mode.hours), " h a year")}},
          season_.idle_modes[i].citation));
    }
  }

  std::string Running(const BinResult& bin) const {
    if (bin.load_w <= 0) return "off: no load";
    std::string text = Stages(bin);
    if (bin.on_part > 0 && bin.on_part < 1) {
      absl::StrAppend(&text, ", on for ", ShortestText(100 * bin.on_part),
                      " % of the time");
    }
    return text;
  }

  std::string Stages(const BinResult& bin) const {
    switch (bin.run) {
      case BinRun::kOff:
        return "off: backup alone";
      case BinRun::kCycling:
        return absl::StrCat(variant_.stage_names[bin.high], " cycling");
      case BinRun::kBetween: {
        const std::string& low = variant_.stage_names[bin.low];
        const std::string& high = variant_.stage_names[bin.high];
        if (variant_.plan.between != document::BetweenStages::kAlternate) {
          return absl::StrCat("between ", low, " and ", high);
        }
        return absl::StrFormat("%s %.1f %% and %s %.1f %% of the time", low,
                               100 * (1 - bin.part), high, 100 * bin.part);
      }
      case BinRun::kFull:
        return absl::StrCat(variant_.stage_names[bin.high], " all the time");
      case BinRun::kDeclared:
        return "between declared points";
    }
    return "";
  }

  TraceNode BinsNode() const {
    double weight = 0;
    for (const BinResult& bin : bins_) weight += bin.weight;
    TraceNode node{
        .step = {.label = absl::StrCat("bins of ", Climate().title),
                 .value = weight,
                 .how = absl::StrCat("sum of the weights of ", bins_.size(), " bins")}};
    if (Climate().bins.has_value()) {
      node = Cited(std::move(node), Climate().bins->citation);
    }
    return node;
  }

  const SeasonForm& form_;
  const document::BinSeason& season_;
  const CompiledSeason& climate_;
  const FigureSource& source_;
  SeasonForm::Tests raw_;
  const SeasonVariant& variant_;
  SeasonSums sums_;
  std::vector<BinResult> bins_;
  std::vector<StagePoint> tests_;
  std::vector<TraceNode> figures_;
  Footing footing_ = Footing::kUnspecified;
  std::string footing_reason_;
};

absl::StatusOr<Explanation> SeasonForm::ExplainClimate(const CompiledSeason& climate,
                                                       const FigureSource& source) const {
  SeasonTrace trace(*this, climate, source);
  ASSIGN_OR_RETURN(Explanation told, trace.Explain());
  told.bins = trace.Rows();
  return told;
}

absl::StatusOr<Explanation> SeasonForm::Explain(const FigureSource& source) const {
  ASSIGN_OR_RETURN(Explanation told, ExplainClimate(climates_.front(), source));
  told.notes = climates_.front().conditions->Notes();
  told.notes.insert(told.notes.end(), notes_.begin(), notes_.end());
  for (size_t i = 1; i < climates_.size(); ++i) {
    const document::Climate& climate = season_.climates[climates_[i].climate];
    absl::StatusOr<Explanation> other = ExplainClimate(climates_[i], source);
    if (!other.ok()) {
      if (!absl::IsFailedPrecondition(other.status())) return other.status();
      told.notes.push_back(absl::StrCat("not computed for climate ", climate.id, ": ",
                                        other.status().message()));
      continue;
    }
    // Its own figures and its bins; tests are those above.
    TraceNode node = std::move(other->trace);
    node.step.label = absl::StrCat(node.step.label, ", ", climate.title);
    told.trace.inputs.push_back(std::move(node));
    for (document::BinRow& row : other->bins) told.bins.push_back(std::move(row));
  }
  return told;
}

}  // namespace ratebound::rating
