#include "engine/claim/kinds/dew_point.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/bound/bernstein.h"
#include "engine/claim/certify.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/expression.h"
#include "engine/claim/kinds/clauses.h"
#include "engine/claim/tested_part.h"
#include "engine/fluid/psychrometric_limit.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

constexpr char kDewPoint[] = "leaving_air_dew_point";
constexpr char kHumidityRatio[] = "leaving_air_humidity_ratio";
constexpr char kDryBulb[] = "leaving_air_db";
constexpr char kWetBulb[] = "leaving_air_wb";

constexpr double kSlopeStepK = 0.01;
constexpr double kRoundingK = 1e-9;  // more than sums of these sizes lose
// How much further than its surface the wet bulb is looked for, and in how many pieces.
constexpr double kWetBulbMarginK = 3;
constexpr int kLowerLines = 5;  // any one is enough, so they share the level
// An upper end for dry bulbs, where the same humidity takes the widest margin.
constexpr double kWarmestC = 120;

// One side of a limit with its allowance, in degC.
struct DewSide {
  const PromiseSide& side;
  double allowance_k = 0;

  fluid::Side Wanted() const {
    return side.sign > 0 ? fluid::Side::kAtLeast : fluid::Side::kAtMost;
  }
  fluid::Phase phase() const { return fluid::PhaseAt<fluid::Si>(side.limit_si); }
};

class DewPointMaker {
 public:
  DewPointMaker(const document::Claim& claim, double pressure_pa, const Frame& frame)
      : claim_(claim), pressure_pa_(pressure_pa), frame_(frame) {}

  // Ways in which a stage keeps all sides.
  absl::StatusOr<std::vector<ClauseAlternative>> WaysOf(const StageInputs& stage,
                                                        const PromisePart& part) {
    const bool humidity = FindProofSurface(*stage.map, kHumidityRatio) != nullptr;
    std::vector<ClauseAlternative> ways = {{.stage = stage.id}};
    if (!humidity) {
      ASSIGN_OR_RETURN(const auto range, WetBulbOver(stage, part.box));
      // Nothing to stand on: ProblemsOf tells what is missing.
      if (!range) {
        ways.front().sides.push_back(Alone(stage, MissingOf(stage), part.sides.front()));
        return ways;
      }
      AddRange(stage, *range, ways.front());
      for (const PromiseSide& side : part.sides) {
        RETURN_IF_ERROR(AddLines(stage, side, *range, ways));
      }
      return ways;
    }
    for (const PromiseSide& side : part.sides) {
      ASSIGN_OR_RETURN(ClauseSide made, ByHumidity(stage, side));
      ways.front().sides.push_back(std::move(made));
    }
    return ways;
  }

 private:
  static std::string MissingOf(const StageInputs& stage) {
    for (const char* quantity : {kDryBulb, kWetBulb}) {
      if (!SurfaceFault(*stage.map, quantity).empty()) return quantity;
    }
    return kHumidityRatio;
  }

  ClauseSide Alone(const StageInputs& stage, const std::string& quantity,
                   PromiseSide side) const {
    ClauseSide made{.side = std::move(side)};
    made.form.numerator = {{&stage, quantity, Factor::Number(1)}};
    return made;
  }

  DewSide Of(const PromiseSide& side) const {
    return {side, AllowanceSi(claim_, side.limit_si)};
  }

  // Humidity ratios at the limit and moved by the allowance either way.
  absl::StatusOr<ClauseSide> ByHumidity(const StageInputs& stage,
                                        const PromiseSide& side) const {
    const DewSide dew = Of(side);
    const auto humidity = [&](double value, fluid::Side rounding) {
      return fluid::HumidityRatioLimit({value, rounding}, pressure_pa_, dew.phase());
    };
    const double limit = side.limit_si, allowance = dew.allowance_k;
    ASSIGN_OR_RETURN(const double below,
                     humidity(limit - allowance, fluid::Side::kAtMost));
    ASSIGN_OR_RETURN(const double at, humidity(limit, fluid::Side::kAtMost));
    ASSIGN_OR_RETURN(const double above,
                     humidity(limit + allowance, fluid::Side::kAtLeast));
    ASSIGN_OR_RETURN(const double step,
                     humidity(limit + kSlopeStepK, fluid::Side::kAtMost));
    const double slope = (step - at) / kSlopeStepK;  // kg/kg by K
    ClauseSide made = Alone(stage, kHumidityRatio, side);
    made.side.what = "to first order in the humidity ratio";
    made.form.numerator.front().factor = Factor::Number(1 / slope);
    made.form.free = Factor::Number(limit - at / slope);
    // What the allowance takes in humidity, the greater of both ways; the rest is for the
    // rounding of the sums before.
    made.form.allowance_si = std::max(at - below, above - at) / slope + kRoundingK;
    return made;
  }

