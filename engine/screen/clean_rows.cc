#include "engine/screen/clean_rows.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "engine/fit/least_squares.h"
#include "engine/fit/robust.h"
#include "engine/number/distribution.h"

namespace ratebound::screen {
namespace {

fit::DesignMatrix RowsOf(const fit::DesignMatrix& design, std::span<const int> rows) {
  fit::DesignMatrix part(static_cast<int>(rows.size()), design.columns);
  for (int k = 0; k < part.rows; ++k) {
    for (int j = 0; j < part.columns; ++j) part.at(k, j) = design.at(rows[k], j);
  }
  return part;
}

class ForwardSearch {
 public:
  ForwardSearch(const fit::DesignMatrix& design, std::span<const double> response)
      : design_(design), response_(response) {
    double greatest = 0;
    for (const double value : response) greatest = std::max(greatest, std::fabs(value));
    least_scatter_ = kLeastScatterFraction * greatest;
  }

  std::optional<CleanRows> Run() {
    const auto all = fit::SolveLeastSquares({.design = design_, .response = response_});
    if (!all.ok() || all->degrees_of_freedom < 2) return std::nullopt;
    result_.leverages = all->leverages;
    std::vector<int> clean = Start(*all);
    while (Judge(clean)) {
      const std::vector<int> order = Nearest();
      const auto count = static_cast<int>(clean.size());
      if (count == design_.rows) return std::move(result_);
      if (std::fabs(result_.studentised[order[count]]) > result_.limit) {
        for (int row = 0; row < design_.rows; ++row) {
          result_.clean[row] = std::fabs(result_.studentised[row]) <= result_.limit;
        }
        return std::move(result_);
      }
      clean.assign(order.begin(), order.begin() + count + 1);
      std::sort(clean.begin(), clean.end());
    }
    return std::nullopt;
  }

 private:
  std::vector<int> Start(const fit::LeastSquaresFit& all) {
    std::vector<int> rows;
    const auto robust = fit::FitRobust({.design = design_, .response = response_});
    if (robust.ok()) {
      for (int row = 0; row < design_.rows; ++row) {
        if (!std::binary_search(robust->doubtful_rows.begin(),
                                robust->doubtful_rows.end(), row)) {
          rows.push_back(row);
        }
      }
      result_.robust = true;
      if (static_cast<int>(rows.size()) < design_.rows && Judge(rows)) return rows;
    }
    // e^2 / (1 - h) orders rows as their externally studentised residuals do.
    int worst = 0;
    const auto surprise = [&](int row) {
      return std::fabs(all.residuals[row] * all.loo_residuals[row]);
    };
    for (int row = 1; row < design_.rows; ++row) {
      if (surprise(row) > surprise(worst)) worst = row;
    }
    rows.resize(static_cast<size_t>(design_.rows));
    std::iota(rows.begin(), rows.end(), 0);
    rows.erase(rows.begin() + worst);
    return rows;
  }

  // Fits the clean rows and places all rows by it. False where they cannot carry it.
  bool Judge(std::span<const int> clean) {
    const fit::DesignMatrix part = RowsOf(design_, clean);
    std::vector<double> part_response;
    for (const int row : clean) part_response.push_back(response_[row]);
    const auto fitted =
        fit::SolveLeastSquares({.design = part, .response = part_response});
    if (!fitted.ok()) return false;
    result_.scatter = std::max(fitted->residual_sd, least_scatter_);
    result_.limit = -number::StudentTQuantile(
        kOutlierProbability / (2.0 * (part.rows + 1)), fitted->degrees_of_freedom);
    result_.clean.assign(static_cast<size_t>(design_.rows), false);
    for (const int row : clean) result_.clean[row] = true;
    result_.misses.assign(static_cast<size_t>(design_.rows), 0);
    result_.studentised = result_.misses;
    std::vector<double> terms(static_cast<size_t>(design_.columns));
    for (int row = 0; row < design_.rows; ++row) {
      double surface = 0;
      for (int j = 0; j < design_.columns; ++j) {
        terms[j] = design_.at(row, j);
        surface += fitted->coefficients[j] * terms[j];
      }
      const double root = fit::StandardError(fitted->unscaled_covariance, terms);
      const double leverage = root * root;
      const double spread = result_.clean[row] ? 1 - leverage : 1 + leverage;
      result_.misses[row] = response_[row] - surface;
      // A clean row that decides a term by itself is met by the surface, whatever it is.
      result_.studentised[row] =
          spread > 1e-9 ? result_.misses[row] / (result_.scatter * std::sqrt(spread)) : 0;
    }
    return true;
  }

  std::vector<int> Nearest() const {
    std::vector<int> order(static_cast<size_t>(design_.rows));
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
      return std::fabs(result_.studentised[a]) < std::fabs(result_.studentised[b]);
    });
    return order;
  }

  const fit::DesignMatrix& design_;
  std::span<const double> response_;
  double least_scatter_ = 0;
  CleanRows result_;
};

}  // namespace

std::optional<CleanRows> FindCleanRows(const fit::DesignMatrix& design,
                                       std::span<const double> response) {
  return ForwardSearch(design, response).Run();
}

}  // namespace ratebound::screen
