#include "engine/points/log/tolerance.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

// The decimals of a log decide, not the last bits of their differences.
constexpr double kTieFraction = 1e-9;
// Sliding figures decide only beyond this of the allowance; the rows do within.
constexpr double kOpenFraction = 1e-8;
constexpr double kMostPercentShown = 1e6;  // of a mean near 0

std::string_view KindName(ToleranceKind kind) {
  switch (kind) {
    case ToleranceKind::kSpread:
      return "spread";
    case ToleranceKind::kDeviation:
      return "deviation";
    case ToleranceKind::kStandardDeviation:
      return "standard deviation";
    case ToleranceKind::kMean:
      break;
  }
  return "mean off its set point by";
}

}  // namespace

ChannelTolerance::ChannelTolerance(const document::TestTolerance& tolerance,
                                   const LogChannel& channel, int channel_index,
                                   std::optional<double> set_point_si)
    : name_(channel.name), channel_(channel_index), unit_(channel.unit) {
  unit_scale_ = quantity::DifferenceToSi(1, unit_);
  unit_shift_ = unit_.shift.ToDouble();
  if (set_point_si) set_point_ = quantity::FromSi(*set_point_si, unit_);
  const auto take = [&](ToleranceKind kind,
                        const std::optional<document::ToleranceFigure>& figure) {
    if (!figure) return;
    Limit limit{.as_written = *figure};
    if (figure->relative_fraction) {
      limit.relative = true;
      limit.fraction = *figure->relative_fraction;
    } else {
      limit.absolute = quantity::DifferenceFromSi(figure->absolute_si, unit_);
    }
    limits_[static_cast<int>(kind)] = std::move(limit);
  };
  take(ToleranceKind::kSpread, tolerance.greatest_spread);
  take(ToleranceKind::kDeviation, tolerance.greatest_deviation);
  take(ToleranceKind::kStandardDeviation, tolerance.greatest_standard_deviation);
  if (set_point_) {
    take(ToleranceKind::kMean, tolerance.mean_deviation);
  } else {
    lacks_set_point_ = tolerance.mean_deviation.has_value();
  }
  const auto has = [&](ToleranceKind kind) {
    return limits_[static_cast<int>(kind)].has_value();
  };
  needs_extremes_ = has(ToleranceKind::kSpread) || has(ToleranceKind::kDeviation);
  needs_sums_ = has(ToleranceKind::kStandardDeviation) || has(ToleranceKind::kMean) ||
                (has(ToleranceKind::kDeviation) && !set_point_);
  for (const std::optional<Limit>& limit : limits_) {
    if (limit && limit->relative && !set_point_) needs_sums_ = true;
  }
}

// A part of the value in SI, where the zero of a scale with an offset is degC's.
double ChannelTolerance::Allowed(const Limit& limit, double mean) const {
  if (!limit.relative) return limit.absolute;
  return limit.fraction * std::fabs(set_point_.value_or(mean) + unit_shift_);
}

JudgedFigure ChannelTolerance::JudgeAll(const Figures& f) const {
  const bool exact = f.mean_error == 0 && f.variance_error == 0;
  const double aim = set_point_.value_or(f.mean);
  const double aim_error = set_point_ ? 0 : f.mean_error;
  for (int k = 0; k < kToleranceKindCount; ++k) {
    if (!limits_[k]) continue;
    const auto kind = static_cast<ToleranceKind>(k);
    const double allowed = Allowed(*limits_[k], f.mean);
    double figure = 0;
    double error = limits_[k]->relative ? limits_[k]->fraction * f.mean_error : 0;
    switch (kind) {
      case ToleranceKind::kSpread:
        figure = f.greatest - f.least;
        break;
      case ToleranceKind::kDeviation:
        figure = std::max(f.greatest - aim, aim - f.least);
        error += aim_error;
        break;
      case ToleranceKind::kStandardDeviation:
        figure = std::sqrt(f.variance);
        // The square root of the error bounds that of a square root.
        error += std::min(std::sqrt(f.variance_error),
                          f.variance_error / std::max(figure, 1e-300));
        break;
      case ToleranceKind::kMean:
        figure = std::fabs(f.mean - aim);
        error += f.mean_error;
    }
    // Equal decimals differ by no more than the rounding of both.
    const double size =
        std::max({std::fabs(f.greatest), std::fabs(f.least), std::fabs(aim)});
    const double rounding = 4 * 0x1p-52 * size;
    if (!exact &&
        std::fabs(figure - allowed) <= error + rounding + kOpenFraction * allowed) {
      return {.verdict = JudgedFigure::Verdict::kOpen};
    }
    if (figure > allowed * (1 + kTieFraction) + rounding) {
      const double whole = std::fabs(aim + unit_shift_);
      return {.verdict = JudgedFigure::Verdict::kFails,
              .kind = kind,
              .figure = limits_[k]->relative
                            ? std::min(100 * figure / whole, kMostPercentShown)
                            : figure * unit_scale_};
    }
  }
  return {};
}

JudgedFigure ChannelTolerance::Judge(const SlidingFigures& figures) const {
  Figures f;
  if (needs_sums_) {
    f.mean = figures.mean();
    f.mean_error = figures.mean_error() + 1e-300;
    f.variance = figures.variance();
    f.variance_error = figures.variance_error() + 1e-300;
  } else {
    f.mean_error = f.variance_error = 1e-300;
  }
  if (needs_extremes_) {
    f.least = figures.least();
    f.greatest = figures.greatest();
  }
  return JudgeAll(f);
}

JudgedFigure ChannelTolerance::Judge(const SampleStatistics& exact) const {
  return JudgeAll({.mean = exact.mean,
                   .variance = exact.standard_deviation * exact.standard_deviation,
                   .least = exact.least,
                   .greatest = exact.greatest});
}

bool ChannelTolerance::IsChange(double before, double after) const {
  for (ToleranceKind kind : {ToleranceKind::kSpread, ToleranceKind::kDeviation,
                             ToleranceKind::kStandardDeviation}) {
    const std::optional<Limit>& limit = limits_[static_cast<int>(kind)];
    if (!limit) continue;
    return std::fabs(after - before) > Allowed(*limit, before) * (1 + kTieFraction);
  }
  return after != before;
}

std::string ChannelTolerance::Describe(ToleranceKind kind, double figure) const {
  const Limit& limit = *limits_[static_cast<int>(kind)];
  const std::string what = absl::StrCat(name_, " ", base::Absl(KindName(kind)));
  if (limit.relative) {
    return absl::StrFormat("%s %.3g %% of the %s, allowed %s", what, figure,
                           set_point_ ? "set point" : "mean",
                           base::ShortestText(100 * limit.fraction));
  }
  std::string unit = limit.as_written.unit;
  const auto found = quantity::FindUnit(unit);
  if (unit.starts_with("delta_")) unit.erase(0, 6);  // that it is one goes without saying
  const double shown = found.ok() ? quantity::DifferenceFromSi(figure, *found) : figure;
  return absl::StrFormat("%s %.3g %s, allowed %s", what, shown, unit,
                         base::ShortestText(limit.as_written.absolute.value_or(0)));
}

}  // namespace ratebound::points
