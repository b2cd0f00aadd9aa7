#include "engine/claim/problem.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/claim/decide.h"
#include "engine/claim/level.h"

namespace ratebound::claim {
namespace {

using document::StageMap;
using document::Surface;

// What speaks against the form of what is proven itself; empty where nothing does.
std::string FormFault(const Surface& surface) {
  if (!surface.lack_of_fit_probability ||
      *surface.lack_of_fit_probability >= kLackOfFitLevel) {
    return "";
  }
  return absl::StrCat(
      "repeats agree better with each other than with the surface (probability ",
      absl::StrFormat("%.2g", *surface.lack_of_fit_probability),
      " under the model): its form is not good enough");
}

class Maker {
 public:
  explicit Maker(const ProblemInputs& inputs) : inputs_(inputs), claim_(inputs.claim) {}

  absl::StatusOr<ProblemSet> Make() {
    if (!FindFrame()) return std::move(set_);
    std::set<size_t> looked_at;
    for (const PromisePart& part : inputs_.parts) {
      for (const auto& group : part.groups) looked_at.insert(group.begin(), group.end());
    }
    looked_at_ = static_cast<int>(looked_at.size());
    for (const PromisePart& part : inputs_.parts) {
      for (const std::vector<size_t>& group : part.groups) {
        RETURN_IF_ERROR(AddProblem(part, group));
        if (!set_.model_fault.empty()) return std::move(set_);
      }
    }
    return std::move(set_);
  }

 private:
  // That of the first surface that the claim can rest on.
  bool FindFrame() {
    if (auto frame = FirstFrame(inputs_.stages)) {
      set_.frame = *std::move(frame);
      return true;
    }
    const StageInputs& stage = inputs_.stages.front();
    Frame none;  // of as many conditions, to name what is missing
    none.centre_si.assign(stage.map->conditions.size(), 0);
    none.half_range_si.assign(stage.map->conditions.size(), 1);
    const auto expression = MakeExpression(Quantity(), inputs_.mode, *stage.map, none);
    std::string quantity = Quantity();
    if (expression.ok()) {
      const auto names = RestsOn(*expression);
      if (!names.empty()) quantity = names.front();
    }
    set_.model_fault = SurfaceFault(*stage.map, quantity);
    return false;
  }

  std::string Quantity() const {
    return claim_.turndown ? inputs_.mode.capacity_quantity : claim_.quantity;
  }

  // Faults of the surfaces that an expression rests on.
  static std::string FaultOf(const StageInputs& stage, const Expression& expression) {
    for (const std::string& quantity : RestsOn(expression)) {
      std::string fault = SurfaceFault(*stage.map, quantity);
      if (!fault.empty()) return fault;
    }
    return "";
  }

  absl::Status AddProblem(const PromisePart& part, const std::vector<size_t>& group) {
    Problem problem{.box = part.box};
    const int count = static_cast<int>(group.size());
    const double level = ServingLevel(
        inputs_.level, count, count > 1 ? ServingRule::kSome : ServingRule::kFixed);
    std::string fault;
    for (size_t stage : group) {
      auto alternative = std::make_unique<Alternative>();
      alternative->stage = inputs_.stages[stage].id;
      std::string why;
      for (const PromiseSide& side : part.sides) {
        ASSIGN_OR_RETURN(why, AddSide(stage, part, side, level, *alternative));
        if (!why.empty()) break;
      }
      if (why.empty()) {
        RETURN_IF_ERROR(claim::AddTested(*alternative));
        problem.alternatives.push_back(std::move(alternative));
        continue;
      }
      problem.lacks_a_stage = true;
      if (fault.empty()) {
        fault =
            count > 1 ? absl::StrCat("stage ", inputs_.stages[stage].id, ": ", why) : why;
      }
    }
    // Some stage may serve though another has no model.
    if (problem.alternatives.empty()) {
      set_.model_fault = fault;
      return absl::OkStatus();
    }
    set_.problems.push_back(std::move(problem));
    return absl::OkStatus();
  }

