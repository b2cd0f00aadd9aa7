#include "engine/rating/season/evaluate_season.h"

#include <array>
#include <cmath>
#include <limits>

#include "engine/rating/season/declared_columns.h"
#include "engine/rating/season/declared_points.h"
#include "engine/rating/season/lane_sums.h"
#include "engine/rating/season/stage_mix.h"

namespace ratebound::rating {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

using Tests = std::array<StagePoint, kMostSeasonTests>;
using Points = std::array<DeclaredPoint, kMostSeasonTests>;

struct Slope {
  double capacity_w;  // for each degree
  double power_w;
};

class Evaluation {
 public:
  Evaluation(const SeasonPlan& plan, std::span<const StagePoint> tests,
             const FurtherFigures& further)
      : plan_(plan), further_(further), test_count_(static_cast<int>(plan.tests.size())) {
    for (int i = 0; i < test_count_; ++i) {
      const TestPlan& test = plan.tests[i];
      if (!test.is_default) {
        tests_[i] = tests[i];
        continue;
      }
      const StagePoint line = On(test.line);
      tests_[i] = {test.capacity_factor * line.capacity_w,
                   test.power_factor * line.power_w};
    }
    const LoadPlan& load = plan.load;
    design_load_w_ =
        load.size_test < 0 ? load.size : load.size * tests_[load.size_test].capacity_w;
  }

  std::span<const StagePoint> tests() const {
    return {tests_.data(), static_cast<size_t>(test_count_)};
  }

  // Told bin by bin to `visit`, or not.
  template <bool kTold, typename Visit>
  SeasonSums Run(Visit visit) {
    return plan_.declared.empty() ? RunStaged<kTold>(visit) : RunDeclared<kTold>(visit);
  }

 private:
  StagePoint Point(int index) const {
    return index < test_count_ ? tests_[index] : further_.Figure(index);
  }

  StagePoint On(const LinePoint& line) const {
    const StagePoint a = Point(line.a);
    if (line.a == line.b) return a;
    const StagePoint b = Point(line.b);
    return {a.capacity_w + (b.capacity_w - a.capacity_w) * line.part,
            a.power_w + (b.power_w - a.power_w) * line.part};
  }

  Slope SlopeOf(const LineSegment& segment) const {
    const double span =
        plan_.tests[segment.b].temperature - plan_.tests[segment.a].temperature;
    return {(Point(segment.b).capacity_w - Point(segment.a).capacity_w) / span,
            (Point(segment.b).power_w - Point(segment.a).power_w) / span};
  }

  Slope MixedSlope(const SlopePlan& plan) const {
    const StagePoint test = Point(plan.test);
    const StagePoint lower = On(plan.lower);
    const StagePoint upper = On(plan.upper);
    const Slope low = SlopeOf(plan.lower_slope);
    const Slope high = SlopeOf(plan.upper_slope);
    const double nq =
        (test.capacity_w - lower.capacity_w) / (upper.capacity_w - lower.capacity_w);
    const double ne = (test.power_w - lower.power_w) / (upper.power_w - lower.power_w);
    return {low.capacity_w * (1 - nq) + nq * high.capacity_w,
            low.power_w * (1 - ne) + ne * high.power_w};
  }

  // Where the curve's capacity is the load.
  BalancePoint BalanceOf(const CurvePlan& curve, const Slope& slope) const {
    const double load_slope_w = design_load_w_ * plan_.load.slope;
    const double load_at_zero_w = design_load_w_ * plan_.load.at_zero;
    const auto meet = [&](const StagePoint& at, double at_temperature,
                          const Slope& line) {
      const double temperature =
          (at.capacity_w - line.capacity_w * at_temperature - load_at_zero_w) /
          (load_slope_w - line.capacity_w);
      const double along = temperature - at_temperature;
      return BalancePoint{temperature, (at.capacity_w + line.capacity_w * along) /
                                           (at.power_w + line.power_w * along)};
    };
    if (curve.is_slope) {
      return meet(Point(curve.slope.test), curve.slope.temperature, slope);
    }
    for (const LineSegment& segment : curve.segments) {
      const Slope line = segment.a == segment.b ? Slope{0, 0} : SlopeOf(segment);
      const BalancePoint balance =
          meet(Point(segment.a), plan_.tests[segment.a].temperature, line);
      if (balance.temperature >= segment.from && balance.temperature < segment.to) {
        return balance;
      }
    }
    return {kNone, kNone};
  }

