#include "engine/map/shape_refit.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <span>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/fit/constrained.h"
#include "engine/fit/constrained_check.h"
#include "engine/map/shape.h"
#include "engine/map/shape_change.h"
#include "engine/map/shape_rows.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::map {
namespace {

using document::ShapeFact;
using document::ShapeKind;
using document::ShapeOutcome;
using document::ShapeRefit;
using document::ShapeResult;
using document::StageMap;
using document::Surface;

// Doubling the parts must lower what constraints add by more than this.
constexpr double kWorthMoreParts = 0.01;

// Quantities that facts or ties link, which are refitted together.
std::vector<std::vector<std::string>> Linked(
    const std::vector<std::vector<std::string>>& links) {
  std::vector<std::vector<std::string>> groups;
  for (const std::vector<std::string>& link : links) {
    std::vector<std::string> joined;
    const auto add = [&joined](const std::string& name) {
      if (std::find(joined.begin(), joined.end(), name) == joined.end()) {
        joined.push_back(name);
      }
    };
    std::vector<std::vector<std::string>> apart;
    for (std::vector<std::string>& group : groups) {
      const bool meets =
          std::any_of(link.begin(), link.end(), [&group](const std::string& name) {
            return std::find(group.begin(), group.end(), name) != group.end();
          });
      if (meets) {
        for (const std::string& name : group) add(name);
      } else {
        apart.push_back(std::move(group));
      }
    }
    for (const std::string& name : link) add(name);
    apart.push_back(std::move(joined));
    groups = std::move(apart);
  }
  return groups;
}

// The coefficients of one quantity among the variables of the programme, x = b / scale.
struct Block {
  Surface* surface = nullptr;
  std::vector<int> terms;      // that were fitted
  std::vector<int> exponents;  // of these terms
  size_t offset = 0;
  double size = 0;   // sum |b|
  double scale = 1;  // a power of two near the size
};

class Refit {
 public:
  Refit(StageMap& map, std::vector<const ShapeFact*> facts,
        std::vector<const JointFit*> ties)
      : map_(map), facts_(std::move(facts)), ties_(std::move(ties)) {}

  // Whether any surface changed.
  bool Run(const std::vector<std::string>& quantities) {
    const absl::Status status = Solve(quantities);
    for (const std::string& quantity : quantities) {
      ShapeRefit& refit = refits_.emplace_back(ShapeRefit{.quantity = quantity});
      if (!status.ok()) refit.refusal = std::string(status.message());
    }
    const bool changed = status.ok() && Apply();
    map_.shape_refits.insert(map_.shape_refits.end(), refits_.begin(), refits_.end());
    return changed;
  }

 private:
  absl::Status AddBlocks(const std::vector<std::string>& quantities) {
    size_t offset = 0;
    const size_t n = map_.conditions.size();
    for (const std::string& quantity : quantities) {
      ASSIGN_OR_RETURN(const Surface* judged, JudgedSurface(map_, quantity));
      Block block{.terms = FittedTerms(*judged), .offset = offset};
      for (Surface& surface : map_.surfaces) {
        if (&surface == judged) block.surface = &surface;
      }
      for (int term : block.terms) {
        const auto row = judged->exponents.begin() + static_cast<int64_t>(term * n);
        block.exponents.insert(block.exponents.end(), row, row + static_cast<int64_t>(n));
      }
      for (double b : judged->coefficients_si) block.size += std::fabs(b);
      int exponent = 0;
      if (block.size > 0) std::frexp(block.size, &exponent);
      block.scale = std::ldexp(1.0, exponent);
      offset += block.terms.size();
      blocks_.emplace(quantity, std::move(block));
    }
    variables_ = offset;
    return absl::OkStatus();
  }

  // Centre and inverse Hessian of the programme.
  void AddObjective(fit::QuadraticProgram& program) const {
    program.centre.assign(variables_, 0.0);
    program.inverse_hessian.assign(variables_ * variables_, 0.0);
    for (const auto& [quantity, block] : blocks_) {
      const double sd =
          std::max(block.surface->residual_sd_si, kFactMargin * block.size) / block.scale;
      for (size_t i = 0; i < block.terms.size(); ++i) {
        program.centre[block.offset + i] =
            block.surface->coefficients_si[block.terms[i]] / block.scale;
        for (size_t j = 0; j < block.terms.size(); ++j) {
          program.inverse_hessian[(block.offset + i) * variables_ + block.offset + j] =
              sd * sd *
              TriangleEntry(block.surface->leverage_matrix, block.terms[i],
                            block.terms[j]);
        }
      }
    }
  }