  // What speaks against the model; empty where nothing does.
  absl::StatusOr<std::string> AddSide(size_t stage_index, const PromisePart& part,
                                      const PromiseSide& side, double level,
                                      Alternative& alternative) {
    MarginForm form{.frame = set_.frame, .sign = side.sign};
    form.allowance_si = AllowanceSi(claim_, side.limit_si);
    set_.allowance_si = std::max(set_.allowance_si, form.allowance_si);
    ASSIGN_OR_RETURN(std::string fault, claim_.turndown
                                            ? FillTurndown(side, form)
                                            : FillQuantity(stage_index, side, form));
    if (!fault.empty()) return fault;
    return claim::AddSide(inputs_.manifest, part.box, side, form,
                          {.proving = level,
                           .refuting = {.level = inputs_.level,
                                        .stages = looked_at_,
                                        .parts = static_cast<int>(inputs_.parts.size()),
                                        .sides = static_cast<int>(part.sides.size())}},
                          alternative);
  }

  absl::StatusOr<std::string> FillQuantity(size_t stage_index, const PromiseSide& side,
                                           MarginForm& form) {
    const StageInputs& stage = inputs_.stages[stage_index];
    ASSIGN_OR_RETURN(
        const Expression expression,
        MakeExpression(claim_.quantity, inputs_.mode, *stage.map, form.frame));
    if (std::string fault = FaultOf(stage, expression); !fault.empty()) return fault;
    for (const ExpressionTerm& term : expression.terms) {
      form.numerator.push_back({&stage, term.quantity, term.factor});
    }
    form.free = expression.free;
    form.over_stage = &stage;
    form.over = expression.over;
    form.over_factor = expression.over_factor;
    form.limit = Factor::Number(side.limit_si);
    if (claim_.limit_line) {
      RETURN_IF_ERROR(FillLine(*stage.map, form));
    }
    if (!claim_.against) return std::string();
    ASSIGN_OR_RETURN(
        const Expression against,
        MakeExpression(claim_.against->quantity, inputs_.mode, *stage.map, form.frame));
    if (std::string fault = FaultOf(stage, against); !fault.empty()) return fault;
    if (!against.over.empty() || !against.over_factor.is_number) {
      return absl::InvalidArgumentError(absl::StrCat(
          "claim ", claim_.id, ": against.quantity: ", claim_.against->quantity,
          " is a ratio; hold it against a number, or change the sides"));
    }
    for (const ExpressionTerm& term : against.terms) {
      form.limit_terms.push_back({&stage, term.quantity, term.factor});
    }
    ASSIGN_OR_RETURN(form.limit, Factor::Plus(against.free, form.limit));
    return std::string();
  }

  // The limit as a line over one condition, through two points.
  absl::Status FillLine(const StageMap& map, MarginForm& form) {
    const document::LimitLine& line = *claim_.limit_line;
    const auto found =
        std::find(map.conditions.begin(), map.conditions.end(), line.quantity);
    if (found == map.conditions.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("claim ", claim_.id, ": limit_line.quantity: ", line.quantity,
                       " is no condition of the map"));
    }
    const double slope =
        (line.other_limit_si - line.limit_si) / (line.other_value_si - line.value_si);
    if (!std::isfinite(slope)) {
      return absl::InvalidArgumentError(
          absl::StrCat("claim ", claim_.id, ": limit_line: its two points are one"));
    }
    Factor x{.is_number = false};
    ASSIGN_OR_RETURN(
        x.polynomial,
        ConditionIn(form.frame, static_cast<int>(found - map.conditions.begin())));
    ASSIGN_OR_RETURN(const Factor from, Factor::Plus(x, Factor::Number(-line.value_si)));
    ASSIGN_OR_RETURN(const Factor rise, Factor::Times(from, Factor::Number(slope)));
    ASSIGN_OR_RETURN(form.limit, Factor::Plus(rise, Factor::Number(line.limit_si)));
    return absl::OkStatus();
  }

  // Lowest less a part of the highest, over the highest.
  absl::StatusOr<std::string> FillTurndown(const PromiseSide& side, MarginForm& form) {
    if (inputs_.stages.size() != 2) {
      return absl::InvalidArgumentError(absl::StrCat("claim ", claim_.id,
                                                     ": turndown takes two stages, not ",
                                                     inputs_.stages.size()));
    }
    const std::string& capacity = inputs_.mode.capacity_quantity;
    for (const StageInputs& stage : inputs_.stages) {
      std::string fault = SurfaceFault(*stage.map, capacity);
      if (!fault.empty()) return absl::StrCat("stage ", stage.id, ": ", fault);
    }
    form.numerator = {{&inputs_.stages[0], capacity, Factor::Number(1)}};
    form.over_stage = &inputs_.stages[1];
    form.over = capacity;
    form.limit = Factor::Number(side.limit_si);
    return std::string();
  }

