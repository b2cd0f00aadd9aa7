#include "engine/rating/uncertainty.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/number/distribution.h"
#include "engine/number/random_stream.h"
#include "engine/points/uncertainty/coverage_interval.h"

namespace ratebound::rating {
namespace {

using document::MetricContribution;
using document::MetricUncertainty;
using document::UncertaintyMethod;

// Draws that one thread takes at a time; sums are over these, in their order.
constexpr int64_t kDrawsAtOnce = 1'024;
constexpr int kMostThreads = 256;
// Significant digits of a standard error that two answers are compared in (JCGM
// 101, 8.1).
constexpr int kComparedDigits = 1;

absl::Status CheckOptions(const UncertaintyOptions& options) {
  if (!(options.confidence > 0.5 && options.confidence < 1)) {
    return absl::InvalidArgumentError(absl::StrCat("a confidence of ", options.confidence,
                                                   " is not over 0.5 and under 1"));
  }
  if (options.draws < kLeastDraws || options.draws > kMostDraws) {
    return absl::InvalidArgumentError(
        absl::StrCat(options.draws, " draws are not ", kLeastDraws, " to ", kMostDraws));
  }
  return absl::OkStatus();
}

absl::Status NoScatter(const Variation& variation) {
  std::string why = "no surface that it rests on has an estimate of its scatter";
  if (!variation.gaps().empty()) absl::StrAppend(&why, ": ", variation.gaps().front());
  return absl::FailedPreconditionError(why);
}

// From here on the questions of the metric as it stands are cheap.
void Remember(const Metric& metric, VariedSource& source) {
  source.Remember();
  metric.Value(source);
  source.Move({}, {});
}

// What the metric changes by, to each side, when `index` moves by one.
class Slopes {
 public:
  Slopes(const Metric& metric, VariedSource& source, size_t days, size_t systematics)
      : metric_(metric), source_(source), days_(days), systematics_(systematics) {}

  // Empty where the metric has no value on one of the sides.
  bool OfDay(size_t index, double* change) { return Of(days_, index, change); }
  bool OfSystematic(size_t index, double* change) {
    return Of(systematics_, index, change);
  }

 private:
  bool Of(std::vector<double>& moves, size_t index, double* change) {
    double value[2];
    for (int side = 0; side < 2; ++side) {
      moves[index] = side == 0 ? 1 : -1;
      source_.Move(days_, systematics_);
      value[side] = metric_.Value(source_);
    }
    moves[index] = 0;
    *change = (value[0] - value[1]) / 2;
    return std::isfinite(*change);
  }