  // Where the wet bulb's surface runs over a part, and some more; empty without surfaces.
  absl::StatusOr<std::optional<fluid::TemperatureRange>> WetBulbOver(
      const StageInputs& stage, const document::ConditionBox& box) const {
    const document::Surface* const surface = FindProofSurface(*stage.map, kWetBulb);
    if (!SurfaceFault(*stage.map, kDryBulb).empty() ||
        !SurfaceFault(*stage.map, kWetBulb).empty()) {
      return std::nullopt;
    }
    ASSIGN_OR_RETURN(const bound::Polynomial value, ValueIn(frame_, *surface));
    // Beyond the tested ranges a surface may run anywhere.
    const auto tested = InsideRanges(*stage.map, box);
    ASSIGN_OR_RETURN(const auto range,
                     bound::EncloseRange(value, BoxIn(frame_, tested.value_or(box))));
    return fluid::TemperatureRange{std::max(range.range.lo - kWetBulbMarginK, -60.0),
                                   std::min(range.range.hi + kWetBulbMarginK, 90.0)};
  }

  void AddRange(const StageInputs& stage, const fluid::TemperatureRange& range,
                ClauseAlternative& way) const {
    for (const double sign : {1.0, -1.0}) {
      const double end = sign > 0 ? range.low_c : range.high_c;
      PromiseSide side{.sign = sign, .limit_si = end};
      side.limit = end;
      side.what = absl::StrCat(kWetBulb, " in the range that its lines are for, in degC");
      way.sides.push_back(Alone(stage, kWetBulb, std::move(side)));
    }
  }

  // All lines of an upper limit go to every way; each line of a lower limit makes one.
  absl::Status AddLines(const StageInputs& stage, const PromiseSide& side,
                        const fluid::TemperatureRange& range,
                        std::vector<ClauseAlternative>& ways) const {
    const DewSide dew = Of(side);
    const fluid::Phase wick = fluid::PhaseAt<fluid::Si>(range.low_c);
    const auto lines_at = [&](double limit) {
      fluid::LineOptions options;
      if (dew.Wanted() == fluid::Side::kAtLeast) options.pieces = kLowerLines;
      return fluid::WetBulbLimit({limit, dew.Wanted()}, pressure_pa_, dew.phase(), wick,
                                 range, options);
    };
    ASSIGN_OR_RETURN(const fluid::LinearLimit lines, lines_at(side.limit_si));
    ASSIGN_OR_RETURN(const fluid::LinearLimit stepped,
                     lines_at(side.limit_si + kSlopeStepK));
    ASSIGN_OR_RETURN(const fluid::LinearLimit taken,
                     lines_at(side.limit_si + side.sign * dew.allowance_k));
    std::vector<ClauseSide> sides;
    for (size_t i = 0; i < lines.lines.size(); ++i) {
      const double wet_c = (range.low_c + range.high_c) / 2;
      const auto at = [&](const fluid::AirLine& line, double dry_c) {
        return line.dry_bulb_factor * dry_c + line.wet_bulb_factor * wet_c +
               line.constant;
      };
      const fluid::AirLine& line = lines.lines[i];
      // Of the line by K of dew point: what moving the limit does.
      const double slope =
          std::fabs(at(stepped.lines[i], wet_c) - at(line, wet_c)) / kSlopeStepK;
      ClauseSide made{.side = side};
      made.side.what = "to first order in dry and wet bulb";
      // The line is what is left: limit - line / slope for at most.
      const double times = side.sign / slope;
      made.form.numerator = {
          {&stage, kDryBulb, Factor::Number(line.dry_bulb_factor * times)},
          {&stage, kWetBulb, Factor::Number(line.wet_bulb_factor * times)}};
      made.form.free = Factor::Number(side.limit_si + line.constant * times);
      made.form.allowance_si =
          std::fabs(at(line, kWarmestC) - at(taken.lines[i], kWarmestC)) / slope +
          kRoundingK;
      sides.push_back(std::move(made));
    }
    if (lines.all) {
      for (ClauseAlternative& way : ways) {
        way.sides.insert(way.sides.end(), sides.begin(), sides.end());
      }
      return absl::OkStatus();
    }
    std::vector<ClauseAlternative> each;
    for (const ClauseAlternative& way : ways) {
      for (const ClauseSide& made : sides) {
        each.push_back(way);
        each.back().sides.push_back(made);
      }
    }
    ways = std::move(each);
    return absl::OkStatus();
  }

  const document::Claim& claim_;
  const double pressure_pa_;
  const Frame& frame_;
};

