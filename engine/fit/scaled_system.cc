#include "engine/fit/scaled_system.h"

#include <algorithm>
#include <cmath>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

constexpr double kLargest = 1e150;

// The power of two that brings `largest` into [0.5, 1); 1 for zero.
double ScaleOf(double largest) {
  if (largest == 0) return 1;
  int exponent = 0;
  std::frexp(largest, &exponent);
  return std::ldexp(1.0, -exponent);
}

// Whether all are finite and of magnitude below kLargest; `largest` takes the greatest
// magnitude.
bool Measure(std::span<const double> values, double& largest) {
  double greatest = 0;
  bool good = true;
  for (double x : values) {
    const double magnitude = std::fabs(x);
    good &= magnitude < kLargest;
    greatest = magnitude > greatest ? magnitude : greatest;
  }
  largest = greatest;
  return good;
}

absl::Status ValueError(const std::string& what, std::span<const double> values) {
  size_t row = 0;
  while (std::fabs(values[row]) < kLargest) ++row;
  return absl::InvalidArgumentError(
      absl::StrCat(what, " of row ", row, " is ", base::ShortestText(values[row]),
                   "; expected a finite number below 1e150"));
}

}  // namespace

absl::Status ScaledSystem::LoadWeights(std::span<const double> weights, int rows) {
  weighted = !weights.empty();
  row_scale.assign(rows, 1.0);
  for (size_t i = 0; i < weights.size(); ++i) {
    if (!(weights[i] > 0 && weights[i] < kLargest)) {
      return absl::InvalidArgumentError(
          absl::StrCat("the weight of row ", i, " is ", base::ShortestText(weights[i]),
                       "; expected a finite number above 0"));
    }
    row_scale[i] = std::sqrt(weights[i]);
  }
  return absl::OkStatus();
}

absl::Status ScaledSystem::LoadDesign(const DesignMatrix& design,
                                      std::span<const std::string> term_names) {
  const int rows = design.rows, terms = design.columns;
  qr.Reset(rows, terms);
  const bool has_low = weighted || !design.low.empty();
  matrix_low.assign(has_low ? static_cast<size_t>(qr.stride()) * terms : 0, 0.0);
  augmented.matrix_low = has_low ? &matrix_low : nullptr;
  column_scale.resize(terms);
  for (int j = 0; j < terms; ++j) {
    const std::span<const double> values = design.Column(j);
    double* column = qr.column(j);
    double largest = 0;
    if (!Measure(values, largest)) return ValueError(TermText(term_names, j), values);
    if (weighted) {
      for (int i = 0; i < rows; ++i) column[i] = row_scale[i] * values[i];
      Measure({column, values.size()}, largest);
    }
    const double scale = ScaleOf(largest);
    const double* source = weighted ? column : values.data();
    for (int i = 0; i < rows; ++i) column[i] = source[i] * scale;
    column_scale[j] = scale;

    if (!has_low) continue;
    double* low = &matrix_low[static_cast<size_t>(j) * qr.stride()];
    for (int i = 0; i < rows; ++i) {
      low[i] = number::TwoProduct(row_scale[i], values[i]).error * scale;
      if (!design.low.empty()) {
        low[i] += design.low[static_cast<size_t>(j) * rows + i] * row_scale[i] * scale;
      }
    }
  }
  return absl::OkStatus();
}

absl::Status ScaledSystem::LoadResponse(std::span<const double> response) {
  double largest = 0;
  if (!Measure(response, largest)) return ValueError("the response", response);
  augmented.b_high.assign(qr.stride(), 0.0);
  augmented.b_low.assign(weighted ? qr.stride() : 0, 0.0);
  for (size_t i = 0; i < response.size(); ++i) {
    augmented.b_high[i] = row_scale[i] * response[i];
  }
  Measure(augmented.b_high, largest);
  response_scale = ScaleOf(largest);
  for (double& b : augmented.b_high) b *= response_scale;
  if (weighted) {
    for (size_t i = 0; i < response.size(); ++i) {
      augmented.b_low[i] =
          number::TwoProduct(row_scale[i], response[i]).error * response_scale;
    }
  }
  return absl::OkStatus();
}

std::string TermText(std::span<const std::string> names, int term) {
  if (term < static_cast<int>(names.size())) return names[term];
  return absl::StrCat("term ", term);
}

}  // namespace ratebound::fit