  // Load that the unit cannot meet, and the sums. `efficiency` is that of a declared
  // point; 0 where it is capacity over power.
  template <bool kTold, typename Visit>
  void Finish(int index, double efficiency, BinResult& bin, Visit& visit,
              LaneSums& sums) const {
    if (bin.load_w > 0) {
      if (kTold || plan_.unmet_load == document::UnmetLoad::kAtUnitEfficiency) {
        bin.efficiency = efficiency != 0 ? efficiency : bin.capacity_w / bin.power_w;
      }
      if (plan_.off_below_backup &&
          bin.capacity_w < plan_.backup_efficiency * bin.power_w) {
        bin.on_part = 0;
      }
    }
    bin.capacity_w *= bin.on_part;
    bin.power_w *= bin.on_part;
    if (bin.on_part == 0) bin.run = BinRun::kOff;
    bin.counted_w = bin.load_w;
    switch (plan_.unmet_load) {
      case document::UnmetLoad::kBackup:
        bin.backup_power_w = (bin.load_w - bin.capacity_w) * plan_.backup_power;
        break;
      case document::UnmetLoad::kNotCounted:
        bin.counted_w = bin.capacity_w;
        break;
      case document::UnmetLoad::kAtUnitEfficiency:
        if (bin.load_w > bin.capacity_w) {
          bin.power_w = bin.load_w / bin.efficiency;
          bin.capacity_w = bin.load_w;
        }
        break;
    }
    if (!(bin.power_w >= 0 && bin.capacity_w >= 0)) bin.power_w = kNone;
    sums.Add(index, bin.weight * bin.counted_w,
             bin.weight * (bin.power_w + bin.backup_power_w), bin.weight * bin.capacity_w,
             bin.weight * bin.power_w);
    if constexpr (kTold) visit(bin);
  }

  BinResult Begin(const BinPlan& plan) const {
    BinResult bin;
    bin.temperature = plan.temperature;
    bin.weight = plan.weight;
    bin.load_w = design_load_w_ * plan.load_part;
    bin.on_part = plan.on_part;
    return bin;
  }

  template <bool kTold, typename Visit>
  SeasonSums RunStaged(Visit& visit) {
    const int count = static_cast<int>(plan_.curves.size());
    std::array<Slope, kMostSeasonStages> slopes;
    std::array<bool, kMostSeasonStages> is_slope;
    std::array<BalancePoint, kMostSeasonStages> balances;
    const bool over_temperature =
        plan_.between == document::BetweenStages::kEfficiencyOverTemperature && count > 1;
    for (int i = 0; i < count; ++i) {
      const CurvePlan& curve = plan_.curves[i];
      is_slope[i] = curve.is_slope;
      if (curve.is_slope) slopes[i] = MixedSlope(curve.slope);
      if (over_temperature) balances[i] = BalanceOf(curve, slopes[i]);
    }
    LaneSums sums;
    std::array<StagePoint, kMostSeasonStages> stages;
    const LinePoint* lines = plan_.lines.data();
    for (size_t b = 0; b < plan_.bins.size(); ++b) {
      const BinPlan& bin_plan = plan_.bins[b];
      BinResult bin = Begin(bin_plan);
      if (bin.load_w > 0) {
        // Up to the first that reaches the load; none above it runs.
        int known = bin_plan.lowest;
        while (known < count) {
          const LinePoint& line = lines[known];
          if (is_slope[known]) {
            const StagePoint test = Point(line.a);
            stages[known] = {test.capacity_w + slopes[known].capacity_w * line.part,
                             test.power_w + slopes[known].power_w * line.part};
          } else {
            stages[known] = On(line);
          }
          if (bin.load_w <= stages[known++].capacity_w) break;
        }
        MixStages(plan_, {stages.data(), static_cast<size_t>(known)}, bin_plan.lowest,
                  {balances.data(), static_cast<size_t>(count)}, bin);
      }
      Finish<kTold>(static_cast<int>(b), 0, bin, visit, sums);
      lines += count;
    }
    return sums.Total(design_load_w_);
  }

