#include "engine/recheck/fit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/recheck/least_squares.h"

namespace ratebound::recheck {
namespace {

using document::StageMap;
using document::Surface;
using document::TestPoint;

// A point counts by no less than this part of the median uncertainty (model_weights.h).
constexpr double kLeastOfMedian = 0.5;

// Each term of the surface in the scaled conditions asked for.
std::vector<SpanPolynomial> BasisOf(const Surface& surface, const ConditionScale& scale) {
  const size_t n = scale.size();
  std::vector<SpanPolynomial> own(n);  // each condition as the surface scales it
  for (size_t i = 0; i < n; ++i) {
    std::vector<int> row(n, 0);
    const Span half = surface.half_range_si[i];
    if (surface.centre_si[i] != scale.centre_si[i]) {
      AddTo(own[i], row, (Span(scale.centre_si[i]) - Span(surface.centre_si[i])) / half);
    }
    row[i] = 1;
    const bool same = surface.half_range_si[i] == scale.half_range_si[i];
    AddTo(own[i], row, same ? Span(1) : Span(scale.half_range_si[i]) / half);
  }
  std::vector<SpanPolynomial> basis;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    SpanPolynomial term = NumberIn(n, 1);
    for (size_t i = 0; i < n; ++i) {
      for (int e = 0; e < surface.exponents[t * n + i]; ++e) term = Product(term, own[i]);
    }
    basis.push_back(std::move(term));
  }
  return basis;
}

// Of the points, as many at most as a proof's own search looks at (map/proof_spread.h),
// and of these the ones of greatest leverage.
constexpr size_t kMostPoints = 200;
constexpr size_t kTopPoints = 16;

// More cannot be fitted once more in a time that somebody waits for: points of a stage,
// and of them those of one block, whose matrix is inverted whole.
constexpr size_t kMostFitted = 20'000;
constexpr size_t kMostOfABlock = 1'000;
constexpr int kHighestExponent = 32;

// What the points of a stage say of a combination.
struct Sample {
  std::vector<std::vector<double>> scaled;  // point by point
  std::vector<long double> values;
  std::vector<double> standard;  // of the readings; empty: not of all of them
  std::vector<int> blocks;       // of the points, from 0
};

absl::StatusOr<Sample> SampleOf(const StageMap& map, std::span<const TestPoint> points,
                                std::span<const FitPart> parts,
                                const ConditionScale& scale) {
  Sample sample;
  std::vector<std::string> names;
  bool all_uncertain = true;
  bool any_block = false;
  for (const std::string& id : map.point_ids) {
    const auto point = std::find_if(points.begin(), points.end(), [&](const auto& each) {
      return each.id == id && each.accepted() && each.unit == map.unit &&
             each.mode == map.mode && each.stage == map.stage;
    });
    if (point == points.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("the release has no point '", id, "' of stage ", map.stage));
    }
    long double value = 0;
    double squares = 0;
    for (const FitPart& part : parts) {
      const document::SiValue* const read = point->FindValue(part.quantity);
      if (read == nullptr) {
        return absl::InvalidArgumentError(
            absl::StrCat("point '", id, "' has no ", part.quantity));
      }
      value += static_cast<long double>(part.factor) * read->value_si;
      all_uncertain = all_uncertain && read->uncertainty.has_value();
      if (!read->uncertainty) continue;
      const double of_part = part.factor * read->uncertainty->random_standard_si;
      squares += of_part * of_part;
    }
    sample.values.push_back(value);
    sample.standard.push_back(std::sqrt(squares));
    std::vector<double>& z = sample.scaled.emplace_back();
    for (size_t i = 0; i < map.conditions.size(); ++i) {
      const std::optional<double> x = point->Find(map.conditions[i]);
      if (!x) {
        return absl::InvalidArgumentError(
            absl::StrCat("point '", id, "' has no ", map.conditions[i]));
      }
      z.push_back((*x - scale.centre_si[i]) / scale.half_range_si[i]);
    }
    const auto block = std::find(names.begin(), names.end(), point->block);
    sample.blocks.push_back(static_cast<int>(block - names.begin()));
    if (block == names.end()) names.push_back(point->block);
    any_block = any_block || !point->block.empty();
  }
  if (!all_uncertain) sample.standard.clear();
  if (!any_block) {
    for (size_t k = 0; k < sample.blocks.size(); ++k) {
      sample.blocks[k] = static_cast<int>(k);
    }
  }
  return sample;
}