  const Metric& metric_;
  VariedSource& source_;
  std::vector<double> days_;
  std::vector<double> systematics_;
};

struct RandomPart {
  double standard_error = 0;
  int failures = 0;
};

RandomPart OfDays(Slopes& slopes, size_t days) {
  RandomPart part;
  double squares = 0;
  for (size_t g = 0; g < days; ++g) {
    double change = 0;
    if (slopes.OfDay(g, &change)) {
      squares += change * change;
    } else {
      ++part.failures;
    }
  }
  part.standard_error = std::sqrt(squares);
  return part;
}

std::string Describe(const SystematicSource& source) {
  switch (source.kind) {
    case SystematicSource::kGain:
      return absl::StrCat("instruments of ", source.quantity, ", as a part of the value");
    case SystematicSource::kConstant:
      return absl::StrCat("instruments of ", source.quantity, ", as a constant");
    case SystematicSource::kCondition:
      return absl::StrCat("instruments of the condition ", source.quantity);
  }
  return source.quantity;
}

// The systematic part and what contributes; the random contributions where asked.
void AddSystematic(const Variation& variation, Slopes& slopes, MetricUncertainty& sure) {
  for (size_t s = 0; s < variation.systematics().size(); ++s) {
    double change = 0;
    const std::string source = Describe(variation.systematics()[s]);
    if (!slopes.OfSystematic(s, &change)) {
      sure.notes.push_back(
          absl::StrCat("left out, as the metric has no value there: ", source));
      continue;
    }
    sure.systematic += std::fabs(change);
    sure.contributions.push_back({source, std::fabs(change), true});
  }
}

void AddRandom(const Metric& metric, const MapFigureSource& surfaces,
               VariedSource& source, const Variation& variation,
               MetricUncertainty& sure) {
  const SourceDescription& unit = source.description();
  for (const SourceSurface& surface : surfaces.surfaces()) {
    const std::string name =
        absl::StrCat(unit.quantities[static_cast<size_t>(surface.quantity)], " of stage ",
                     unit.StageId(surface.stage));
    const bool known = std::any_of(
        sure.contributions.begin(), sure.contributions.end(),
        [&](const MetricContribution& other) { return other.source == name; });
    if (known) continue;  // of another regime
    source.Restrict(surface.stage, surface.quantity);
    Slopes slopes(metric, source, variation.days().size(),
                  variation.systematics().size());
    const double part = OfDays(slopes, variation.days().size()).standard_error;
    if (part > 0) sure.contributions.push_back({name, part, false});
  }
  source.Restrict(-1, -1);
  source.Move({}, {});
}

void SortContributions(MetricUncertainty& sure) {
  std::stable_sort(sure.contributions.begin(), sure.contributions.end(),
                   [](const MetricContribution& a, const MetricContribution& b) {
                     return a.value > b.value;
                   });
}

absl::StatusOr<MetricUncertainty> FirstOrder(const Metric& metric,
                                             const MapFigureSource& source,
                                             const Variation& variation,
                                             const UncertaintyOptions& options,
                                             double* value) {
  RETURN_IF_ERROR(CheckOptions(options));
  *value = metric.Value(source);
  if (!std::isfinite(*value)) {
    return absl::FailedPreconditionError("the metric has no value");
  }
  if (!(variation.degrees_of_freedom() > 0)) return NoScatter(variation);
  VariedSource varied(source, variation);
  Remember(metric, varied);
  MetricUncertainty sure{.method = UncertaintyMethod::kFirstOrder,
                         .degrees_of_freedom = variation.degrees_of_freedom(),
                         .confidence = options.confidence,
                         .notes = variation.gaps()};
  Slopes slopes(metric, varied, variation.days().size(), variation.systematics().size());
  const RandomPart random = OfDays(slopes, variation.days().size());
  sure.standard_error = random.standard_error;
  if (random.failures > 0) {
    sure.notes.push_back(absl::StrCat(random.failures,
                                      " test days are left out: moved by their deviation "
                                      "the metric has no value"));
  }
  AddRandom(metric, source, varied, variation, sure);
  AddSystematic(variation, slopes, sure);
  SortContributions(sure);
  const double t =
      number::StudentTQuantile(0.5 + options.confidence / 2, sure.degrees_of_freedom);
  const double reach = t * sure.standard_error + sure.systematic;
  sure.low = *value - reach;
  sure.high = *value + reach;
  return sure;
}

// Draws first to first + values.size() - 1 of the metric; NaN where it has none.
void Draw(const Metric& metric, VariedSource& source, const number::RandomStream& stream,
          size_t days, int64_t first, std::span<double> values) {
  std::vector<double> moves(days);
  for (size_t i = 0; i < values.size(); ++i) {
    const auto draw = static_cast<uint64_t>(first) + i;
    for (size_t g = 0; g < days; g += 2) {
      const number::UniformPair u = stream.At(draw, static_cast<uint32_t>(g / 2));
      moves[g] = number::NormalQuantile(u.first);
      if (g + 1 < days) moves[g + 1] = number::NormalQuantile(u.second);
    }
    source.Move(moves, {});
    values[i] = metric.Value(source);
  }
}

// False when stopped.
bool DrawAll(const Metric& metric, const MapFigureSource& source,
             const Variation& variation, const UncertaintyOptions& options,
             std::vector<double>& values) {
  const number::RandomStream stream(options.seed);
  const auto total = static_cast<int64_t>(values.size());
  const int64_t parts = (total + kDrawsAtOnce - 1) / kDrawsAtOnce;
  std::atomic<int64_t> next{0};
  std::atomic<bool> stopped{false};
  const auto run = [&] {
    VariedSource varied(source, variation);
    Remember(metric, varied);
    for (int64_t part; !stopped && (part = next++) < parts;) {
      if (options.stop && options.stop()) {
        stopped = true;
        return;
      }
      const int64_t first = part * kDrawsAtOnce;
      const int64_t count = std::min(kDrawsAtOnce, total - first);
      Draw(metric, varied, stream, variation.days().size(), first,
           std::span(values).subspan(static_cast<size_t>(first),
                                     static_cast<size_t>(count)));
    }
  };
  const int most = static_cast<int>(std::min<int64_t>(parts, kMostThreads));
  std::vector<std::thread> threads;
  for (int t = 1; t < std::min(options.thread_count, most); ++t)
    threads.emplace_back(run);
  run();
  for (std::thread& thread : threads) thread.join();
  return !stopped;
}

double StandardDeviation(std::span<const double> values) {
  double sum = 0;
  for (double value : values) sum += value;
  const double mean = sum / static_cast<double>(values.size());
  double squares = 0;
  for (double value : values) squares += (value - mean) * (value - mean);
  return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

}  // namespace

absl::StatusOr<MetricUncertainty> FirstOrderUncertainty(
    const Metric& metric, const MapFigureSource& source, const Variation& variation,
    const UncertaintyOptions& options) {
  double value = 0;
  return FirstOrder(metric, source, variation, options, &value);
}

absl::StatusOr<MetricUncertainty> MonteCarloUncertainty(
    const Metric& metric, const MapFigureSource& source, const Variation& variation,
    const UncertaintyOptions& options) {
  double value = 0;
  ASSIGN_OR_RETURN(MetricUncertainty sure,
                   FirstOrder(metric, source, variation, options, &value));
  std::vector<double> values(static_cast<size_t>(options.draws));
  if (!DrawAll(metric, source, variation, options, values)) {
    return absl::CancelledError("drawing was stopped");
  }
  const auto failed = std::remove_if(values.begin(), values.end(),
                                     [](double v) { return !std::isfinite(v); });
  sure.failed_draw_count = static_cast<int>(values.end() - failed);
  values.erase(failed, values.end());
  if (static_cast<int64_t>(values.size()) < kLeastDraws) {
    return absl::FailedPreconditionError(absl::StrCat("the metric has a value in ",
                                                      values.size(), " of ",
                                                      options.draws, " draws only"));
  }
  const double linear_standard = sure.standard_error;
  sure.method = UncertaintyMethod::kMonteCarlo;
  sure.draw_count = static_cast<int>(options.draws);
  sure.seed = options.seed;
  sure.standard_error = StandardDeviation(values);
  const points::Interval drawn = points::SymmetricIntervalOf(values, options.confidence);
  const double upper = 0.5 + options.confidence / 2;
  const double normal = number::NormalQuantile(upper);
  const double stretch =
      number::StudentTQuantile(upper, sure.degrees_of_freedom) / normal;
  sure.low = value - stretch * (value - drawn.low) - sure.systematic;
  sure.high = value + stretch * (drawn.high - value) + sure.systematic;
  const points::Adequacy adequacy = points::CheckAdequacy(
      value, normal * linear_standard, drawn, linear_standard, kComparedDigits);
  sure.notes.push_back(absl::StrFormat("first order gives a standard error of %.4g; %s",
                                       linear_standard, adequacy.sentence));
  if (sure.failed_draw_count > 0) {
    sure.notes.push_back(absl::StrCat("the procedure has no figure in ",
                                      sure.failed_draw_count, " of ", options.draws,
                                      " draws; they are left out"));
  }
  return sure;
}

}  // namespace ratebound::rating
