#include "engine/fit/intervals.h"

#include <cmath>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/distribution.h"

namespace ratebound::fit {

Interval StudentInterval(double estimate, double standard_error,
                         double degrees_of_freedom, double confidence) {
  const double half =
      -number::StudentTQuantile((1 - confidence) / 2, degrees_of_freedom) *
      standard_error;
  return {.estimate = estimate,
          .low = estimate - half,
          .high = estimate + half,
          .standard_error = standard_error,
          .degrees_of_freedom = degrees_of_freedom};
}

absl::Status CheckConfidence(double confidence) {
  if (confidence > 0 && confidence < 1) return absl::OkStatus();
  return absl::InvalidArgumentError(absl::StrCat("the confidence is ",
                                                 base::ShortestText(confidence),
                                                 "; expected a share such as 0.95"));
}

absl::Status CheckRow(int terms, std::span<const double> row) {
  if (row.size() == static_cast<size_t>(terms)) return absl::OkStatus();
  return absl::InvalidArgumentError(
      absl::StrCat("a row of ", row.size(), " numbers for a fit of ", terms, " terms"));
}

double Estimate(const LeastSquaresFit& fit, std::span<const double> row) {
  double sum = 0;
  for (int j = 0; j < fit.terms; ++j) sum += row[j] * fit.coefficients[j];
  return sum;
}

absl::StatusOr<Interval> TermInterval(const LeastSquaresFit& fit, int term,
                                      double confidence) {
  RETURN_IF_ERROR(CheckConfidence(confidence));
  if (term < 0 || term >= fit.terms) {
    return absl::InvalidArgumentError(
        absl::StrCat("there is no term ", term, " among ", fit.terms));
  }
  return StudentInterval(fit.coefficients[term], fit.StandardErrorOf(term),
                         fit.degrees_of_freedom, confidence);
}

absl::StatusOr<Interval> MeanInterval(const LeastSquaresFit& fit,
                                      std::span<const double> row, double confidence) {
  RETURN_IF_ERROR(CheckConfidence(confidence));
  RETURN_IF_ERROR(CheckRow(fit.terms, row));
  return StudentInterval(Estimate(fit, row), fit.StandardError(row),
                         fit.degrees_of_freedom, confidence);
}

absl::StatusOr<Interval> PredictionInterval(const LeastSquaresFit& fit,
                                            std::span<const double> row,
                                            double confidence, double weight) {
  RETURN_IF_ERROR(CheckConfidence(confidence));
  RETURN_IF_ERROR(CheckRow(fit.terms, row));
  if (!(weight > 0)) {
    return absl::InvalidArgumentError(
        absl::StrCat("the weight of the new measurement is ", base::ShortestText(weight),
                     "; expected a number above 0"));
  }
  const double mean = fit.StandardError(row);
  const double own = fit.residual_sd * fit.residual_sd / weight;
  return StudentInterval(Estimate(fit, row), std::sqrt(mean * mean + own),
                         fit.degrees_of_freedom, confidence);
}

std::vector<double> BlockErrorRatios(const LeastSquaresFit& fit) {
  std::vector<double> ratios;
  if (!fit.clusters || fit.clusters->covariance.empty()) return ratios;
  for (int j = 0; j < fit.terms; ++j) {
    const double variance =
        fit.clusters->covariance[static_cast<size_t>(j) * fit.terms + j];
    ratios.push_back(std::sqrt(variance) / fit.StandardErrorOf(j));
  }
  return ratios;
}

}  // namespace ratebound::fit
