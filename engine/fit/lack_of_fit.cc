#include "engine/fit/lack_of_fit.h"

#include <cmath>
#include <map>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/number/distribution.h"

namespace ratebound::fit {

absl::StatusOr<LackOfFit> TestLackOfFit(const LeastSquaresFit& fit,
                                        const RepeatedResponses& repeats) {
  const size_t rows = static_cast<size_t>(fit.rows);
  if (repeats.response.size() != rows || repeats.groups.size() != rows ||
      (!repeats.weights.empty() && repeats.weights.size() != rows)) {
    return absl::InvalidArgumentError(
        absl::StrCat("the fit has ", rows, " rows; ", repeats.response.size(),
                     " responses, ", repeats.weights.size(), " weights and ",
                     repeats.groups.size(), " group ids given"));
  }
  const auto weight = [&](size_t i) {
    return repeats.weights.empty() ? 1 : repeats.weights[i];
  };

  // Means are taken from each group's first response, so that no digits cancel.
  struct Group {
    double weight = 0;
    double first = 0;
    double shifted_sum = 0;  // of weight * (response - first)
  };
  std::map<int, Group> groups;
  for (size_t i = 0; i < rows; ++i) {
    Group& group = groups[repeats.groups[i]];
    if (group.weight == 0) group.first = repeats.response[i];
    group.weight += weight(i);
    group.shifted_sum += weight(i) * (repeats.response[i] - group.first);
  }
  LackOfFit test;
  test.pure_error_degrees_of_freedom = fit.rows - static_cast<int>(groups.size());
  test.lack_degrees_of_freedom = static_cast<int>(groups.size()) - fit.terms;
  if (test.pure_error_degrees_of_freedom < 1) {
    return absl::FailedPreconditionError(
        "no condition was tested twice, so lack of fit cannot be told from scatter; "
        "repeat some "
        "points");
  }
  if (test.lack_degrees_of_freedom < 1) {
    return absl::FailedPreconditionError(
        absl::StrCat(groups.size(), " distinct conditions leave nothing to check ",
                     fit.terms, " terms by; it takes at least ", fit.terms + 1));
  }
  for (size_t i = 0; i < rows; ++i) {
    const Group& group = groups[repeats.groups[i]];
    const double deviation =
        (repeats.response[i] - group.first) - group.shifted_sum / group.weight;
    test.pure_error_sum_of_squares += weight(i) * deviation * deviation;
  }
  if (test.pure_error_sum_of_squares == 0) {
    return absl::FailedPreconditionError(
        "all repeats agree exactly, so their scatter is not known; were values copied?");
  }
  test.lack_of_fit_sum_of_squares =
      std::fmax(0, fit.residual_sum_of_squares - test.pure_error_sum_of_squares);
  const double pure_error_mean_square =
      test.pure_error_sum_of_squares / test.pure_error_degrees_of_freedom;
  test.pure_error_sd = std::sqrt(pure_error_mean_square);
  test.f = test.lack_of_fit_sum_of_squares / test.lack_degrees_of_freedom /
           pure_error_mean_square;
  test.p_value = number::FUpperTail(test.f, test.lack_degrees_of_freedom,
                                    test.pure_error_degrees_of_freedom);
  return test;
}

}  // namespace ratebound::fit
