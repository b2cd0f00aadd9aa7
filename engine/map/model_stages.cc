#include "engine/map/model_stages.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/map/model_weights.h"

namespace ratebound::map {
namespace {

using document::Surface;

constexpr char kShare[] = "stage_share";

// As the manifest has it, or equal steps.
double ShareOf(const document::Mode& mode, const std::string& stage) {
  const auto found =
      std::find_if(mode.stages.begin(), mode.stages.end(),
                   [&](const document::Stage& s) { return s.id == stage; });
  const auto k = static_cast<size_t>(found - mode.stages.begin());
  if (mode.model && k < mode.model->stage_shares.size()) {
    return mode.model->stage_shares[k];
  }
  return static_cast<double>(k + 1) / static_cast<double>(mode.stages.size());
}

void Append(const points::StagePoints& group, JointPoints& joint) {
  const double share = ShareOf(*group.mode, group.stage);
  for (size_t i = 0; i < group.points.size(); ++i) {
    const document::TestPoint& point = *group.points[i];
    for (size_t j = 0; j < group.columns.size(); ++j) {
      joint.columns[j].push_back(group.columns[j][i]);
    }
    joint.columns.back().push_back(share);
    joint.values.push_back(point.Find(joint.quantity).value_or(0));
    joint.point_ids.push_back(point.id);
    const auto block =
        std::find(joint.block_names.begin(), joint.block_names.end(), point.block);
    joint.blocks.push_back(static_cast<int>(block - joint.block_names.begin()));
    if (block == joint.block_names.end()) joint.block_names.push_back(point.block);
  }
}

// The triangle of M V M', with V given by its lower triangle and M by rows of `columns`.
std::vector<double> Congruence(const std::vector<double>& m, size_t rows,
                               const std::vector<double>& triangle, size_t columns) {
  const auto v = [&](size_t i, size_t j) {
    return i >= j ? triangle[i * (i + 1) / 2 + j] : triangle[j * (j + 1) / 2 + i];
  };
  std::vector<double> half(rows * columns);  // M V
  for (size_t i = 0; i < rows; ++i) {
    for (size_t j = 0; j < columns; ++j) {
      for (size_t k = 0; k < columns; ++k) {
        half[i * columns + j] += m[i * columns + k] * v(k, j);
      }
    }
  }
  std::vector<double> result;
  result.reserve(rows * (rows + 1) / 2);
  for (size_t i = 0; i < rows; ++i) {
    for (size_t j = 0; j <= i; ++j) {
      double sum = 0;
      for (size_t k = 0; k < columns; ++k)
        sum += half[i * columns + k] * m[j * columns + k];
      result.push_back(sum);
    }
  }
  return result;
}

}  // namespace

ResponseProblem JointPoints::Problem() const {
  return {.quantity = quantity,
          .values = values,
          .conditions = conditions,
          .columns = columns,
          .point_ids = point_ids,
          .blocks = blocks,
          .block_names = block_names,
          .standard_si = standard_si};
}

std::optional<JointPoints> JoinStages(std::span<const points::StagePoints> groups,
                                      size_t g, const std::string& response) {
  const points::StagePoints& own = groups[g];
  JointPoints joint{.quantity = response, .conditions = own.mode->conditions};
  joint.conditions.emplace_back(kShare);
  joint.columns.resize(joint.conditions.size());
  std::vector<const document::TestPoint*> all;
  for (const points::StagePoints& group : groups) {
    if (group.unit != own.unit || group.mode != own.mode || group.regime != own.regime) {
      continue;
    }
    for (const document::TestPoint* point : group.points) {
      if (!point->Find(response)) return {};
    }
    if (&group == &own) {
      for (size_t i = 0; i < group.points.size(); ++i) {
        joint.rows.push_back(joint.values.size() + i);
      }
    }
    Append(group, joint);
    all.insert(all.end(), group.points.begin(), group.points.end());
    joint.stages.push_back(group.stage);
  }
  if (joint.stages.size() < 2) return {};
  const bool any_block =
      std::any_of(joint.block_names.begin(), joint.block_names.end(),
                  [](const std::string& name) { return !name.empty(); });
  if (!any_block) joint.blocks.clear();
  joint.standard_si =
      CountingStandard(joint.columns, joint.values, RandomStandardOf(all, response));
  joint.share = ShareOf(*own.mode, own.stage);
  return joint;
}

std::vector<double> OwnErrors(const JointPoints& joint, std::span<const double> errors) {
  std::vector<double> own;
  own.reserve(joint.rows.size());
  for (size_t row : joint.rows) own.push_back(errors[row]);
  return own;
}

absl::StatusOr<Surface> CutAtStage(const JointPoints& joint,
                                   const ModelCandidate& candidate,
                                   const ModelFit& fitted, const ResponseProblem& stage) {
  Surface surface =
      SurfaceOf(joint.Problem(), candidate, fitted, document::SurfacePurpose::kTable);
  const fit::PolynomialBasis& whole = fitted.basis.full();
  std::vector<fit::ScaledRange> ranges(whole.ranges().begin(), whole.ranges().end() - 1);
  ASSIGN_OR_RETURN(const fit::PolynomialBasis cut,
                   fit::PolynomialBasis::Create(std::move(ranges), candidate.degree));
  const auto rows = static_cast<size_t>(cut.terms());
  const auto columns = static_cast<size_t>(whole.terms());
  const fit::ScaledRange& range = whole.ranges().back();
  const double z = (joint.share - range.centre) / range.half_range;
  std::vector<double> m(rows * columns);  // monomials of the whole to those of the cut
  for (int term = 0; term < whole.terms(); ++term) {
    const std::span<const int> powers = whole.exponents(term);
    double factor = 1;
    for (int k = 0; k < powers.back(); ++k) factor *= z;
    int row = 0;
    while (!std::equal(powers.begin(), powers.end() - 1, cut.exponents(row).begin()))
      ++row;
    m[static_cast<size_t>(row) * columns + static_cast<size_t>(term)] = factor;
  }
  surface.fitted_term_count = fitted.basis.terms();
  surface.condition_degrees.clear();
  surface.joint_stages = joint.stages;
  surface.centre_si.pop_back();
  surface.half_range_si.pop_back();
  surface.exponents.clear();
  for (int term = 0; term < cut.terms(); ++term) {
    const std::span<const int> powers = cut.exponents(term);
    surface.exponents.insert(surface.exponents.end(), powers.begin(), powers.end());
  }
  std::vector<double> coefficients(rows);
  for (size_t i = 0; i < rows; ++i) {
    for (size_t k = 0; k < columns; ++k) {
      coefficients[i] += m[i * columns + k] * surface.coefficients_si[k];
    }
  }
  surface.coefficients_si = std::move(coefficients);
  if (!surface.covariance_si.empty()) {
    surface.covariance_si = Congruence(m, rows, surface.covariance_si, columns);
  }
  surface.leverage_matrix = Congruence(m, rows, surface.leverage_matrix, columns);

  const std::vector<double> left_out = OwnErrors(joint, fitted.left_out);
  const std::vector<double> residuals = OwnErrors(joint, fitted.residuals);
  double sum = 0;
  for (double value : stage.values) sum += value;
  surface.mean_si = sum / static_cast<double>(stage.values.size());
  double squares = 0, total = 0, errors = 0;
  size_t worst = 0;
  surface.greatest_leverage = 0;
  for (size_t i = 0; i < left_out.size(); ++i) {
    const double apart = stage.values[i] - surface.mean_si;
    total += apart * apart;
    squares += residuals[i] * residuals[i];
    errors += left_out[i] * left_out[i];
    if (std::fabs(left_out[i]) > std::fabs(left_out[worst])) worst = i;
    const double weight = fitted.weights.empty() ? 1 : fitted.weights[joint.rows[i]];
    surface.greatest_leverage =
        std::max(surface.greatest_leverage, fitted.fit.leverages[joint.rows[i]] / weight);
  }
  surface.r_squared = total > 0 ? 1 - squares / total : 0;
  surface.leave_out_rms_si = std::sqrt(errors / static_cast<double>(left_out.size()));
  surface.worst_point = stage.point_ids[worst];
  return surface;
}

}  // namespace ratebound::map
