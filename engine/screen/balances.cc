#include "engine/screen/balances.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/document/citation.h"
#include "engine/fluid/liquid.h"
#include "engine/quantity/unit.h"
#include "engine/screen/figures.h"
#include "engine/screen/impossibilities.h"
#include "engine/screen/streams.h"

namespace ratebound::screen {
namespace {

using document::MeasurementMethod;
using document::SiValue;
using fluid::Liquid;
using fluid::LiquidKind;

constexpr double kStreamPressurePa = 300000;
constexpr char kKind[] = "energy balance";

struct Limit {
  double fraction = kBalanceTolerance;
  std::string source = "the usual limit";
};

// A number of a method as a fraction; empty where it has another unit.
std::optional<Limit> LimitOf(std::span<const MeasurementMethod> methods,
                             std::string_view id) {
  for (const MeasurementMethod& method : methods) {
    if (method.id != id) continue;
    for (const document::MethodNumber& number : method.numbers) {
      if (number.name != "balance_limit") continue;
      const std::string& unit = number.value.unit;
      const auto fraction = quantity::FindUnit(unit, quantity::Dimension::kFraction);
      if (!unit.empty() && !fraction.ok()) return std::nullopt;
      return Limit{unit.empty() ? number.value.value
                                : quantity::ToSi(number.value.value, *fraction),
                   absl::StrCat("the limit by ", number.value.citation.source, " (",
                                document::BasisName(number.value.citation.basis), ")")};
    }
  }
  return std::nullopt;
}

Limit BalanceLimit(std::span<const MeasurementMethod> methods,
                   const document::Mode& mode) {
  if (!mode.reduction) return {};
  if (mode.reduction->balance_limit_fraction) {
    return {*mode.reduction->balance_limit_fraction, "the limit of the line"};
  }
  std::vector<std::string> ids;
  if (mode.reduction->air_side) ids.push_back(mode.reduction->air_side->method);
  for (const document::LiquidSide& side : mode.reduction->liquid_sides) {
    ids.push_back(side.method);
  }
  for (const std::string& id : ids) {
    if (const auto limit = LimitOf(methods, id)) return *limit;
  }
  return {};
}

class Balances {
 public:
  Balances(const document::LineManifest& manifest,
           std::span<const MeasurementMethod> methods, const document::Mode& mode,
           const document::TestPoint& point)
      : manifest_(manifest),
        methods_(methods),
        mode_(mode),
        point_(point),
        heating_(mode.kind == document::ModeKind::kHeating) {}

  std::vector<Doubt> Run() {
    const SiValue* const balance = point_.FindValue("heat_balance");
    if (balance != nullptr && balance->computed) {
      JudgeComputed(balance->value_si);
      return std::move(doubts_);
    }
    capacity_w_ = point_.Find(heating_ ? "heating_capacity" : "total_capacity");
    power_w_ = point_.Find("power_input");
    if (!capacity_w_) return {};
    const std::string_view heat = heating_ ? "heat_absorbed" : "heat_rejection";
    const SiValue* const heat_found = point_.FindValue(heat);
    if (heat_found != nullptr) {
      Compare(std::string(heat), heat_found->value_si, 0, false);
    }
    for (const Stream& stream : StreamsOf(mode_)) {
      // A heat that the reduction computed is that of its stream already.
      if (heat_found != nullptr && heat_found->computed && !stream.delivers_capacity) {
        continue;
      }
      CheckStream(stream);
    }
    return std::move(doubts_);
  }

 private:
  void JudgeComputed(double balance) {
    const Limit limit = BalanceLimit(methods_, mode_);
    if (std::fabs(balance) <= limit.fraction) return;
    doubts_.push_back({.kind = kKind,
                       .point = &point_,
                       .message = absl::StrFormat(
                           "capacity by the second side is %.1f %% %s that by the first; "
                           "%s is %.3g %%; look at the flows and at the readings of both "
                           "sides",
                           100 * std::fabs(balance), balance > 0 ? "above" : "below",
                           limit.source, 100 * limit.fraction),
                       .weight = std::fabs(balance)});
  }

  // What capacity and power leave for a heat flow; empty where power was not measured.
  std::optional<double> ExpectedW(bool capacity_side) const {
    if (capacity_side) return capacity_w_;
    if (!power_w_) return std::nullopt;
    return heating_ ? *capacity_w_ - *power_w_ : *capacity_w_ + *power_w_;
  }