double MedianOf(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

// The square of what residuals of the unweighted polynomial scatter by; empty where the
// points do not carry it.
std::optional<long double> ScatterOf(const Sample& sample, int degree) {
  const auto fit = LeastSquares::Solve(sample.scaled, sample.values, {}, degree);
  if (!fit.ok()) return std::nullopt;
  long double sum = 0;
  for (const long double residual : fit->residuals()) sum += residual * residual;
  return sum / static_cast<long double>(sample.values.size() - fit->rows().size());
}

// Inverse variances of readings and of what is common to the points, 1 at the median.
std::vector<long double> WeightsOf(const Sample& sample) {
  if (!(MedianOf(sample.standard) > 0)) return {};
  std::optional<long double> scatter = ScatterOf(sample, 2);
  if (!scatter) scatter = ScatterOf(sample, 1);
  if (!scatter) return {};
  long double mean = 0;
  for (const double standard : sample.standard) mean += standard * standard;
  mean /= static_cast<long double>(sample.standard.size());
  const long double common = std::max(0.0L, *scatter - mean);
  std::vector<double> counting;
  for (const double standard : sample.standard) {
    counting.push_back(static_cast<double>(std::sqrt(standard * standard + common)));
  }
  const double median = MedianOf(counting);
  std::vector<long double> weights;
  for (const double standard : counting) {
    const long double ratio = median / std::max(standard, kLeastOfMedian * median);
    weights.push_back(ratio * ratio);
  }
  return weights;
}

// At the points of greatest leverage.
double FewestDegrees(const Sample& sample, const LeastSquares& fit,
                     const BlockSpread& spread) {
  std::vector<size_t> order;
  const size_t looked_at = std::min(sample.scaled.size(), kMostPoints);
  for (size_t n = 0; n < looked_at; ++n) {
    order.push_back(n * sample.scaled.size() / looked_at);
  }
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) {
    return fit.leverages()[a] > fit.leverages()[b];
  });
  double fewest = std::numeric_limits<double>::infinity();
  for (size_t n = 0; n < std::min(order.size(), kTopPoints); ++n) {
    fewest = std::min(fewest, spread.DegreesAt(sample.scaled[order[n]]));
  }
  return fewest;
}

Span Near(long double value, long double reach) {
  return {static_cast<double>(value - reach), static_cast<double>(value + reach)};
}

}  // namespace

const Surface* ProofSurfaceOf(const StageMap& map, const std::string& quantity) {
  for (const Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        surface.purpose == document::SurfacePurpose::kProof) {
      return &surface;
    }
  }
  return nullptr;
}

absl::StatusOr<Fitted> FittedIn(const StageMap& map, const Surface& surface,
                                const ConditionScale& scale) {
  if (surface.form) {
    return absl::FailedPreconditionError(
        "the surface is of a transformed quantity or condition");
  }
  const size_t n = scale.size();
  const size_t terms = surface.coefficients_si.size();
  if (map.conditions.size() != n || surface.centre_si.size() != n ||
      surface.half_range_si.size() != n || surface.exponents.size() != terms * n ||
      surface.covariance_si.size() != terms * (terms + 1) / 2 ||
      !std::all_of(surface.half_range_si.begin(), surface.half_range_si.end(),
                   [](double half) { return half > 0; }) ||
      !std::all_of(surface.exponents.begin(), surface.exponents.end(),
                   [](int e) { return e >= 0 && e <= kHighestExponent; }) ||
      map.tested_low_si.size() != n || map.tested_high_si.size() != n) {
    return absl::InvalidArgumentError(
        "conditions or scales are not those of the surface");
  }
  const std::vector<SpanPolynomial> basis = BasisOf(surface, scale);
  Fitted fitted;
  size_t next = 0;
  for (size_t i = 0; i < terms; ++i) {
    AddTimes(fitted.value, basis[i], surface.coefficients_si[i]);
    for (size_t j = 0; j <= i; ++j, ++next) {
      const Span entry = surface.covariance_si[next];
      AddTimes(fitted.variance, Product(basis[i], basis[j]),
               i == j ? entry : entry + entry);
    }
  }
  fitted.degrees_of_freedom = fitted.band_degrees = surface.degrees_of_freedom;
  if (surface.cluster_robust) {
    fitted.band_degrees =
        (surface.block_count > 0 ? surface.block_count : surface.point_count) - 1;
  }
  return fitted;
}

absl::StatusOr<Fitted> FitOnceMore(const StageMap& map, std::span<const TestPoint> points,
                                   std::span<const FitPart> parts, int degree,
                                   const ConditionScale& scale) {
  const auto too_many = [] {
    return absl::FailedPreconditionError("too many points to fit them once more");
  };
  if (map.point_ids.size() > kMostFitted) return too_many();
  ASSIGN_OR_RETURN(const Sample sample, SampleOf(map, points, parts, scale));
  std::vector<size_t> of_block(sample.blocks.size(), 0);
  for (const int block : sample.blocks) {
    if (++of_block[static_cast<size_t>(block)] > kMostOfABlock) return too_many();
  }
  ASSIGN_OR_RETURN(
      const LeastSquares fit,
      LeastSquares::Solve(sample.scaled, sample.values, WeightsOf(sample), degree));
  ASSIGN_OR_RETURN(const BlockSpread spread, BlockSpread::Of(fit, sample.blocks));
  Fitted fitted{.degrees_of_freedom = FewestDegrees(sample, fit, spread),
                .band_degrees = static_cast<double>(spread.blocks()) - 1};
  const std::vector<std::vector<int>>& rows = fit.rows();
  long double largest = 0;
  for (const long double c : fit.coefficients()) {
    largest = std::max(largest, std::fabs(c));
  }
  for (size_t i = 0; i < rows.size(); ++i) {
    AddTo(fitted.value, rows[i], Near(fit.coefficients()[i], kAlike * largest));
    for (size_t j = 0; j <= i; ++j) {
      std::vector<int> row = rows[i];
      for (size_t v = 0; v < row.size(); ++v) row[v] += rows[j][v];
      const long double size =
          std::sqrt(spread.covariance(i, i) * spread.covariance(j, j));
      const Span entry = Near(spread.covariance(i, j), kAlike * size);
      AddTo(fitted.variance, row, i == j ? entry : entry + entry);
    }
  }
  return fitted;
}

}  // namespace ratebound::recheck
