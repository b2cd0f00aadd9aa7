#include "engine/points/uncertainty/monte_carlo.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <thread>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/sum.h"

namespace ratebound::points {
namespace {

constexpr int64_t kMostDraws = 100'000'000;
constexpr int kMostThreads = 256;
constexpr int kBlock = 256;  // draws at a time: their factors stay in the cache

size_t Size(int64_t count) { return static_cast<size_t>(count); }

// The least number of draws that leaves 100 outside the interval (7.9.4 b).
double FewestDraws(double probability) {
  return std::ceil(100 / (1 - probability) - 1e-6);
}

absl::Status CheckOptions(const InputUncertainty& inputs,
                          std::span<const double> estimates, int output_count,
                          const MonteCarloOptions& options) {
  base::FaultList faults;
  if (estimates.size() != Size(inputs.input_count()) ||
      !std::ranges::all_of(estimates, [](double x) { return std::isfinite(x); })) {
    faults.Add({.field = "estimates",
                .message = absl::StrCat("not ", inputs.input_count(),
                                        " finite numbers, one for each input")});
  }
  if (output_count < 1) {
    faults.Add({.field = "output_count", .message = "a model has at least one output"});
  }
  if (!(options.probability > 0 && options.probability < 1)) {
    faults.Add({.field = "probability", .message = "not between 0 and 1"});
  } else if (static_cast<double>(options.draws) < FewestDraws(options.probability) ||
             options.draws > kMostDraws) {
    faults.Add(
        {.field = "draws",
         .message = absl::StrCat(options.draws, " draws are outside ",
                                 base::ShortestText(FewestDraws(options.probability)),
                                 " to ", kMostDraws, " for this probability")});
  }
  if (options.threads < 1 || options.threads > kMostThreads) {
    faults.Add(
        {.field = "threads",
         .message = absl::StrCat(options.threads, " is outside 1 to ", kMostThreads)});
  }
  if (options.significant_digits < 0 || options.significant_digits > 4) {
    faults.Add({.field = "significant_digits",
                .message = absl::StrCat(options.significant_digits,
                                        " is outside 0 (not adaptive) to 4")});
  }
  if (!(options.tolerance_share > 0 && options.tolerance_share <= 1)) {
    faults.Add({.field = "tolerance_share", .message = "not above 0 and at most 1"});
  }
  return faults.ToStatus();
}

// The outputs of all draws so far, output by output.
class Draws {
 public:
  Draws(const InputDraws& source, std::span<const double> estimates, int output_count,
        const ModelFunction& model, const InputUncertainty& inputs)
      : source_(source),
        estimates_(estimates),
        model_(model),
        factor_count_(Size(inputs.factor_count())),
        columns_(Size(output_count)) {}

  // Adds `count` draws.
  absl::Status Extend(int64_t count, int threads) {
    const size_t first = columns_.front().size();
    const size_t last = first + Size(count);
    for (std::vector<double>& column : columns_) column.resize(last);
    const size_t share = Size((count + threads - 1) / threads);
    std::vector<absl::Status> results(Size(threads));
    std::vector<std::thread> helpers;
    for (int t = 1; t < threads; ++t) {
      const size_t begin = std::min(last, first + Size(t) * share);
      const size_t end = std::min(last, begin + share);
      helpers.emplace_back(
          [this, begin, end, &result = results[Size(t)]] { result = Run(begin, end); });
    }
    results.front() = Run(first, std::min(last, first + share));
    for (std::thread& helper : helpers) helper.join();
    for (const absl::Status& result : results) RETURN_IF_ERROR(result);
    return absl::OkStatus();
  }

  std::vector<std::vector<double>>& columns() { return columns_; }

 private:
  absl::Status Run(size_t begin, size_t end) {
    std::vector<double> factors(factor_count_ * kBlock);
    std::vector<double> errors(estimates_.size() * kBlock);
    std::vector<double> inputs(estimates_.size());
    std::vector<double> outputs(columns_.size());
    for (size_t block = begin; block < end; block += kBlock) {
      const size_t count = std::min<size_t>(kBlock, end - block);
      source_.Fill(block, static_cast<int>(count), factors, errors);
      for (size_t draw = 0; draw < count; ++draw) {
        for (size_t i = 0; i < inputs.size(); ++i) {
          inputs[i] = estimates_[i] + errors[i * count + draw];
        }
        model_(inputs, outputs);
        for (size_t output = 0; output < outputs.size(); ++output) {
          if (!std::isfinite(outputs[output])) {
            return NotFinite(block + draw, output, inputs, outputs[output]);
          }
          columns_[output][block + draw] = outputs[output];
        }
      }
    }
    return absl::OkStatus();
  }

  static absl::Status NotFinite(size_t draw, size_t output,
                                std::span<const double> inputs, double value) {
    std::string at;
    for (const double input : inputs) {
      absl::StrAppend(&at, at.empty() ? "" : ", ", base::ShortestText(input));
    }
    return absl::FailedPreconditionError(absl::StrCat(
        "draw ", draw, " of the inputs (", at, ") gives ", base::ShortestText(value),
        " for output ", output, "; the model must hold over the inputs' uncertainty"));
  }

