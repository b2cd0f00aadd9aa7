#include "engine/fit/intervals_by_block.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fit/block_row_space.h"
#include "engine/fit/scaled_system.h"

namespace ratebound::fit {
namespace {

// Its form has as many entries as half its square.
constexpr size_t kMostSingles = 128;

double Dot(std::span<const double> a, std::span<const double> b) {
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

// matrix * vector, the matrix square by rows.
std::vector<double> Times(std::span<const double> matrix,
                          std::span<const double> vector) {
  std::vector<double> product;
  product.reserve(vector.size());
  for (size_t i = 0; i < vector.size(); ++i) {
    product.push_back(Dot(matrix.subspan(i * vector.size(), vector.size()), vector));
  }
  return product;
}

// U f(values) U', by rows, for what acts on the span of the rows alone.
template <typename Function>
std::vector<double> MatrixFunction(const RowSpace& space, int terms, Function f) {
  std::vector<double> result(static_cast<size_t>(terms) * terms);
  for (size_t k = 0; k < space.values.size(); ++k) {
    const double value = f(space.values[k]);
    for (int a = 0; a < terms; ++a) {
      for (int b = 0; b < terms; ++b) {
        result[static_cast<size_t>(a) * terms + b] +=
            space.vectors[k][a] * value * space.vectors[k][b];
      }
    }
  }
  return result;
}

std::vector<int> DistinctIds(std::span<const int> block_ids) {
  std::vector<int> ids(block_ids.begin(), block_ids.end());
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  return ids;
}

}  // namespace

absl::StatusOr<BlockIntervals> BlockIntervals::Create(const LeastSquaresProblem& problem,
                                                      const BlockIntervalOptions& options,
                                                      const LeastSquaresFit* fitted) {
  if (problem.blocks.empty()) {
    return absl::InvalidArgumentError(
        "intervals by block take the block of each row; without blocks use MeanInterval "
        "and PredictionInterval");
  }
  BlockIntervals intervals;
  intervals.options_ = options;
  if (fitted == nullptr) {
    LeastSquaresWorkspace workspace;
    RETURN_IF_ERROR(SolveLeastSquares(problem, {}, workspace, intervals.fit_));
  } else {
    intervals.fit_ = *fitted;
  }
  const LeastSquaresFit& fit = intervals.fit_;
  if (!fit.clusters->refused.empty()) {
    return absl::FailedPreconditionError(fit.clusters->refused);
  }
  ScaledSystem system;
  RETURN_IF_ERROR(system.LoadWeights(problem.weights, problem.design.rows));
  RETURN_IF_ERROR(system.LoadDesign(problem.design, {}));
  PivotedQr& qr = system.qr;
  qr.Factor(LeastSquaresOptions().rank_tolerance);
  qr.FormQ();
  qr.InvertR();
  // c'b = (R^-T P' S c)' Q' y in scaled coordinates.
  intervals.to_q_.assign(static_cast<size_t>(fit.terms) * fit.terms, 0.0);
  for (int k = 0; k < fit.terms; ++k) {
    for (int i = 0; i <= k; ++i) {
      const int column = qr.permutation(i);
      intervals.to_q_[static_cast<size_t>(k) * fit.terms + column] =
          qr.r_inverse(i, k) * system.column_scale[column];
    }
  }
  std::vector<double> residuals(fit.rows);
  for (int i = 0; i < fit.rows; ++i) {
    residuals[i] = fit.residuals[i] * system.row_scale[i];
  }
  intervals.AddBlocks(qr, residuals, problem.blocks);
  intervals.SplitVariance(residuals, problem.blocks);
  intervals.FormSingles();
  return intervals;
}

void BlockIntervals::AddBlocks(const PivotedQr& qr, std::span<const double> residuals,
                               std::span<const int> block_ids) {
  const int terms = fit_.terms;
  for (const int id : DistinctIds(block_ids)) {
    std::vector<int> rows;
    std::vector<double> sum(terms), ones(terms);
    for (int i = 0; i < fit_.rows; ++i) {
      if (block_ids[i] != id) continue;
      rows.push_back(i);
      for (int a = 0; a < terms; ++a) {
        sum[a] += qr.q(a)[i] * residuals[i];
        ones[a] += qr.q(a)[i];
      }
    }
    // With Q_g' Q_g = U L U', any f(I - H_gg) has Q_g' f(I - H_gg) = U f(1 - L) U' Q_g'.
    const RowSpace eigen = RowSpaceOf(qr, rows, terms);
    const auto adjustment = [&](double value) {
      return options_.correction == BlockCorrection::kCR2 ? 1 / std::sqrt(1 - value)
                                                          : 1 / (1 - value);
    };
    const std::vector<double> adjust = MatrixFunction(eigen, terms, adjustment);
    Block block{.residual_sum = Times(adjust, sum),
                .adjusted_ones = Times(adjust, ones),
                .ones = ones};
    for (size_t k = 0; k < eigen.values.size(); ++k) {
      const double value = eigen.values[k];
      block.directions.insert(block.directions.end(), eigen.vectors[k].begin(),
                              eigen.vectors[k].begin() + terms);
      block.adjusted.push_back(value * adjustment(value));
      block.adjusted_twice.push_back(value * adjustment(value) * adjustment(value));
    }
    blocks_.push_back(std::move(block));
  }
}

// With T = J'MJ for the indicator J of blocks and M = I - H: the forms e'e and
// sum (J'e)^2 have the expectations
//   within (n - p) + between tr T,    within tr T + between tr T^2,
// and a combination c1 of the first and c2 of the second varies, for normal errors, by
//   2 (sum over eigenvalues t of T of (c1 + c2 t)^2 (within + between t)^2
//      + (n - p - G) c1^2 within^2).
void BlockIntervals::SplitVariance(std::span<const double> residuals,
                                   std::span<const int> block_ids) {
  const std::vector<int> ids = DistinctIds(block_ids);
  const int count = static_cast<int>(ids.size());
  std::vector<double> t(static_cast<size_t>(count) * count), sums(count);
  for (int i = 0; i < fit_.rows; ++i) {
    const auto g = std::lower_bound(ids.begin(), ids.end(), block_ids[i]) - ids.begin();
    sums[g] += residuals[i];
    t[static_cast<size_t>(g) * count + g] += 1;
  }
  for (int g = 0; g < count; ++g) {
    for (int h = 0; h < count; ++h) {
      t[static_cast<size_t>(g) * count + h] -= Dot(blocks_[g].ones, blocks_[h].ones);
    }
  }
  const auto at = [count](int g, int h) { return static_cast<size_t>(g) * count + h; };
  double trace = 0, trace_of_square = 0;
  for (int g = 0; g < count; ++g) trace += t[at(g, g)];
  for (const double entry : t) trace_of_square += entry * entry;
  const double df = fit_.degrees_of_freedom;
  const double squares = Dot(residuals, residuals);
  const double determinant = df * trace_of_square - trace * trace;
  within_ = squares / df;
  between_ = 0;
  total_degrees_ = df;
  // By Cauchy and Schwarz at least 0; rounding where blocks have one point each.
  if (!(determinant > 1e-9 * df * trace_of_square)) return;
  const double block_squares = Dot(sums, sums);
  const double between = (df * block_squares - trace * squares) / determinant;
  if (!(between > 0)) return;
  const double within = (trace_of_square * squares - trace * block_squares) / determinant;
  between_ = between;
  within_ = std::max(within, 0.0);
  const double c1 = (trace_of_square - trace) / determinant;
  const double c2 = (df - trace) / determinant;
  // The sum over eigenvalues is the square of the size of (c1 + c2 T)(within + between
  // T).
  double variance = (df - count) * c1 * c1 * within_ * within_;
  for (int g = 0; g < count; ++g) {
    for (int h = 0; h < count; ++h) {
      double square = 0;
      for (int m = 0; m < count; ++m) square += t[at(g, m)] * t[at(m, h)];
      double entry =
          (c1 * between_ + c2 * within_) * t[at(g, h)] + c2 * between_ * square;
      if (g == h) entry += c1 * within_;
      variance += entry * entry;
    }
  }
  const double total = within_ + between_;
  total_degrees_ = variance > 0 ? total * total / variance : df;
}

double BlockIntervals::correlation() const {
  const double total = within_ + between_;
  return total > 0 ? between_ / total : 0;
}

// Where every block spans one direction u_g, with p_g = (u_g't)^2 and what A_g^2 and A_g
// make of its leverage, a2_g and a_g, the matrix Omega below has
//   p_g (a2_g - a_g^2)    and    -a_g a_h (u_g't)(u_h't)(u_g'u_h)
// on and off its diagonal: its trace is linear and that of its square quadratic in p.
void BlockIntervals::FormSingles() {
  const size_t count = blocks_.size();
  if (options_.degrees != BlockDegrees::kIndependent || count > kMostSingles) return;
  for (const Block& block : blocks_) {
    if (block.adjusted.size() != 1) return;
  }
  for (size_t g = 0; g < count; ++g) {
    const Block& block = blocks_[g];
    const double own = block.adjusted_twice[0] - block.adjusted[0] * block.adjusted[0];
    single_trace_.push_back(own);
    for (size_t h = 0; h < g; ++h) {
      const double shared = block.adjusted[0] * blocks_[h].adjusted[0] *
                            Dot(block.directions, blocks_[h].directions);
      single_square_.push_back(2 * shared * shared);
    }
    single_square_.push_back(own * own);
  }
}

double BlockIntervals::DegreesOfSingles(std::span<const double> t) const {
  double along_squared[kMostSingles];
  const double* entry = single_square_.data();
  double trace = 0, trace_of_square = 0;
  for (size_t g = 0; g < blocks_.size(); ++g) {
    const double along = Dot(blocks_[g].directions, t);
    along_squared[g] = along * along;
    trace += single_trace_[g] * along_squared[g];
    trace_of_square += along_squared[g] * Dot({entry, g + 1}, {along_squared, g + 1});
    entry += g + 1;
  }
  return trace_of_square > 0 ? trace * trace / trace_of_square
                             : static_cast<double>(blocks_.size()) - 1;
}

// V = sum of z_g^2 with z_g = g_g' y; under the working model cov(z) = Omega, and the
// degrees of freedom are (tr Omega)^2 / tr Omega^2.
BlockIntervals::Spread BlockIntervals::SpreadAt(std::span<const double> row) const {
  const std::vector<double> t = Times(to_q_, row);
  const size_t count = blocks_.size();
  Spread spread;
  for (const Block& block : blocks_) {
    const double z = Dot(block.residual_sum, t);
    spread.variance += z * z;
  }
  const double less_one = static_cast<double>(count) - 1;
  if (options_.correction == BlockCorrection::kCR3) {
    spread.variance *= less_one / static_cast<double>(count);
  }
  spread.degrees_of_freedom = less_one;
  if (options_.degrees == BlockDegrees::kBlocksLessOne) return spread;
  if (!single_trace_.empty()) {
    spread.degrees_of_freedom = DegreesOfSingles(t);
    return spread;
  }

  const double rho =
      options_.degrees == BlockDegrees::kEquallyCorrelated ? correlation() : 0;
  const size_t terms = t.size();
  std::vector<double> all_taken(count *
                                terms);  // K_g t: what the fit takes out of block g
  std::vector<double> own(count);        // t' Q_g' A_g^2 Q_g t
  const auto taken = [&](size_t g) {
    return std::span<const double>(all_taken).subspan(g * terms, terms);
  };
  for (size_t g = 0; g < count; ++g) {
    const Block& block = blocks_[g];
    double* const out = &all_taken[g * terms];
    for (size_t k = 0; k < block.adjusted.size(); ++k) {
      const double* const direction = &block.directions[k * terms];
      const double along = Dot({direction, terms}, t);
      own[g] += block.adjusted_twice[k] * along * along;
      const double moved = block.adjusted[k] * along;
      for (size_t a = 0; a < terms; ++a) out[a] += moved * direction[a];
    }
  }
  std::vector<std::vector<double>> sums(count);  // of g_g over the rows of each block
  if (rho > 0) {
    for (size_t g = 0; g < count; ++g) {
      for (size_t m = 0; m < count; ++m) {
        double sum = -Dot(blocks_[m].ones, taken(g));
        if (m == g) sum += Dot(blocks_[g].adjusted_ones, t);
        sums[g].push_back(sum);
      }
    }
  }
  double trace = 0, trace_of_square = 0;
  if (rho == 0 && count > 2 * terms) {
    // Omega = D - K'K with the columns taken(g) of K: tr Omega^2 is that of D^2 less
    // twice that of D K'K, and that of (K K')^2, which has as many rows as terms.
    std::vector<double> outer(terms * terms);
    for (size_t g = 0; g < count; ++g) {
      const std::span<const double> k = taken(g);
      const double lost = Dot(k, k);
      trace += own[g] - lost;
      trace_of_square += own[g] * (own[g] - 2 * lost);
      for (size_t a = 0; a < terms; ++a) {
        const double times = k[a];
        double* const line = &outer[a * terms];
        for (size_t b = 0; b <= a; ++b) line[b] += times * k[b];
      }
    }
    for (size_t a = 0; a < terms; ++a) {
      for (size_t b = 0; b <= a; ++b) {
        const double entry = outer[a * terms + b];
        trace_of_square += (a == b ? 1 : 2) * entry * entry;
      }
    }
  } else {
    for (size_t g = 0; g < count; ++g) {
      for (size_t h = 0; h <= g; ++h) {
        double entry = -Dot(taken(g), taken(h));
        if (g == h) entry += own[g];
        entry *= 1 - rho;
        if (rho > 0) entry += rho * Dot(sums[g], sums[h]);
        if (g == h) trace += entry;
        trace_of_square += (g == h ? 1 : 2) * entry * entry;
      }
    }
  }
  if (trace_of_square > 0) {
    spread.degrees_of_freedom = trace * trace / trace_of_square;
  }
  return spread;
}

std::vector<double> BlockIntervals::Covariance() const {
  const int terms = fit_.terms;
  std::vector<double> covariance(static_cast<size_t>(terms) * terms);
  std::vector<double> moved(terms);
  for (const Block& block : blocks_) {
    for (int a = 0; a < terms; ++a) {
      double sum = 0;
      for (int k = 0; k < terms; ++k) {
        sum += to_q_[static_cast<size_t>(k) * terms + a] * block.residual_sum[k];
      }
      moved[a] = sum;
    }
    for (int a = 0; a < terms; ++a) {
      for (int b = 0; b < terms; ++b) {
        covariance[static_cast<size_t>(a) * terms + b] += moved[a] * moved[b];
      }
    }
  }
  if (options_.correction == BlockCorrection::kCR3) {
    const double count = static_cast<double>(blocks_.size());
    for (double& entry : covariance) entry *= (count - 1) / count;
  }
  return covariance;
}

double BlockIntervals::DegreesOfFreedomAt(std::span<const double> row) const {
  if (!single_trace_.empty()) return DegreesOfSingles(Times(to_q_, row));
  return SpreadAt(row).degrees_of_freedom;
}

absl::StatusOr<Interval> BlockIntervals::Mean(std::span<const double> row,
                                              double confidence) const {
  RETURN_IF_ERROR(CheckConfidence(confidence));
  RETURN_IF_ERROR(CheckRow(fit_.terms, row));
  const Spread spread = SpreadAt(row);
  return StudentInterval(Estimate(fit_, row), std::sqrt(spread.variance),
                         spread.degrees_of_freedom, confidence);
}

absl::StatusOr<Interval> BlockIntervals::Prediction(std::span<const double> row,
                                                    double confidence,
                                                    double weight) const {
  RETURN_IF_ERROR(CheckConfidence(confidence));
  RETURN_IF_ERROR(CheckRow(fit_.terms, row));
  if (!(weight > 0)) {
    return absl::InvalidArgumentError(
        absl::StrCat("the weight of the new measurement is ", base::ShortestText(weight),
                     "; expected a number above 0"));
  }
  const Spread mean = SpreadAt(row);
  const double own = (within_ + between_) / weight;
  const double sum = own + mean.variance;
  double degrees = mean.degrees_of_freedom;
  if (options_.degrees != BlockDegrees::kBlocksLessOne && sum > 0) {
    degrees = sum * sum /
              (own * own / total_degrees_ +
               mean.variance * mean.variance / mean.degrees_of_freedom);
  }
  return StudentInterval(Estimate(fit_, row), std::sqrt(sum), degrees, confidence);
}

}  // namespace ratebound::fit