  // The tie of a joint fit, term by term.
  void AddTies(fit::QuadraticProgram& program) const {
    for (const JointFit* tie : ties_) {
      const Block& first = blocks_.at(tie->balance.terms[0].quantity);
      for (size_t t = 0; t < first.terms.size(); ++t) {
        std::vector<double> row(variables_);
        for (const document::BalanceTerm& term : tie->balance.terms) {
          const Block& block = blocks_.at(term.quantity);
          row[block.offset + t] = term.factor * block.scale / first.scale;
        }
        program.normals.insert(program.normals.end(), row.begin(), row.end());
        program.limits.push_back(0);
        ++program.equalities;
      }
    }
  }

  LinearMargin MarginRows(const ShapeFact& fact, const Block& block) const {
    LinearMargin margin{.variables = static_cast<int>(map_.conditions.size()),
                        .exponents = block.exponents};
    if (fact.kind == ShapeKind::kRises || fact.kind == ShapeKind::kFalls) {
      margin.derivative = ConditionIndex(map_, fact.condition);
    }
    return margin;
  }

  // The terms of both sides of a comparison: the rows of both must be of one form.
  std::vector<int> JoinedExponents(const Block& a, const Block& b) const {
    std::vector<int> all = a.exponents;
    all.insert(all.end(), b.exponents.begin(), b.exponents.end());
    return all;
  }

  int64_t CountRows(int parts) const {
    int64_t rows = 0;
    for (const ShapeFact* fact : facts_) {
      const Block& block = blocks_.at(fact->quantity);
      LinearMargin margin = MarginRows(*fact, block);
      std::vector<int> joined;
      if (fact->kind == ShapeKind::kAtMostOther) {
        joined = JoinedExponents(block, blocks_.at(fact->other_quantity));
        margin.exponents = joined;
      }
      rows += CountBernsteinRows(margin, parts);
    }
    return rows;
  }

  void AddFact(const ShapeFact& fact, int parts, fit::QuadraticProgram& program) {
    const Block& block = blocks_.at(fact.quantity);
    const Block* other = nullptr;
    LinearMargin margin = MarginRows(fact, block);
    std::vector<int> joined;
    double sign = fact.kind == ShapeKind::kFalls ? -1 : 1;
    double limit = 0;
    double size = block.size;
    if (fact.kind == ShapeKind::kAtLeast) limit = fact.limit_si;
    if (fact.kind == ShapeKind::kAtMostOther) {
      other = &blocks_.at(fact.other_quantity);
      joined = JoinedExponents(block, *other);
      margin.exponents = joined;
      sign = -1;
      limit = -fact.limit_si;
      size += other->size;
    }
    const bound::Box ranges =
        ScaledBox(*block.surface, map_.tested_low_si, map_.tested_high_si);
    const std::vector<double> rows = BernsteinRows(margin, ranges, parts);
    const size_t width = margin.exponents.size() / map_.conditions.size();
    // In units of the quantity's own scale.
    for (size_t at = 0; at < rows.size(); at += width) {
      std::vector<double> row(variables_);
      for (size_t t = 0; t < block.terms.size(); ++t) {
        row[block.offset + t] = sign * rows[at + t];
      }
      for (size_t t = block.terms.size(); t < width; ++t) {
        row[other->offset + t - block.terms.size()] =
            rows[at + t] * other->scale / block.scale;
      }
      program.normals.insert(program.normals.end(), row.begin(), row.end());
      program.limits.push_back((limit + kFactMargin * size) / block.scale);
      fact_of_row_.push_back(&fact);
    }
  }

  absl::Status Solve(const std::vector<std::string>& quantities) {
    RETURN_IF_ERROR(AddBlocks(quantities));
    absl::Status infeasible;
    int64_t last_rows = -1;
    for (int parts = 1; parts <= kMostParts; parts *= 2) {
      const int64_t rows = CountRows(parts);
      if (rows == last_rows) break;  // exact already
      if (rows > kMostRows) {
        if (parts > 1) break;
        return absl::FailedPreconditionError(
            absl::StrCat("the facts come to ", rows, " inequalities; at most ", kMostRows,
                         " are taken; lower the degree or declare fewer facts"));
      }
      last_rows = rows;
      fit::QuadraticProgram program;
      AddObjective(program);
      AddTies(program);
      fact_of_row_.assign(program.limits.size(), nullptr);
      for (const ShapeFact* fact : facts_) AddFact(*fact, parts, program);
      ASSIGN_OR_RETURN(fit::QuadraticSolution solution, fit::SolveQuadratic(program));
      if (!solution.feasible) {
        infeasible = Contradiction(solution);
        continue;
      }
      const double before = solution_ ? solution_->added_sum_of_squares : 0;
      const bool worth =
          !solution_ || before - solution.added_sum_of_squares > kWorthMoreParts * before;
      // Of two that cost nearly the same, the one of fewer inequalities stays.
      if (worth) {
        program_ = std::move(program);
        solution_ = std::move(solution);
        parts_ = parts;
      }
      if (!worth || solution_->added_sum_of_squares == 0) break;
    }
    if (!solution_) return infeasible;
    kkt_ = fit::CheckOptimum(program_, solution_->x, solution_->multipliers);
    if (!kkt_.Pass()) {
      return absl::FailedPreconditionError(
          absl::StrCat("the constrained optimum could not be verified: stationarity ",
                       kkt_.stationarity, ", infeasibility ", kkt_.infeasibility,
                       ", dual infeasibility ", kkt_.dual_infeasibility,
                       ", complementarity ", kkt_.complementarity));
    }
    return absl::OkStatus();
  }