  const InputDraws& source_;
  std::span<const double> estimates_;
  const ModelFunction& model_;
  size_t factor_count_;
  std::vector<std::vector<double>> columns_;
};

double CovarianceOfDraws(std::span<const double> a, double mean_a,
                         std::span<const double> b, double mean_b) {
  number::OrderedSum sum;
  for (size_t i = 0; i < a.size(); ++i) sum.Add((a[i] - mean_a) * (b[i] - mean_b));
  return sum.Total() / (static_cast<double>(a.size()) - 1);
}

// What 7.9.4 follows from sequence to sequence, for one output.
class Stability {
 public:
  void Add(std::span<const double> sequence, double probability) {
    std::vector<double> sorted(sequence.begin(), sequence.end());
    std::ranges::sort(sorted);
    const double mean = number::Mean(sequence);
    const double variance = CovarianceOfDraws(sequence, mean, sequence, mean);
    const Interval interval = SymmetricInterval(sorted, probability);
    means_.push_back(mean);
    variances_.push_back(variance);
    standards_.push_back(std::sqrt(variance));
    lows_.push_back(interval.low);
    highs_.push_back(interval.high);
    length_ = static_cast<double>(sequence.size());
  }

  // The standard uncertainty over all sequences together.
  double Standard() const {
    const double h = static_cast<double>(means_.size());
    const double within = (length_ - 1) * number::Sum(variances_);
    const double between = length_ * SquaresAboutMean(means_);
    return std::sqrt((within + between) / (h * length_ - 1));
  }
  double Instability() const {
    double largest = 0;
    for (const std::vector<double>* figures : {&means_, &standards_, &lows_, &highs_}) {
      const double h = static_cast<double>(figures->size());
      largest = std::max(largest, std::sqrt(SquaresAboutMean(*figures) / (h * (h - 1))));
    }
    return 2 * largest;
  }

 private:
  static double SquaresAboutMean(std::span<const double> figures) {
    const double mean = number::Mean(figures);
    number::OrderedSum sum;
    for (const double figure : figures) sum.Add((figure - mean) * (figure - mean));
    return sum.Total();
  }

  std::vector<double> means_;
  std::vector<double> variances_;
  std::vector<double> standards_;
  std::vector<double> lows_;
  std::vector<double> highs_;
  double length_ = 0;
};

absl::Status DrawUntilStable(const MonteCarloOptions& options, Draws& draws,
                             MonteCarlo& result) {
  const int64_t sequence = std::min(
      options.draws,
      std::max<int64_t>(static_cast<int64_t>(FewestDraws(options.probability)), 10'000));
  std::vector<Stability> stability(result.outputs.size());
  result.is_stable = false;
  for (int64_t drawn = 0; !result.is_stable && drawn + sequence <= options.draws;
       drawn += sequence) {
    RETURN_IF_ERROR(draws.Extend(sequence, options.threads));
    result.is_stable = drawn > 0;
    for (size_t output = 0; output < stability.size(); ++output) {
      stability[output].Add(
          std::span(draws.columns()[output]).subspan(Size(drawn), Size(sequence)),
          options.probability);
      if (drawn == 0) continue;
      MonteCarloOutput& reported = result.outputs[output];
      reported.tolerance =
          options.tolerance_share *
          NumericalTolerance(stability[output].Standard(), options.significant_digits);
      reported.instability = stability[output].Instability();
      if (reported.instability > reported.tolerance) result.is_stable = false;
    }
  }
  return absl::OkStatus();
}

// Sorts the draws.
void Summarize(double probability, std::vector<std::vector<double>>& columns,
               MonteCarlo& result) {
  const size_t output_count = columns.size();
  result.draws = static_cast<int64_t>(columns.front().size());
  result.covariance = {.size = static_cast<int>(output_count),
                       .values = std::vector<double>(output_count * output_count)};
  for (size_t a = 0; a < output_count; ++a) {
    result.outputs[a].mean = number::Mean(columns[a]);
    for (size_t b = 0; b <= a; ++b) {
      const double covariance = CovarianceOfDraws(columns[a], result.outputs[a].mean,
                                                  columns[b], result.outputs[b].mean);
      result.covariance.values[a * output_count + b] = covariance;
      result.covariance.values[b * output_count + a] = covariance;
    }
  }
  for (size_t a = 0; a < output_count; ++a) {
    std::ranges::sort(columns[a]);
    MonteCarloOutput& output = result.outputs[a];
    output.standard_uncertainty =
        std::sqrt(result.covariance.values[a * output_count + a]);
    output.symmetric = SymmetricInterval(columns[a], probability);
    output.shortest = ShortestInterval(columns[a], probability);
  }
}

}  // namespace

absl::StatusOr<MonteCarlo> RunMonteCarlo(const InputUncertainty& inputs,
                                         std::span<const double> estimates,
                                         int output_count, const ModelFunction& model,
                                         const MonteCarloOptions& options) {
  RETURN_IF_ERROR(CheckOptions(inputs, estimates, output_count, options));
  ASSIGN_OR_RETURN(const InputDraws source,
                   InputDraws::Create(inputs, options.seed, options.part));
  Draws draws(source, estimates, output_count, model, inputs);
  MonteCarlo result;
  result.outputs.resize(Size(output_count));
  if (options.significant_digits > 0) {
    RETURN_IF_ERROR(DrawUntilStable(options, draws, result));
  } else {
    RETURN_IF_ERROR(draws.Extend(options.draws, options.threads));
  }
  Summarize(options.probability, draws.columns(), result);
  return result;
}

}  // namespace ratebound::points