  void FindPoints(Points& points) const {
    std::array<StagePoint, kMostSeasonStages> stages;
    for (size_t i = 0; i < plan_.declared.size(); ++i) {
      const DeclaredPlan& declared = plan_.declared[i];
      for (int stage = 0; stage < plan_.stage_count; ++stage) {
        stages[stage] = stage == declared.own_stage
                            ? tests_[declared.test]
                            : further_.Figure(declared.first_figure + stage);
      }
      points[i] = FindDeclaredPoint(
          plan_, {stages.data(), static_cast<size_t>(plan_.stage_count)},
          design_load_w_ * declared.load_part);
    }
  }

  template <bool kTold, typename Visit>
  SeasonSums RunDeclared(Visit& visit) {
    Points points;
    FindPoints(points);
    LaneSums sums;
    if (!kTold && plan_.declared_columns.usable) {
      return SumColumns(plan_, points, design_load_w_);
    }
    for (size_t i = 0; i < plan_.bins.size(); ++i) {
      BinResult bin = Begin(plan_.bins[i]);
      double efficiency = 0;
      if (bin.load_w > 0 && bin.on_part > 0) {
        const LinePoint& line = plan_.lines[i];
        const DeclaredPoint& a = points[line.a];
        const DeclaredPoint& b = points[line.b];
        efficiency = a.efficiency + (b.efficiency - a.efficiency) * line.part;
        const double capacity_w =
            a.capacity_w + (b.capacity_w - a.capacity_w) * line.part;
        if (!(capacity_w >= 0 && efficiency > 0)) efficiency = kNone;
        bin.run = BinRun::kDeclared;
        bin.capacity_w = capacity_w < bin.load_w ? capacity_w : bin.load_w;
        if (plan_.degrade_at == document::DegradeAt::kBins && capacity_w > bin.load_w) {
          bin.degradation = CyclingFactor(plan_.degradation, bin.load_w / capacity_w);
          efficiency *= bin.degradation;
        }
        bin.power_w = bin.capacity_w / efficiency;
      }
      Finish<kTold>(static_cast<int>(i), efficiency, bin, visit, sums);
    }
    return sums.Total(design_load_w_);
  }

  const SeasonPlan& plan_;
  const FurtherFigures& further_;
  int test_count_;
  Tests tests_;
  double design_load_w_ = 0;
};

}  // namespace

SeasonSums SumSeason(const SeasonPlan& plan, std::span<const StagePoint> tests,
                     const FurtherFigures& further) {
  return Evaluation(plan, tests, further).Run<false>(0);
}

SeasonSums SumSeason(const SeasonPlan& plan, std::span<const StagePoint> tests,
                     const FurtherFigures& further, std::vector<BinResult>& bins) {
  bins.clear();
  bins.reserve(plan.bins.size());
  return Evaluation(plan, tests, further).Run<true>([&](const BinResult& bin) {
    bins.push_back(bin);
  });
}

std::vector<StagePoint> TestsWithDefaults(const SeasonPlan& plan,
                                          std::span<const StagePoint> tests) {
  class None : public FurtherFigures {
   public:
    StagePoint Figure(int) const override { return {kNone, kNone}; }
  };
  const None none;
  const Evaluation evaluation(plan, tests, none);
  return {evaluation.tests().begin(), evaluation.tests().end()};
}

double SeasonFigureOf(const SeasonPlan& plan, const SeasonSums& sums,
                      document::SeasonFigureKind kind) {
  const double active = sums.counted / sums.used * plan.defrost_factor;
  switch (kind) {
    case document::SeasonFigureKind::kActive:
      return plan.unit_factor * active;
    case document::SeasonFigureKind::kNet:
      return plan.unit_factor *
             (sums.unit_counted / sums.unit_used * plan.defrost_factor);
    case document::SeasonFigureKind::kAnnual:
    case document::SeasonFigureKind::kSpace:
      break;
  }
  double idle = 0;
  for (const IdlePlan& mode : plan.idle_modes) idle += mode.hours * mode.power_w;
  const double demand =
      plan.demand_hours > 0 ? sums.design_load_w * plan.demand_hours : sums.counted;
  const double annual = demand / (demand / active + idle);
  if (kind == document::SeasonFigureKind::kAnnual) return plan.unit_factor * annual;
  return 100 * (annual / plan.conversion_coefficient - plan.corrections);
}

}  // namespace ratebound::rating