  absl::Status Contradiction(const fit::QuadraticSolution& solution) const {
    std::vector<std::string> names;
    for (size_t i = 0; i < solution.multipliers.size(); ++i) {
      if (solution.multipliers[i] == 0) continue;
      const std::string name =
          fact_of_row_[i] == nullptr ? "the joint fit" : fact_of_row_[i]->id;
      if (std::find(names.begin(), names.end(), name) == names.end()) {
        names.push_back(name);
      }
    }
    return absl::FailedPreconditionError(absl::StrCat(
        "no surface of this degree obeys together: ", absl::StrJoin(names, ", ")));
  }

  bool Apply() {
    bool changed = false;
    const int active = static_cast<int>(
        std::count_if(solution_->active.begin(), solution_->active.end(),
                      [this](int row) { return row >= program_.equalities; }));
    for (ShapeRefit& refit : refits_) {
      Block& block = blocks_.at(refit.quantity);
      std::vector<double> coefficients = block.surface->coefficients_si;
      for (size_t t = 0; t < block.terms.size(); ++t) {
        coefficients[block.terms[t]] = solution_->x[block.offset + t] * block.scale;
      }
      refit.residual_sd_before_si = block.surface->residual_sd_si;
      refit.residual_sd_after_si = block.surface->residual_sd_si;
      if (coefficients != block.surface->coefficients_si) {
        changed = true;
        const SurfaceChange change =
            ReplaceCoefficients(map_, std::move(coefficients), *block.surface);
        refit.residual_sd_after_si = change.residual_sd_after_si;
        refit.greatest_change_si = change.greatest_change_si;
        refit.greatest_change_point = change.greatest_change_point;
      }
      refit.constraint_count = program_.constraints() - program_.equalities;
      refit.active_count = active;
      refit.parts = parts_;
      refit.iterations = solution_->iterations;
      refit.stationarity = kkt_.stationarity;
      refit.infeasibility = kkt_.infeasibility;
      refit.dual_infeasibility = kkt_.dual_infeasibility;
      refit.complementarity = kkt_.complementarity;
    }
    return changed;
  }

  StageMap& map_;
  std::vector<const ShapeFact*> facts_;
  std::vector<const JointFit*> ties_;
  std::map<std::string, Block> blocks_;
  size_t variables_ = 0;
  std::vector<const ShapeFact*> fact_of_row_;
  fit::QuadraticProgram program_;
  std::optional<fit::QuadraticSolution> solution_;
  fit::KktResiduals kkt_;
  int parts_ = 0;
  std::vector<ShapeRefit> refits_;
};

bool IsIn(const std::vector<std::string>& names, const std::string& name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

std::vector<std::string> QuantitiesOf(const ShapeFact& fact) {
  std::vector<std::string> quantities = {fact.quantity};
  if (fact.kind == ShapeKind::kAtMostOther) quantities.push_back(fact.other_quantity);
  return quantities;
}

}  // namespace

std::vector<std::string> BendToFacts(const std::vector<JointFit>& joint_fits,
                                     StageMap& map) {
  std::vector<std::vector<std::string>> links;
  for (const ShapeResult& result : map.shapes) {
    if (result.outcome == ShapeOutcome::kNotJudged) continue;
    links.push_back(QuantitiesOf(result.fact));
  }
  for (const JointFit& joint : joint_fits) {
    if (!joint.refusal.empty()) continue;
    std::vector<std::string>& link = links.emplace_back();
    for (const document::BalanceTerm& term : joint.balance.terms) {
      link.push_back(term.quantity);
    }
  }
  std::vector<std::string> changed;
  for (const std::vector<std::string>& group : Linked(links)) {
    std::vector<const ShapeFact*> facts;
    bool all_hold = true;
    for (const ShapeResult& result : map.shapes) {
      if (result.outcome == ShapeOutcome::kNotJudged ||
          !IsIn(group, result.fact.quantity))
        continue;
      facts.push_back(&result.fact);
      all_hold = all_hold && result.outcome == ShapeOutcome::kProven;
    }
    if (all_hold) continue;
    std::vector<const JointFit*> ties;
    for (const JointFit& joint : joint_fits) {
      if (joint.refusal.empty() && IsIn(group, joint.balance.terms[0].quantity)) {
        ties.push_back(&joint);
      }
    }
    if (Refit(map, std::move(facts), std::move(ties)).Run(group)) {
      changed.insert(changed.end(), group.begin(), group.end());
    }
  }
  return changed;
}

}  // namespace ratebound::map