  const ProblemInputs& inputs_;
  const document::Claim& claim_;
  ProblemSet set_;
  int looked_at_ = 1;
};

}  // namespace

std::string SurfaceFault(const StageMap& map, const std::string& quantity) {
  const Surface* surface = FindProofSurface(map, quantity);
  if (surface == nullptr) {
    for (const std::string& refusal : map.refusals) {
      if (refusal.find(quantity) != std::string::npos) return refusal;
    }
    return absl::StrCat("there is no surface of ", quantity, " that a proof could use",
                        map.refusals.empty() ? "" : ": " + map.refusals.front());
  }
  if (surface->covariance_si.empty() && surface->block_count == 0) {
    return absl::StrCat("the uncertainty of ", quantity,
                        " cannot be estimated: a single point decides some term; test "
                        "more points, or declare a smaller model");
  }
  if (surface->covariance_si.empty()) {
    return absl::StrCat("the uncertainty of ", quantity,
                        " cannot be estimated: ", surface->block_count,
                        " blocks do not carry ", surface->coefficients_si.size(),
                        " terms; test on more days, or declare a smaller model");
  }
  return "";
}

std::optional<Frame> FirstFrame(const std::vector<StageInputs>& stages) {
  for (const StageInputs& stage : stages) {
    for (const Surface& surface : stage.map->surfaces) {
      if (surface.purpose == document::SurfacePurpose::kProof) return FrameOf(surface);
    }
  }
  return std::nullopt;
}

absl::StatusOr<std::string> AddSide(const document::LineManifest& manifest,
                                    const document::ConditionBox& box,
                                    const PromiseSide& side, const MarginForm& form,
                                    const SideLevels& levels, Alternative& alternative) {
  auto margin = MakeMargin(manifest, form);
  if (margin.status().code() == absl::StatusCode::kFailedPrecondition) {
    return std::string(margin.status().message());
  }
  RETURN_IF_ERROR(margin.status());
  for (const OneSide* one : {&margin->taken, &margin->granted}) {
    for (const Surface& surface : one->surfaces) {
      std::string fault = FormFault(surface);
      if (!fault.empty()) return fault;
    }
  }
  SideMargin& made = alternative.sides.emplace_back();
  made.side = side;
  made.margin = *std::move(margin);
  made.proving = ProvingFactors(made.margin.taken, levels.proving);
  ASSIGN_OR_RETURN(made.refuting, RefutingFactorsOver(made.margin.granted, form.frame,
                                                      box, levels.refuting));
  ASSIGN_OR_RETURN(made.pessimistic, Pessimistic(made.margin, made.proving));
  if (made.refuting) {
    ASSIGN_OR_RETURN(made.shortfall, Shortfall(made.margin, *made.refuting));
  }
  return std::string();
}

absl::Status AddTested(Alternative& alternative) {
  // Those of all sides are fitted to the same points.
  const OneSide& side = alternative.sides.front().margin.taken;
  for (size_t k = 0; k < side.surfaces.size(); ++k) {
    const StageMap& map = *side.stages[k]->map;
    ASSIGN_OR_RETURN(map::TestedRegion tested,
                     map::TestedRegion::Create(map, side.surfaces[k]));
    alternative.tested.push_back(
        {.map = &map, .surface = &side.surfaces[k], .tested = std::move(tested)});
  }
  return absl::OkStatus();
}

double AllowanceSi(const document::Claim& claim, double limit_si) {
  const double absolute =
      claim.turndown ? claim.allowance.absolute : claim.allowance.absolute_si;
  double size = std::fabs(limit_si);
  if (claim.limit_line) {
    size = std::max(std::fabs(claim.limit_line->limit_si),
                    std::fabs(claim.limit_line->other_limit_si));
    // The line goes on beyond its points: the greatest limit within the region.
    for (const document::MeasureRange& range : claim.region) {
      if (range.quantity != claim.limit_line->quantity) continue;
      const document::LimitLine& line = *claim.limit_line;
      const double slope =
          (line.other_limit_si - line.limit_si) / (line.other_value_si - line.value_si);
      for (double end : {range.low_si, range.high_si}) {
        size = std::max(size, std::fabs(line.limit_si + slope * (end - line.value_si)));
      }
    }
  }
  return absolute + claim.allowance.relative_fraction * size;
}

absl::StatusOr<ProblemSet> MakeProblems(const ProblemInputs& inputs) {
  return Maker(inputs).Make();
}

}  // namespace ratebound::claim
