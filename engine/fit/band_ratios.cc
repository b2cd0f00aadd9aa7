#include "engine/fit/band_ratios.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fit/block_row_space.h"
#include "engine/fit/scaled_system.h"
#include "engine/number/random_stream.h"

namespace ratebound::fit {
namespace {

// Any number would do; changing it changes which claims are refuted by a hair.
constexpr uint64_t kKey = 0x62616E6420726174;

// Standard normal numbers of one draw; lane 2 k gives numbers 2 k and 2 k + 1.
void DrawNormals(uint64_t draw, std::span<double> normals) {
  const number::RandomStream stream(kKey);
  for (size_t i = 0; i < normals.size(); ++i) {
    const number::UniformPair pair = stream.At(draw, static_cast<uint32_t>(i / 2));
    normals[i] = number::NormalDraw({i % 2 == 0 ? pair.first : pair.second, 0.5});
  }
}

void Normalise(std::vector<double>& vector) {
  double squares = 0;
  for (const double v : vector) squares += v * v;
  const double length = std::sqrt(squares);
  for (double& v : vector) v /= length;
}

// The block's rows of Q, and what turns the sum of its residuals over Q into its part of
// the standard error.
struct Block {
  std::vector<int> rows;
  RowSpace space;
  std::vector<double> factors;  // (1 - value)^(-1/2), one for each direction
};

struct Extremes {
  double high = -std::numeric_limits<double>::infinity();
  double low = std::numeric_limits<double>::infinity();

  void Add(double ratio) {
    high = std::max(high, ratio);
    low = std::min(low, ratio);
  }
};

}  // namespace

absl::StatusOr<std::vector<double>> RatiosOverBlocks(const LeastSquaresProblem& problem,
                                                     const DesignMatrix& places,
                                                     int draws) {
  if (problem.blocks.empty() || places.rows == 0 || draws < 1 ||
      places.columns != problem.design.columns) {
    return absl::InvalidArgumentError(
        absl::StrCat("ratios over blocks take the block of each row, places with ",
                     problem.design.columns, " terms and at least one draw; there are ",
                     places.rows, " places of ", places.columns, " terms"));
  }
  LeastSquaresFit fit;
  LeastSquaresWorkspace workspace;
  RETURN_IF_ERROR(SolveLeastSquares(problem, {}, workspace, fit));
  if (fit.clusters && !fit.clusters->refused.empty()) {
    return absl::FailedPreconditionError(fit.clusters->refused);
  }
  ScaledSystem system;
  RETURN_IF_ERROR(system.LoadWeights(problem.weights, problem.design.rows));
  RETURN_IF_ERROR(system.LoadDesign(problem.design, {}));
  PivotedQr& qr = system.qr;
  qr.Factor(LeastSquaresOptions().rank_tolerance);
  qr.FormQ();
  qr.InvertR();
  const int terms = fit.terms, rows = fit.rows;

  // Places in the coordinates of Q: c'b = t'Q'y.
  std::vector<double> at(static_cast<size_t>(places.rows) * terms);
  for (int n = 0; n < places.rows; ++n) {
    for (int k = 0; k < terms; ++k) {
      double sum = 0;
      for (int i = 0; i <= k; ++i) {
        const int column = qr.permutation(i);
        sum += qr.r_inverse(i, k) * system.column_scale[column] * places.at(n, column);
      }
      at[static_cast<size_t>(n) * terms + k] = sum;
    }
  }
  std::vector<int> ids(problem.blocks.begin(), problem.blocks.end());
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  std::vector<Block> blocks;
  for (const int id : ids) {
    Block& block = blocks.emplace_back();
    for (int i = 0; i < rows; ++i) {
      if (problem.blocks[i] == id) block.rows.push_back(i);
    }
    block.space = RowSpaceOf(qr, block.rows, terms);
    for (const double value : block.space.values) {
      block.factors.push_back(1 / std::sqrt(1 - value));
    }
  }

  std::vector<double> ratios;
  ratios.reserve(2 * static_cast<size_t>(draws));
  std::vector<double> errors(rows), z(terms), sum(terms);
  std::vector<double> of_block(blocks.size() * static_cast<size_t>(terms));
  for (int draw = 0; draw < draws; ++draw) {
    DrawNormals(draw, errors);
    for (int k = 0; k < terms; ++k) {
      z[k] = 0;
      for (int i = 0; i < rows; ++i) z[k] += qr.q(k)[i] * errors[i];
    }
    for (int i = 0; i < rows; ++i) {
      for (int k = 0; k < terms; ++k) errors[i] -= qr.q(k)[i] * z[k];
    }
    Normalise(z);
    for (size_t g = 0; g < blocks.size(); ++g) {
      const Block& block = blocks[g];
      std::fill(sum.begin(), sum.end(), 0.0);
      for (const int i : block.rows) {
        for (int k = 0; k < terms; ++k) sum[k] += qr.q(k)[i] * errors[i];
      }
      double* const part = &of_block[g * static_cast<size_t>(terms)];
      std::fill(part, part + terms, 0.0);
      for (size_t d = 0; d < block.factors.size(); ++d) {
        const std::vector<double>& vector = block.space.vectors[d];
        double along = 0;
        for (int k = 0; k < terms; ++k) along += vector[k] * sum[k];
        for (int k = 0; k < terms; ++k) part[k] += vector[k] * block.factors[d] * along;
      }
    }
    Extremes extremes;
    for (int n = 0; n < places.rows; ++n) {
      const double* const t = &at[static_cast<size_t>(n) * terms];
      double value = 0, variance = 0;
      for (int k = 0; k < terms; ++k) value += t[k] * z[k];
      for (size_t g = 0; g < blocks.size(); ++g) {
        const double* const part = &of_block[g * static_cast<size_t>(terms)];
        double along = 0;
        for (int k = 0; k < terms; ++k) along += t[k] * part[k];
        variance += along * along;
      }
      extremes.Add(value / std::sqrt(variance));
    }
    ratios.push_back(extremes.high);
    ratios.push_back(-extremes.low);
  }
  return ratios;
}

std::vector<double> RatiosOfDirections(const DesignMatrix& places, int draws) {
  const int terms = places.columns;
  std::vector<double> lengths;
  for (int n = 0; n < places.rows; ++n) {
    double squares = 0;
    for (int k = 0; k < terms; ++k) squares += places.at(n, k) * places.at(n, k);
    lengths.push_back(std::sqrt(squares));
  }
  std::vector<double> ratios, z(terms);
  for (int draw = 0; draw < draws; ++draw) {
    DrawNormals(draw, z);
    Normalise(z);
    Extremes extremes;
    for (int n = 0; n < places.rows; ++n) {
      double value = 0;
      for (int k = 0; k < terms; ++k) value += places.at(n, k) * z[k];
      extremes.Add(value / lengths[n]);
    }
    ratios.push_back(extremes.high);
    ratios.push_back(-extremes.low);
  }
  return ratios;
}

}  // namespace ratebound::fit