std::optional<double> HeldPressure(const document::Mode& mode) {
  for (const document::HeldCondition& held : mode.held_conditions) {
    if (held.quantity == "barometric_pressure") return held.value_si;
  }
  return std::nullopt;
}

bool HasSurface(const document::StageMap& map, const char* quantity) {
  return FindProofSurface(map, quantity) != nullptr;
}

// Whether every stage has humidity ratios to stand on and no dew points of its own.
bool AllByHumidity(const ClaimInputs& inputs) {
  const auto by_humidity = [](const document::StageMap& map) {
    return HasSurface(map, kHumidityRatio) && !HasSurface(map, kDewPoint);
  };
  if (inputs.stages.empty()) return by_humidity(inputs.map);
  return std::all_of(inputs.stages.begin(), inputs.stages.end(),
                     [&](const StageInputs& stage) { return by_humidity(*stage.map); });
}

}  // namespace

bool IsDerivedDewPoint(const document::Claim& claim, const ClaimInputs& inputs) {
  if (!claim.IsPlain() || claim.quantity != kDewPoint) return false;
  const auto own = [](const document::StageMap& map) {
    return HasSurface(map, kDewPoint) ||
           (!HasSurface(map, kHumidityRatio) && !HasSurface(map, kWetBulb));
  };
  if (inputs.stages.empty()) return !own(inputs.map);
  return std::any_of(inputs.stages.begin(), inputs.stages.end(),
                     [&](const StageInputs& stage) { return !own(*stage.map); });
}

absl::StatusOr<document::Verdict> DecideDewPoint(const document::Claim& claim,
                                                 const ClaimInputs& inputs) {
  const std::optional<double> pressure_pa = HeldPressure(inputs.mode);
  if (!pressure_pa) {
    return absl::InvalidArgumentError(absl::StrCat(
        "claim ", claim.id, ": quantity: ", kDewPoint,
        " follows from other quantities at a known barometric_pressure only; name it "
        "among the mode's held_conditions, or fit the dew point itself"));
  }
  if (claim.against || claim.limit_line) {
    return absl::InvalidArgumentError(absl::StrCat(
        "claim ", claim.id, ": ", claim.against ? "against" : "limit_line",
        ": a dew point that follows from other quantities is held against a number; fit "
        "the dew point itself, or write a limit_table"));
  }
  ASSIGN_OR_RETURN(
      const quantity::Unit unit,
      quantity::FindUnit(claim.limit_unit, quantity::Dimension::kTemperature));
  auto verdict = DecideProblems(
      claim, inputs, unit,
      [&](const std::vector<StageInputs>& stages, const document::RegionPieces& region,
          double level) -> absl::StatusOr<ProblemSet> {
        const auto frame = FirstFrame(stages);
        if (!frame) {
          return ProblemSet{.model_fault =
                                SurfaceFault(*stages.front().map, kHumidityRatio)};
        }
        ASSIGN_OR_RETURN(const std::vector<PromisePart> parts,
                         PartsOf(claim, stages, stages.front().map->conditions, region));
        DewPointMaker maker(claim, *pressure_pa, *frame);
        std::vector<Clause> clauses;
        for (const PromisePart& part : parts) {
          for (const std::vector<size_t>& group : part.groups) {
            Clause& clause = clauses.emplace_back(Clause{.box = part.box});
            for (const size_t i : group) {
              ASSIGN_OR_RETURN(std::vector<ClauseAlternative> ways,
                               maker.WaysOf(stages[i], part));
              std::move(ways.begin(), ways.end(),
                        std::back_inserter(clause.alternatives));
            }
          }
        }
        ASSIGN_OR_RETURN(ProblemSet set,
                         ProblemsOf(inputs.manifest, stages, clauses, *frame, level));
        set.allowance_si = claim.allowance.absolute_si;
        // Lines imply the limit, and are not implied by it.
        for (Problem& problem : set.problems) {
          for (const auto& alternative : problem.alternatives) {
            const bool by_lines =
                alternative->sides.size() > 1 &&
                alternative->sides.front().side.what.find(kWetBulb) == 0;
            if (!by_lines) continue;
            for (SideMargin& side : alternative->sides) {
              side.refuting.reset();
              side.shortfall.reset();
            }
          }
        }
        return set;
      });
  // That lines of both bulbs imply the limit, no certificate shows.
  if (verdict.ok() && inputs.certification != nullptr &&
      inputs.certification->certificate && !AllByHumidity(inputs)) {
    *inputs.certification = {
        .why_none =
            "decided by lines of dry and wet bulb that imply the dew point "
            "claimed: certificates have no form for it"};
  }
  return verdict;
}

}  // namespace ratebound::claim