  void Compare(const std::string& what, double measured_w, double slack_w,
               bool capacity_side) {
    const std::optional<double> expected_w = ExpectedW(capacity_side);
    if (!expected_w) return;
    const double apart_w = measured_w - *expected_w;
    if (std::fabs(apart_w) <= kBalanceTolerance * std::fabs(*expected_w) + slack_w)
      return;
    const char* const net = heating_ ? "heating_capacity" : "total_capacity";
    doubts_.push_back(
        {.kind = kKind,
         .point = &point_,
         .message = absl::StrFormat(
             "%s of %.6g W is %.1f %% %s %s%s, %.6g W; look at flow, temperatures and "
             "power",
             what, measured_w, 100 * std::fabs(apart_w / *expected_w),
             apart_w > 0 ? "above" : "below", net,
             capacity_side ? ""
             : heating_    ? " less power_input"
                           : " plus power_input",
             *expected_w),
         .weight = std::fabs(apart_w / *expected_w)});
  }

  double SlackSi(const SiValue& value, double otherwise_si) const {
    return KnownUncertaintySi(manifest_, value).value_or(otherwise_si);
  }

  void CheckStream(const Stream& stream) {
    const SiValue* const in = point_.FindValue(stream.entering);
    const SiValue* const out = point_.FindValue(stream.leaving);
    const SiValue* const flow =
        stream.flow.empty() ? nullptr : point_.FindValue(stream.flow);
    const std::optional<double> expected_w = ExpectedW(stream.delivers_capacity);
    if (in == nullptr || out == nullptr || flow == nullptr || !expected_w) return;
    std::optional<double> best_w;
    double w_per_k = 0;
    for (const Liquid& liquid : LiquidsOf(stream)) {
      const absl::Status sound = fluid::CheckLiquid(
          liquid, std::min(in->value_si, out->value_si), kStreamPressurePa);
      if (!sound.ok()) continue;
      const double density =
          fluid::Density(liquid, in->value_si, kStreamPressurePa);  // kg/m3
      const double change = fluid::EnthalpyDifference(
          liquid, in->value_si, kStreamPressurePa, out->value_si, kStreamPressurePa);
      const double kg_per_s = MassFlow(*flow, density);
      const double heat_w = kg_per_s * (stream.gains_heat ? change : -change);
      if (best_w && std::fabs(heat_w - *expected_w) >= std::fabs(*best_w - *expected_w)) {
        continue;
      }
      best_w = heat_w;
      w_per_k = kg_per_s * fluid::SpecificHeat(liquid, in->value_si, kStreamPressurePa);
    }
    if (!best_w) {
      doubts_.push_back(
          {.kind = "liquid out of range",
           .point = &point_,
           .message = absl::StrFormat(
               "%s of %.2f degC and %s of %.2f degC: no such water%s; look at the "
               "temperatures, or say fluid_concentration",
               stream.entering, in->value_si, stream.leaving, out->value_si,
               point_.Find("fluid_concentration") ? " or glycol" : "")});
      return;
    }
    const double slack_k =
        SlackSi(*in, kWaterPairSlackK / 2) + SlackSi(*out, kWaterPairSlackK / 2);
    const double flow_fraction =
        flow->value_si > 0 ? SlackSi(*flow, 0) / flow->value_si : 0;
    Compare(
        absl::StrFormat("heat %s the water of %s",
                        stream.gains_heat ? "given to" : "taken from", stream.entering),
        *best_w, w_per_k * slack_k + flow_fraction * std::fabs(*best_w),
        stream.delivers_capacity);
  }

  static double MassFlow(const SiValue& flow, double density_kg_m3) {
    const bool by_mass = flow.quantity.find("mass") != std::string::npos;
    return by_mass ? flow.value_si : density_kg_m3 * flow.value_si;
  }

  std::vector<Liquid> LiquidsOf(const Stream& stream) const {
    const std::optional<double> measured = point_.Find("fluid_concentration");
    if (mode_.reduction) {
      for (const document::LiquidSide& side : mode_.reduction->liquid_sides) {
        if (side.entering != stream.entering) continue;
        const auto kind = fluid::ParseLiquidKind(side.liquid);
        if (!kind.ok()) continue;
        if (*kind == LiquidKind::kWater) return {{*kind, 0}};
        return {{*kind, measured.value_or(side.concentration_fraction.value_or(0))}};
      }
    }
    if (!measured || !(*measured > 0)) return {{LiquidKind::kWater, 0}};
    return {{LiquidKind::kPropyleneGlycol, *measured},
            {LiquidKind::kEthyleneGlycol, *measured}};
  }

  const document::LineManifest& manifest_;
  std::span<const MeasurementMethod> methods_;
  const document::Mode& mode_;
  const document::TestPoint& point_;
  const bool heating_;
  std::optional<double> capacity_w_;
  std::optional<double> power_w_;
  std::vector<Doubt> doubts_;
};

}  // namespace

std::vector<Doubt> CheckBalances(const document::LineManifest& manifest,
                                 std::span<const MeasurementMethod> methods,
                                 const document::Mode& mode,
                                 const document::TestPoint& point) {
  return Balances(manifest, methods, mode, point).Run();
}

}  // namespace ratebound::screen
