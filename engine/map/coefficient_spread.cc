#include "engine/map/coefficient_spread.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/map/model_form.h"
#include "engine/map/model_weights.h"

namespace ratebound::map {
namespace {

using document::StageMap;
using document::Surface;
using document::TestPoint;

// A symmetric matrix from its lower triangle.
class Symmetric {
 public:
  explicit Symmetric(std::span<const double> triangle) : triangle_(triangle) {}
  double operator()(size_t i, size_t j) const {
    if (j > i) std::swap(i, j);
    return triangle_[i * (i + 1) / 2 + j];
  }

 private:
  std::span<const double> triangle_;
};

// Lower factor L with L L' = a, in place; columns of directions without variance are
// zero. `a` is size x size by rows and not negative.
void Factor(size_t size, std::vector<double>& a) {
  double greatest = 0;
  for (size_t i = 0; i < size; ++i) greatest = std::max(greatest, a[i * size + i]);
  for (size_t j = 0; j < size; ++j) {
    double pivot = a[j * size + j];
    for (size_t k = 0; k < j; ++k) pivot -= a[j * size + k] * a[j * size + k];
    // Rounding leaves a little where there is nothing.
    const bool flat = !(pivot > 1e-14 * greatest);
    const double root = flat ? 0 : std::sqrt(pivot);
    a[j * size + j] = root;
    for (size_t i = j + 1; i < size; ++i) {
      double sum = a[i * size + j];
      for (size_t k = 0; k < j; ++k) sum -= a[i * size + k] * a[j * size + k];
      a[i * size + j] = flat ? 0 : sum / root;
    }
    for (size_t i = 0; i < j; ++i) a[i * size + j] = 0;
  }
}

// x with L L' x = b, in place.
void Solve(size_t size, const std::vector<double>& lower, std::vector<double>& x) {
  for (size_t i = 0; i < size; ++i) {
    for (size_t k = 0; k < i; ++k) x[i] -= lower[i * size + k] * x[k];
    x[i] /= lower[i * size + i];
  }
  for (size_t i = size; i-- > 0;) {
    for (size_t k = i + 1; k < size; ++k) x[i] -= lower[k * size + i] * x[k];
    x[i] /= lower[i * size + i];
  }
}

CoefficientSpread OfCovariance(const Surface& surface) {
  const size_t terms = surface.coefficients_si.size();
  const Symmetric covariance(surface.covariance_si);
  std::vector<double> factor(terms * terms);
  for (size_t i = 0; i < terms; ++i) {
    for (size_t j = 0; j < terms; ++j) factor[i * terms + j] = covariance(i, j);
  }
  Factor(terms, factor);
  CoefficientSpread spread{.degrees_of_freedom = surface.degrees_of_freedom,
                           .apart = true};
  spread.sources.resize(terms);
  for (size_t k = 0; k < terms; ++k) {
    for (size_t i = 0; i < terms; ++i) {
      spread.deviations_si.push_back(factor[i * terms + k]);
    }
  }
  return spread;
}

// The points of a fit as it saw them.
struct Rows {
  size_t terms = 0;
  std::vector<double> design;     // rows x terms
  std::vector<double> residuals;  // of what the polynomial is fitted to
  std::vector<double> weights;    // empty: all alike
  std::vector<std::string> blocks;

