#include "engine/screen/tolerances.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/document/citation.h"
#include "engine/screen/figures.h"

namespace ratebound::screen {
namespace {

using document::SiValue;
using document::TestTolerance;
using document::ToleranceFigure;

class QuantityJudge {
 public:
  QuantityJudge(const TestTolerance& tolerance, const SiValue& value,
                std::optional<double> set_point_si)
      : tolerance_(tolerance), value_(value), set_point_si_(set_point_si) {}

  void Run() {
    const std::optional<double> off_set_point_si =
        set_point_si_ ? std::optional<double>(std::fabs(value_.value_si - *set_point_si_))
                      : std::nullopt;
    Judge("readings spread over", value_.spread_si, tolerance_.greatest_spread);
    Judge("readings have a standard deviation of", value_.standard_deviation_si,
          tolerance_.greatest_standard_deviation);
    std::optional<double> least_deviation_si = off_set_point_si;
    if (value_.spread_si) {
      least_deviation_si = std::max(*value_.spread_si / 2, off_set_point_si.value_or(0));
    }
    Judge("some reading is off by at least", least_deviation_si,
          tolerance_.greatest_deviation);
    Judge("the mean is off its set point by", off_set_point_si,
          tolerance_.mean_deviation);
  }

  const std::vector<std::string>& breaches() const { return breaches_; }
  double worst() const { return worst_; }

 private:
  void Judge(const char* what, std::optional<double> figure_si,
             const std::optional<ToleranceFigure>& allowance) {
    if (!figure_si || !allowance) return;
    const double base_si = std::fabs(set_point_si_.value_or(value_.value_si));
    const double allowed_si = allowance->relative_fraction
                                  ? *allowance->relative_fraction * base_si
                                  : allowance->absolute_si;
    // Half an ulp of a set point that was written in degF is no breach.
    if (!(*figure_si > allowed_si * (1 + 1e-9) + 1e-12 * base_si)) return;
    const std::string share =
        allowance->relative_fraction
            ? absl::StrFormat(" (%.3g %%)", 100 * *allowance->relative_fraction)
            : std::string();
    breaches_.push_back(
        absl::StrCat(what, " ", ShownDifference(value_.quantity, *figure_si),
                     ", allowed ", ShownDifference(value_.quantity, allowed_si), share));
    worst_ = std::max(worst_, allowed_si > 0 ? *figure_si / allowed_si : 1e9);
  }

  const TestTolerance& tolerance_;
  const SiValue& value_;
  std::optional<double> set_point_si_;
  std::vector<std::string> breaches_;
  double worst_ = 0;
};

std::optional<double> SetPointOf(const document::Mode& mode, std::string_view quantity) {
  for (const document::HeldCondition& held : mode.held_conditions) {
    if (held.quantity == quantity) return held.value_si;
  }
  return std::nullopt;
}

}  // namespace

const document::MeasurementMethod* SteadinessMethodOf(
    const document::Mode& mode, std::span<const document::MeasurementMethod> methods) {
  for (const document::MeasurementMethod& method : methods) {
    if (method.id == mode.steadiness_method &&
        method.kind == document::MethodKind::kSteadiness) {
      return &method;
    }
  }
  return nullptr;
}

std::vector<Doubt> CheckTolerances(const document::MeasurementMethod& method,
                                   const document::Mode& mode,
                                   const document::TestPoint& point) {
  std::vector<Doubt> doubts;
  for (const TestTolerance& tolerance : method.tolerances) {
    const SiValue* const value = point.FindValue(tolerance.quantity);
    if (value == nullptr) continue;
    QuantityJudge judge(tolerance, *value, SetPointOf(mode, tolerance.quantity));
    judge.Run();
    if (judge.breaches().empty()) continue;
    doubts.push_back({.kind = "test tolerance",
                      .point = &point,
                      .message = absl::StrCat(
                          tolerance.quantity, ": ", absl::StrJoin(judge.breaches(), "; "),
                          ", by ", tolerance.citation.source, " (",
                          document::BasisName(tolerance.citation.basis),
                          "); repeat the test, or say why it stands"),
                      .weight = judge.worst()});
  }
  return doubts;
}

std::vector<std::string> NotJudged(const document::MeasurementMethod& method,
                                   std::span<const document::TestPoint* const> points) {
  std::vector<std::string> quantities;
  for (const TestTolerance& tolerance : method.tolerances) {
    const auto asks = [&](const SiValue& value) {
      return (tolerance.greatest_spread && !value.spread_si) ||
             (tolerance.greatest_standard_deviation && !value.standard_deviation_si) ||
             (tolerance.greatest_deviation && !value.spread_si);
    };
    const bool missing =
        std::any_of(points.begin(), points.end(), [&](const auto* point) {
          const SiValue* const value = point->FindValue(tolerance.quantity);
          return value != nullptr && asks(*value);
        });
    if (missing && std::find(quantities.begin(), quantities.end(), tolerance.quantity) ==
                       quantities.end()) {
      quantities.push_back(tolerance.quantity);
    }
  }
  return quantities;
}

}  // namespace ratebound::screen
