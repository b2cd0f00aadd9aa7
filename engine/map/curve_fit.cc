#include "engine/map/curve_fit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/fit/least_squares.h"
#include "engine/fluid/liquid.h"
#include "engine/fluid/moist_air.h"
#include "engine/number/elementary.h"

namespace ratebound::map {
namespace {

using document::CurveFit;
using document::CurveKind;
using document::CurveRequest;
using document::TestPoint;

// Flows within a factor of this tell little of the exponent.
constexpr double kLeastFlowRatio = 1.3;
constexpr int kFanTerms = 3;

void NoteRange(CurveFit& curve, std::string_view quantity, double value_si) {
  for (document::TestedSpan& span : curve.tested) {
    if (span.quantity != quantity) continue;
    span.low_si = std::min(span.low_si, value_si);
    span.high_si = std::max(span.high_si, value_si);
    return;
  }
  curve.tested.push_back({std::string(quantity), value_si, value_si});
}

struct LineFit {
  std::vector<double> coefficients;
  std::vector<double> standard_errors;
  std::vector<double> residuals;
};

// Least squares of y on 1, x, x^2, ...
absl::StatusOr<LineFit> FitPowers(std::span<const double> x, std::span<const double> y,
                                  int terms) {
  fit::DesignMatrix design(static_cast<int>(x.size()), terms);
  for (int row = 0; row < design.rows; ++row) {
    double power = 1;
    for (int term = 0; term < terms; ++term) {
      design.at(row, term) = power;
      power *= x[static_cast<size_t>(row)];
    }
  }
  auto fitted = fit::SolveLeastSquares({.design = design, .response = y});
  if (!fitted.ok()) return fitted.status();
  LineFit line{.coefficients = std::move(fitted->coefficients),
               .standard_errors = {},
               .residuals = std::move(fitted->residuals)};
  for (int term = 0; term < terms; ++term) {
    line.standard_errors.push_back(fitted->StandardErrorOf(term));
  }
  return line;
}

double RootMeanSquare(std::span<const double> values) {
  double sum = 0;
  for (double value : values) sum += value * value;
  return std::sqrt(sum / static_cast<double>(values.size()));
}

// Whether the point is one of the curve's.
bool IsOf(const TestPoint& point, const document::Unit& unit, const CurveRequest& curve) {
  return point.accepted() && point.unit == unit.id &&
         (point.curve.empty() || point.curve == curve.id);
}

struct LiquidRows {
  std::vector<double> reynolds;  // ln(q rho / mu)
  std::vector<double> drop;      // ln(dp rho / mu^2)
  double log_density_sum = 0;
  double log_viscosity_sum = 0;
  double least_flow = std::numeric_limits<double>::infinity();
  double greatest_flow = 0;
};

// Adds a point; a sentence where it cannot be used.
std::string AddLiquidPoint(const TestPoint& point, const CurveRequest& request,
                           LiquidRows& rows, CurveFit& curve) {
  const auto flow = point.Find(request.flow);
  const auto drop = point.Find(request.pressure_drop);
  const auto temperature = point.Find(request.temperature);
  if (!flow || !drop || !temperature) {
    if (point.curve.empty()) return "";
    return absl::StrCat("point '", point.id, "' lacks ",
                        !flow   ? request.flow
                        : !drop ? request.pressure_drop
                                : request.temperature);
  }
  if (!(*flow > 0) || !(*drop > 0)) {
    return absl::StrCat("point '", point.id, "' has no flow or no pressure drop");
  }
  auto kind = fluid::ParseLiquidKind(request.liquid);
  if (!kind.ok()) return std::string(kind.status().message());
  const fluid::Liquid liquid{
      *kind, *kind == fluid::LiquidKind::kWater
                 ? 0
                 : point.Find("fluid_concentration")
                       .value_or(request.concentration_fraction.value_or(0))};
  const auto state = fluid::Describe(liquid, *temperature, fluid::kUsualLiquidPressurePa);
  if (!state.ok()) {
    return absl::StrCat("point '", point.id, "': ", state.status().message());
  }
  const double log_density = number::Log(state->density_kg_m3);
  const double log_viscosity = number::Log(state->viscosity_pa_s);
  rows.reynolds.push_back(number::Log(*flow) + log_density - log_viscosity);
  rows.drop.push_back(number::Log(*drop) + log_density - 2 * log_viscosity);
  rows.log_density_sum += log_density;
  rows.log_viscosity_sum += log_viscosity;
  rows.least_flow = std::min(rows.least_flow, *flow);
  rows.greatest_flow = std::max(rows.greatest_flow, *flow);
  curve.points.push_back(point.id);
  NoteRange(curve, request.flow, *flow);
  NoteRange(curve, request.pressure_drop, *drop);
  NoteRange(curve, request.temperature, *temperature);
  if (*kind != fluid::LiquidKind::kWater) {
    NoteRange(curve, "fluid_concentration", liquid.concentration_fraction);
  }
  return "";
}

void FitLiquid(const CurveRequest& request, const LiquidRows& rows, CurveFit& curve) {
  if (curve.points.size() < 3 || rows.greatest_flow < kLeastFlowRatio * rows.least_flow) {
    curve.warnings.push_back(
        absl::StrFormat("not fitted: %d points with flow, pressure drop and temperature, "
                        "over a flow ratio "
                        "of %.2f; an exponent needs at least 3 over a ratio of %.1f",
                        curve.points.size(),
                        curve.points.empty() ? 0 : rows.greatest_flow / rows.least_flow,
                        kLeastFlowRatio));
    return;
  }
  const auto line = FitPowers(rows.reynolds, rows.drop, 2);
  if (!line.ok()) {
    curve.warnings.push_back(absl::StrCat("not fitted: ", line.status().message()));
    return;
  }
  const double exponent = line->coefficients[1];
  const auto count = static_cast<double>(curve.points.size());
  const double log_density = rows.log_density_sum / count;
  const double log_viscosity = rows.log_viscosity_sum / count;
  curve.reference_density = number::Exp(log_density);
  curve.reference_viscosity = number::Exp(log_viscosity);
  const double factor = number::Exp(line->coefficients[0] + (exponent - 1) * log_density +
                                    (2 - exponent) * log_viscosity);
  curve.coefficients = {factor, exponent};
  // Of the factor at the middle of the points, where it does not hang on the exponent.
  const double scatter = RootMeanSquare(line->residuals) *
                         std::sqrt(count / std::max(1.0, count - 2)) / std::sqrt(count);
  curve.standard_errors = {factor * scatter, line->standard_errors[1]};
  curve.residual_fraction = RootMeanSquare(line->residuals);
  curve.form = absl::StrCat(
      request.pressure_drop, " = C ", request.flow,
      "^n (density / reference)^(n - 1) (viscosity / reference)^(2 - n): C, n");
  if (exponent < kLeastUsualExponent || exponent > kGreatestUsualExponent) {
    curve.warnings.push_back(absl::StrFormat(
        "exponent %.2f is outside %.1f to %.1f, where drops in turbulent flow lie "
        "(common "
        "practice, no source): check zero and range of the pressure gauge, and valves",
        exponent, kLeastUsualExponent, kGreatestUsualExponent));
  }
}

// Density of the air at the fan's inlet: that of the entering air where it was measured.
double AirDensity(const TestPoint& point) {
  const auto dry_bulb = point.Find("entering_air_db");
  if (!dry_bulb) return kStandardAirDensity;
  const double pressure_pa =
      point.Find("barometric_pressure").value_or(fluid::Si::kSeaLevelPressure);
  double humidity_ratio = 0;
  if (const auto read = point.Find("entering_air_humidity_ratio")) {
    humidity_ratio = *read;
  } else if (const auto dew_point = point.Find("entering_air_dew_point")) {
    humidity_ratio = fluid::HumidityRatioFromDewPoint<fluid::Si>(
        *dew_point, pressure_pa, fluid::PhaseAt<fluid::Si>(*dew_point));
  } else if (const auto wet_bulb = point.Find("entering_air_wb")) {
    humidity_ratio = fluid::HumidityRatioFromWetBulb<fluid::Si>(
        *dry_bulb, *wet_bulb, pressure_pa, fluid::PhaseAt<fluid::Si>(*wet_bulb));
  }
  const double volume =
      fluid::SpecificVolume<fluid::Si>(*dry_bulb, humidity_ratio, pressure_pa);
  return (1 + humidity_ratio) / volume;
}

struct FanRows {
  std::vector<double> flow;
  std::vector<double> pressure;
  std::vector<double> flow_of_power;
  std::vector<double> power;
  bool speed_unknown = false;
};

void AddFanPoint(const TestPoint& point, FanRows& rows, CurveFit& curve) {
  const auto flow = point.Find("air_flow");
  const auto pressure = point.Find("external_static_pressure");
  if (!flow || !pressure || !(*flow > 0)) {
    if (!point.curve.empty()) {
      curve.warnings.push_back(
          absl::StrCat("point '", point.id, "' lacks ",
                       pressure ? "air_flow" : "external_static_pressure"));
    }
    return;
  }
  const auto speed = point.Find("fan_speed");
  if (!speed) rows.speed_unknown = true;
  const double n = speed.value_or(1);
  if (!(n > 0)) return;
  const double density = AirDensity(point);
  rows.flow.push_back(*flow / n);
  rows.pressure.push_back(*pressure / (density * n * n));
  if (const auto power = point.Find("indoor_fan_power")) {
    rows.flow_of_power.push_back(*flow / n);
    rows.power.push_back(*power / (density * n * n * n));
    NoteRange(curve, "indoor_fan_power", *power);
  }
  curve.points.push_back(point.id);
  NoteRange(curve, "air_flow", *flow);
  NoteRange(curve, "external_static_pressure", *pressure);
  if (speed) NoteRange(curve, "fan_speed", *speed);
}

// Residuals to the largest value, so that points near zero pressure do not count twice.
double ShareOfLargest(const LineFit& line, std::span<const double> values) {
  double largest = 0;
  for (double value : values) largest = std::max(largest, std::fabs(value));
  return largest > 0 ? RootMeanSquare(line.residuals) / largest : 0;
}

void FitFan(FanRows& rows, CurveFit& curve) {
  if (rows.flow.size() <= kFanTerms) {
    curve.warnings.push_back(
        absl::StrCat("not fitted: ", rows.flow.size(),
                     " points with air_flow and external_static_pressure; a fan curve "
                     "needs more than ",
                     kFanTerms));
    return;
  }
  const auto line = FitPowers(rows.flow, rows.pressure, kFanTerms);
  if (!line.ok()) {
    curve.warnings.push_back(absl::StrCat("not fitted: ", line.status().message()));
    return;
  }
  curve.coefficients = line->coefficients;
  curve.standard_errors = line->standard_errors;
  curve.residual_fraction = ShareOfLargest(*line, rows.pressure);
  curve.reference_density = kStandardAirDensity;
  curve.form =
      "external_static_pressure / (density fan_speed^2) = a0 + a1 f + a2 f^2, f = "
      "air_flow "
      "/ fan_speed: a0, a1, a2; power_coefficients likewise of indoor_fan_power / "
      "(density "
      "fan_speed^3)";
  if (rows.speed_unknown) {
    curve.warnings.push_back(
        "fan_speed was not measured at every point and is taken as one and the same");
  }
  if (rows.power.size() > kFanTerms) {
    const auto power = FitPowers(rows.flow_of_power, rows.power, kFanTerms);
    if (power.ok()) {
      curve.power_coefficients = power->coefficients;
      curve.power_residual_fraction = ShareOfLargest(*power, rows.power);
    }
  }
}

double Evaluate(std::span<const double> coefficients, double x) {
  double value = 0;
  for (size_t i = coefficients.size(); i-- > 0;) value = value * x + coefficients[i];
  return value;
}

absl::Status CheckFitted(const CurveFit& curve, CurveKind kind, const char* what) {
  if (curve.kind == kind && !curve.coefficients.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(
      absl::StrCat(curve.unit, "/", curve.id, " is no fitted curve of ", what,
                   curve.warnings.empty() ? "" : absl::StrCat(": ", curve.warnings[0])));
}

}  // namespace

std::vector<CurveFit> FitCurves(const document::LineManifest& manifest,
                                std::span<const TestPoint> points,
                                std::string_view only_unit) {
  std::vector<CurveFit> curves;
  for (const document::Unit& unit : manifest.units) {
    if (!only_unit.empty() && unit.id != only_unit) continue;
    for (const CurveRequest& request : unit.curves) {
      CurveFit curve{.unit = unit.id, .id = request.id, .kind = request.kind};
      if (request.kind == CurveKind::kLiquidPressureDrop) {
        LiquidRows rows;
        for (const TestPoint& point : points) {
          if (!IsOf(point, unit, request)) continue;
          std::string why = AddLiquidPoint(point, request, rows, curve);
          if (!why.empty()) curve.warnings.push_back(std::move(why));
        }
        FitLiquid(request, rows, curve);
      } else {
        FanRows rows;
        for (const TestPoint& point : points) {
          if (IsOf(point, unit, request)) AddFanPoint(point, rows, curve);
        }
        FitFan(rows, curve);
      }
      curves.push_back(std::move(curve));
    }
  }
  return curves;
}

absl::StatusOr<double> PressureDrop(const CurveFit& curve, double flow_m3_per_s,
                                    double density, double viscosity) {
  if (absl::Status fitted =
          CheckFitted(curve, CurveKind::kLiquidPressureDrop, "a liquid's pressure drop");
      !fitted.ok()) {
    return fitted;
  }
  const double exponent = curve.coefficients[1];
  return curve.coefficients[0] * number::Pow(flow_m3_per_s, exponent) *
         number::Pow(density / curve.reference_density, exponent - 1) *
         number::Pow(viscosity / curve.reference_viscosity, 2 - exponent);
}

absl::StatusOr<FanState> FanAt(const CurveFit& curve, double static_pressure_pa,
                               double speed_rev_per_s, double density) {
  if (absl::Status fitted = CheckFitted(curve, CurveKind::kFan, "a fan"); !fitted.ok()) {
    return fitted;
  }
  const double n = speed_rev_per_s;
  const double a2 = curve.coefficients[2];
  const double a1 = curve.coefficients[1];
  const double rest = curve.coefficients[0] - static_pressure_pa / (density * n * n);
  // The larger root where the curve falls: the working side of a fan.
  double flow = std::numeric_limits<double>::quiet_NaN();
  if (a2 == 0) {
    flow = -rest / a1;
  } else {
    const double discriminant = a1 * a1 - 4 * a2 * rest;
    if (discriminant >= 0) {
      const double q = -0.5 * (a1 + std::copysign(std::sqrt(discriminant), a1));
      const double first = q / a2;
      const double second = q == 0 ? 0 : rest / q;
      // Falling where a1 + 2 a2 f < 0.
      flow = a1 + 2 * a2 * first < 0 ? first : second;
    }
  }
  if (!(flow > 0) || !std::isfinite(flow)) {
    const double top = a2 < 0 && a1 > 0 ? -a1 / (2 * a2) : 0;
    return absl::FailedPreconditionError(
        absl::StrFormat("%s/%s: against %.6g Pa the fan moves no air on the falling side "
                        "of its curve; at "
                        "this speed it gives at most %.6g Pa",
                        curve.unit, curve.id, static_pressure_pa,
                        Evaluate(curve.coefficients, top) * density * n * n));
  }
  const double power =
      curve.power_coefficients.empty()
          ? std::numeric_limits<double>::quiet_NaN()
          : Evaluate(curve.power_coefficients, flow) * density * n * n * n;
  return FanState{flow * n, power};
}

}  // namespace ratebound::map