  double weight(size_t row) const { return weights.empty() ? 1 : weights[row]; }
  std::span<const double> Row(size_t i) const {
    return std::span(design).subspan(i * terms, terms);
  }
};

// Powers of the scaled conditions at a point.
std::vector<double> TermsAt(const Surface& surface, const ModelForm& form,
                            std::span<const double> point_si) {
  const size_t conditions = point_si.size();
  std::vector<double> z(conditions);
  form.Coordinates(point_si, z);
  for (size_t j = 0; j < conditions; ++j) {
    z[j] = (z[j] - surface.centre_si[j]) / surface.half_range_si[j];
  }
  std::vector<double> terms;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    double product = 1;
    for (size_t j = 0; j < conditions; ++j) {
      for (int power = surface.exponents[t * conditions + j]; power > 0; --power) {
        product *= z[j];
      }
    }
    terms.push_back(product);
  }
  return terms;
}

absl::StatusOr<Rows> RowsOf(const StageMap& map, const Surface& surface,
                            std::span<const TestPoint> points) {
  std::map<std::string_view, const TestPoint*> by_id;
  for (const TestPoint& point : points) by_id.emplace(point.id, &point);
  std::vector<const TestPoint*> own;
  std::vector<double> values;
  std::vector<std::vector<double>> columns(map.conditions.size());
  for (const std::string& id : map.point_ids) {
    const auto found = by_id.find(id);
    const std::optional<double> value =
        found == by_id.end() ? std::nullopt : found->second->Find(surface.quantity);
    if (!value) {
      return absl::InvalidArgumentError(absl::StrCat(
          "point '", id, "' of the map is not among the points with ", surface.quantity));
    }
    own.push_back(found->second);
    values.push_back(*value);
  }
  const size_t conditions = map.conditions.size();
  for (size_t i = 0; i < own.size(); ++i) {
    for (size_t j = 0; j < conditions; ++j) {
      columns[j].push_back(map.point_conditions_si[i * conditions + j]);
    }
  }
  ASSIGN_OR_RETURN(const ModelForm form, ModelForm::Create(surface.form, map.conditions));
  std::vector<double> standard_si;
  if (surface.weighted) {
    standard_si =
        CountingStandard(columns, values, RandomStandardOf(own, surface.quantity));
  }
  Rows rows{.terms = surface.coefficients_si.size()};
  for (size_t i = 0; i < own.size(); ++i) {
    const auto point_si =
        std::span(map.point_conditions_si).subspan(i * conditions, conditions);
    const std::vector<double> terms = TermsAt(surface, form, point_si);
    double fitted = 0;
    for (size_t t = 0; t < rows.terms; ++t) {
      fitted += surface.coefficients_si[t] * terms[t];
    }
    ASSIGN_OR_RETURN(const double target, form.Target(values[i], point_si));
    if (surface.weighted && form.turns_response()) {
      standard_si[i] /= std::fabs(form.Slope(target, point_si));
    }
    rows.design.insert(rows.design.end(), terms.begin(), terms.end());
    rows.residuals.push_back(target - fitted);
    rows.blocks.push_back(own[i]->block);
  }
  rows.weights = WeightsOf(standard_si);
  const bool named = std::any_of(rows.blocks.begin(), rows.blocks.end(),
                                 [](const std::string& block) { return !block.empty(); });
  if (!named) rows.blocks = map.point_ids;
  return rows;
}

// What the coefficients would change by without the rows of a block, times -1.
std::vector<double> Owed(const Rows& rows, const Symmetric& inverse,
                         const std::vector<size_t>& block) {
  const size_t size = block.size();
  const size_t terms = rows.terms;
  // (X'WX)^-1 x sqrt(w), row by row.
  std::vector<double> pulled(size * terms);
  std::vector<double> kept(size * size);  // I - H of the block
  std::vector<double> error(size);
  for (size_t a = 0; a < size; ++a) {
    const std::span<const double> row = rows.Row(block[a]);
    const double root = std::sqrt(rows.weight(block[a]));
    for (size_t i = 0; i < terms; ++i) {
      double sum = 0;
      for (size_t j = 0; j < terms; ++j) sum += inverse(i, j) * row[j];
      pulled[a * terms + i] = root * sum;
    }
    error[a] = root * rows.residuals[block[a]];
  }
  for (size_t a = 0; a < size; ++a) {
    for (size_t b = 0; b < size; ++b) {
      const std::span<const double> row = rows.Row(block[b]);
      const double root = std::sqrt(rows.weight(block[b]));
      double sum = 0;
      for (size_t j = 0; j < terms; ++j) sum += pulled[a * terms + j] * row[j];
      kept[a * size + b] = (a == b ? 1 : 0) - root * sum;
    }
  }
  Factor(size, kept);
  Solve(size, kept, error);
  std::vector<double> owed(terms);
  for (size_t a = 0; a < size; ++a) {
    for (size_t i = 0; i < terms; ++i) owed[i] += pulled[a * terms + i] * error[a];
  }
  return owed;
}

}  // namespace

absl::StatusOr<CoefficientSpread> SpreadOf(const StageMap& map, const Surface& surface,
                                           std::span<const TestPoint> points) {
  if (surface.covariance_si.empty()) {
    return absl::FailedPreconditionError(
        absl::StrCat("the uncertainty of ", surface.quantity, " of stage ", map.stage,
                     " cannot be estimated from its points"));
  }
  if (!surface.joint_stages.empty()) return OfCovariance(surface);
  ASSIGN_OR_RETURN(const Rows rows, RowsOf(map, surface, points));
  std::vector<std::string> sources;
  std::vector<std::vector<size_t>> blocks;
  for (size_t i = 0; i < rows.blocks.size(); ++i) {
    const auto found = std::find(sources.begin(), sources.end(), rows.blocks[i]);
    if (found == sources.end()) {
      sources.push_back(rows.blocks[i]);
      blocks.push_back({i});
    } else {
      blocks[static_cast<size_t>(found - sources.begin())].push_back(i);
    }
  }
  const auto count = static_cast<double>(sources.size());
  CoefficientSpread spread{.sources = std::move(sources),
                           .degrees_of_freedom = count - 1};
  const Symmetric inverse(surface.leverage_matrix);
  const double scale = std::sqrt((count - 1) / count);
  for (const std::vector<size_t>& block : blocks) {
    for (double owed : Owed(rows, inverse, block)) {
      if (!std::isfinite(owed)) {
        return absl::FailedPreconditionError(absl::StrCat(
            "the uncertainty of ", surface.quantity, " of stage ", map.stage,
            " cannot be estimated: some term rests on ",
            spread.sources[spread.deviations_si.size() / rows.terms], " alone"));
      }
      spread.deviations_si.push_back(scale * owed);
    }
  }
  return spread;
}

absl::StatusOr<PointSpread> SpreadAt(const StageMap& map, const Surface& surface,
                                     const CoefficientSpread& spread,
                                     std::span<const double> conditions_si) {
  ASSIGN_OR_RETURN(const ModelForm form, ModelForm::Create(surface.form, map.conditions));
  const std::vector<double> terms = TermsAt(surface, form, conditions_si);
  PointSpread at;
  for (size_t t = 0; t < terms.size(); ++t) {
    at.polynomial += surface.coefficients_si[t] * terms[t];
  }
  for (size_t g = 0; g < spread.sources.size(); ++g) {
    const std::span<const double> deviation = spread.Deviation(g);
    double sum = 0;
    for (size_t t = 0; t < terms.size(); ++t) sum += deviation[t] * terms[t];
    at.deviations.push_back(sum);
  }
  return at;
}

}  // namespace ratebound::map
