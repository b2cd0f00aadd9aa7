#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/screen/figures.h"
#include "engine/screen/impossibilities.h"
#include "engine/screen/streams.h"

namespace ratebound::screen {
namespace {

using document::ModeKind;
using document::SiValue;

enum class Where { kAlways, kCooling, kHeating };

struct Order {
  std::string_view kind;
  std::string_view lower;  // quantities: the first may not exceed the second
  std::string_view upper;
  double slack_si;        // of both together where nothing is known of them
  double slack_fraction;  // of the upper, likewise
  bool shared_readings;   // uncertainties do not add; the slack alone is allowed
  Where where;
  std::string_view remedy;
};

constexpr std::string_view kSwapped =
    "look whether the two readings are swapped, or one of them is off";
constexpr std::string_view kHumidity = "look at the humidity reading and its dry bulb";
constexpr std::string_view kRefrigerantSide =
    "look at the pressure reading and at the table that turns it into a temperature";
constexpr std::string_view kTwoPhase =
    "two-phase refrigerant reads the temperature of saturation; look at the sensor's "
    "contact and at the pressure";

constexpr Order kOrders[] = {
    {"sensible above total", "sensible_capacity", "total_capacity", 0, kSensibleExcess,
     true, Where::kCooling, "look at the humidity readings and the columns"},
    {"sensible above total", "gross_sensible_capacity", "gross_total_capacity", 0,
     kSensibleExcess, true, Where::kCooling,
     "look at the humidity readings and the columns"},
    {"more than saturated", "entering_air_dew_point", "entering_air_db", kAirPairSlackK,
     0, false, Where::kAlways, kHumidity},
    {"more than saturated", "entering_air_wb", "entering_air_db", kAirPairSlackK, 0,
     false, Where::kAlways, kHumidity},
    {"more than saturated", "leaving_air_dew_point", "leaving_air_db", kAirPairSlackK, 0,
     false, Where::kAlways, kHumidity},
    {"more than saturated", "leaving_air_wb", "leaving_air_db", kAirPairSlackK, 0, false,
     Where::kAlways, kHumidity},
    {"leaving air on the wrong side", "entering_air_db", "leaving_air_db", kAirPairSlackK,
     0, false, Where::kHeating, kSwapped},
    {"leaving side colder than the refrigerant", "saturated_suction_temp",
     "leaving_air_db", kRefrigerantPairSlackK, 0, false, Where::kCooling,
     kRefrigerantSide},
    {"leaving side colder than the refrigerant", "saturated_suction_temp",
     "leaving_chilled_water_temp", kRefrigerantPairSlackK, 0, false, Where::kAlways,
     kRefrigerantSide},
    {"negative superheat", "saturated_suction_temp", "suction_temp",
     kRefrigerantPairSlackK, 0, false, Where::kAlways, kTwoPhase},
    {"discharge gas below saturation", "saturated_discharge_temp", "discharge_temp",
     kRefrigerantPairSlackK, 0, false, Where::kAlways, kTwoPhase},
    {"liquid line above saturation", "liquid_line_temp", "saturated_discharge_temp",
     kRefrigerantPairSlackK, 0, false, Where::kAlways, kTwoPhase},
    {"discharge below suction", "suction_pressure", "discharge_pressure", 0,
     kPressurePairSlackFraction, false, Where::kAlways, kSwapped},
    {"discharge below suction", "suction_gauge_pressure", "discharge_gauge_pressure",
     2000, kPressurePairSlackFraction, false, Where::kAlways, kSwapped},
    {"discharge below suction", "saturated_suction_temp", "saturated_discharge_temp",
     kRefrigerantPairSlackK, 0, false, Where::kAlways, kSwapped},
    {"discharge below suction", "suction_temp", "discharge_temp", kRefrigerantPairSlackK,
     0, false, Where::kAlways, kSwapped},
};

class Orders {
 public:
  Orders(const document::LineManifest& manifest, const document::Mode& mode,
         const document::TestPoint& point)
      : manifest_(manifest), mode_(mode), point_(point) {}

  std::vector<Doubt> Run() {
    const bool heating = mode_.kind == ModeKind::kHeating;
    for (const Order& order : kOrders) {
      if (order.where == Where::kCooling && heating) continue;
      if (order.where == Where::kHeating && !heating) continue;
      Check(order);
    }
    for (const Stream& stream : StreamsOf(mode_)) {
      const bool rises = stream.gains_heat;
      Check({"leaving water on the wrong side", rises ? stream.entering : stream.leaving,
             rises ? stream.leaving : stream.entering, kWaterPairSlackK, 0, false,
             Where::kAlways, kSwapped});
    }
    // A fan may warm the air by more than a coil cools it, but not where the net sensible
    // capacity is above 0.
    const std::optional<double> sensible_w = point_.Find("sensible_capacity");
    if (!heating && sensible_w && *sensible_w > 0) {
      Check({"leaving air on the wrong side", "leaving_air_db", "entering_air_db",
             kAirPairSlackK, 0, false, Where::kCooling, kSwapped});
    }
    CheckOwn("superheat", "negative superheat");
    CheckOwn("subcooling", "negative subcooling");
    return std::move(doubts_);
  }

 private:
  void Check(const Order& order) {
    const SiValue* const lower = point_.FindValue(order.lower);
    const SiValue* const upper = point_.FindValue(order.upper);
    if (lower == nullptr || upper == nullptr) return;
    const double excess_si = lower->value_si - upper->value_si;
    const double slack_si =
        order.slack_si + order.slack_fraction * std::fabs(upper->value_si);
    const double allowed_si =
        order.shared_readings
            ? slack_si
            : KnownUncertaintySi(manifest_, *lower).value_or(slack_si / 2) +
                  KnownUncertaintySi(manifest_, *upper).value_or(slack_si / 2);
    if (!(excess_si > allowed_si)) return;
    doubts_.push_back(
        {.kind = std::string(order.kind),
         .point = &point_,
         .message = absl::StrFormat(
             "%s of %s is above %s, %s, by %s, and its readings allow %s; %s",
             std::string(order.lower), Shown(order.lower, lower->value_si),
             std::string(order.upper), Shown(order.upper, upper->value_si),
             ShownDifference(order.lower, excess_si),
             ShownDifference(order.lower, allowed_si), std::string(order.remedy)),
         .weight = excess_si - allowed_si});
  }

  // A temperature difference that may not be below 0.
  void CheckOwn(std::string_view quantity, std::string_view kind) {
    const SiValue* const value = point_.FindValue(quantity);
    if (value == nullptr) return;
    const double allowed_k =
        KnownUncertaintySi(manifest_, *value).value_or(kRefrigerantPairSlackK);
    if (!(value->value_si < -allowed_k)) return;
    doubts_.push_back({.kind = std::string(kind),
                       .point = &point_,
                       .message = absl::StrFormat(
                           "%s of %s is below 0 by more than the %.2f K that its "
                           "readings allow; %s",
                           std::string(quantity), Shown(quantity, value->value_si),
                           allowed_k, std::string(kTwoPhase)),
                       .weight = -value->value_si - allowed_k});
  }

  const document::LineManifest& manifest_;
  const document::Mode& mode_;
  const document::TestPoint& point_;
  std::vector<Doubt> doubts_;
};

}  // namespace

std::vector<Doubt> CheckOrders(const document::LineManifest& manifest,
                               const document::Mode& mode,
                               const document::TestPoint& point) {
  return Orders(manifest, mode, point).Run();
}

}  // namespace ratebound::screen
