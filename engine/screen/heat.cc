#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/text.h"
#include "engine/screen/coil.h"
#include "engine/screen/figures.h"
#include "engine/screen/humidity.h"
#include "engine/screen/impossibilities.h"
#include "engine/screen/streams.h"

namespace ratebound::screen {
namespace {

using document::SiValue;

constexpr double kZeroCelsiusK = 273.15;

// A stream's temperature and what it may be off by.
struct Level {
  double value_c = 0;
  double slack_k = 0;
  std::string name;
};

class Heat {
 public:
  Heat(const document::LineManifest& manifest, const document::Mode& mode,
       const document::TestPoint& point)
      : manifest_(manifest),
        mode_(mode),
        point_(point),
        heating_(mode.kind == document::ModeKind::kHeating) {}

  std::vector<Doubt> Run() {
    CheckCarnot();
    CheckPowerParts();
    if (!heating_) {
      CheckCapacityParts();
      CheckMoisture();
    }
    CheckRatio("coefficient_of_performance", mode_.capacity_quantity,
               mode_.power_quantity);
    CheckRatio("energy_efficiency_ratio", mode_.capacity_quantity, mode_.power_quantity);
    CheckRatio("sensible_heat_ratio", "sensible_capacity", "total_capacity");
    return std::move(doubts_);
  }

 private:
  void Add(std::string_view kind, double weight, std::string message) {
    doubts_.push_back({std::string(kind), &point_, std::move(message), weight});
  }

  double SlackSi(const SiValue& value, double otherwise_si) const {
    return KnownUncertaintySi(manifest_, value).value_or(otherwise_si);
  }

  std::optional<Level> LevelOf(std::string_view entering, std::string_view leaving,
                               double pair_slack_k) const {
    const SiValue* const in = point_.FindValue(entering);
    if (in == nullptr) return std::nullopt;
    const double in_slack_k = SlackSi(*in, pair_slack_k / 2);
    const SiValue* const out = leaving.empty() ? nullptr : point_.FindValue(leaving);
    if (out == nullptr) return Level{in->value_si, in_slack_k, std::string(entering)};
    return Level{(in->value_si + out->value_si) / 2,
                 (in_slack_k + SlackSi(*out, pair_slack_k / 2)) / 2,
                 absl::StrFormat("mean of %s and %s", std::string(entering),
                                 std::string(leaving))};
  }

  // The warmest of the streams that heat may come from, the coldest of those it may go
  // to.
  std::optional<Level> StreamLevel(bool capacity_side) const {
    std::optional<Level> best;
    const bool hot = capacity_side == heating_;
    const auto offer = [&](const std::optional<Level>& level) {
      if (!level) return;
      if (!best ||
          (hot ? level->value_c < best->value_c : level->value_c > best->value_c))
        best = level;
    };
    for (const Stream& stream : StreamsOf(mode_)) {
      if (stream.delivers_capacity == capacity_side && stream.gains_heat == hot) {
        offer(LevelOf(stream.entering, stream.leaving, kWaterPairSlackK));
      }
    }
    if (capacity_side) {
      offer(LevelOf("entering_air_db", "leaving_air_db", kAirPairSlackK));
    } else {
      offer(LevelOf("outdoor_air_db", "", kAirPairSlackK));
    }
    return best;
  }

  void CheckCarnot() {
    const std::optional<double> capacity_w = point_.Find(mode_.capacity_quantity);
    const std::optional<double> power_w = point_.Find(mode_.power_quantity);
    if (!capacity_w || !power_w || !(*power_w > 0)) return;
    const std::optional<Level> hot = StreamLevel(heating_);
    const std::optional<Level> cold = StreamLevel(!heating_);
    if (!hot || !cold) return;
    const double hot_k = hot->value_c - hot->slack_k + kZeroCelsiusK;
    const double cold_k = cold->value_c + cold->slack_k + kZeroCelsiusK;
    if (!(hot_k > cold_k)) return;
    const double bound = (heating_ ? hot_k : cold_k) / (hot_k - cold_k);
    const double cop = *capacity_w / *power_w;
    if (!(cop > kCarnotMargin * bound)) return;
    Add("COP above Carnot", cop / bound,
        absl::StrFormat("%s over %s is %.3g, and between %s of %.2f degC and %s of %.2f "
                        "degC no machine exceeds %.3g; look at the units and columns of "
                        "both, and at the temperatures",
                        mode_.capacity_quantity, mode_.power_quantity, cop, cold->name,
                        cold->value_c, hot->name, hot->value_c, bound));
  }

  struct Part {
    std::string_view quantity;
    double value_w = 0;
  };

  Part PartOf(std::string_view quantity) const {
    return {quantity, point_.Find(quantity).value_or(0)};
  }
  static Part Greater(const Part& a, const Part& b) {
    return b.value_w > a.value_w ? b : a;
  }

  // Parts that the vocabulary keeps apart: outdoor and condenser section overlap, and so
  // do fan_power and the fans one by one.
  void CheckPowerParts() {
    const std::optional<double> power_w = point_.Find("power_input");
    if (!power_w) return;
    const Part indoor = PartOf("indoor_fan_power");
    const Part far_side =
        Greater(PartOf("outdoor_fan_power"), PartOf("condenser_section_power"));
    std::vector<Part> machine = {PartOf("compressor_power"), PartOf("control_power")};
    if (indoor.value_w + far_side.value_w > PartOf("fan_power").value_w) {
      machine.push_back(indoor);
      machine.push_back(far_side);
    } else {
      machine.push_back(PartOf("fan_power"));
    }
    CheckSum(*power_w, machine);
    CheckSum(*power_w, {PartOf("outdoor_section_power"), indoor});
  }

  void CheckSum(double power_w, const std::vector<Part>& parts) {
    double sum_w = 0;
    double slack_w = 0;
    std::vector<std::string> names;
    for (const Part& part : parts) {
      const SiValue* const value = point_.FindValue(part.quantity);
      if (value == nullptr) continue;
      sum_w += part.value_w;
      slack_w += KnownUncertaintySi(manifest_, *value).value_or(0);
      names.emplace_back(part.quantity);
    }
    const SiValue& total = *point_.FindValue("power_input");
    slack_w = std::max(slack_w + KnownUncertaintySi(manifest_, total).value_or(0),
                       kPowerPartsSlackFraction * power_w);
    if (names.empty() || !(sum_w > power_w + slack_w)) return;
    Add("power below its parts", sum_w / std::max(power_w, 1.0),
        absl::StrFormat("power_input of %.5g W is below %s, %.5g W together; look which "
                        "meter reads what",
                        power_w, absl::StrJoin(names, " plus "), sum_w));
  }

  void CheckCapacityParts() {
    const std::optional<double> total_w = point_.Find("total_capacity");
    const std::optional<double> sensible_w = point_.Find("sensible_capacity");
    const std::optional<double> latent_w = point_.Find("latent_capacity");
    if (!total_w || !sensible_w || !latent_w) return;
    const double apart_w = *sensible_w + *latent_w - *total_w;
    if (!(std::fabs(apart_w) > kSensibleExcess * std::fabs(*total_w))) return;
    Add("total is not sensible plus latent", std::fabs(apart_w / *total_w),
        absl::StrFormat("sensible_capacity of %.5g W and latent_capacity of %.5g W make "
                        "%.5g W, and total_capacity is %.5g W; look whether one of them "
                        "is gross, or in another unit",
                        *sensible_w, *latent_w, *sensible_w + *latent_w, *total_w));
  }

  void CheckMoisture() {
    for (const std::string_view quantity :
         {"latent_capacity", "moisture_removal", "condensate_flow"}) {
      const SiValue* const value = point_.FindValue(quantity);
      if (value == nullptr) continue;
      const double slack_si = SlackSi(*value, 0);
      if (DeclaredCoil(point_.regime) == Coil::kWet && value->value_si < -slack_si) {
        Add("latent negative in a wet regime", -value->value_si,
            absl::StrFormat("%s is %s in regime %s; look at the two humidity readings, "
                            "or put the point into a regime of its own",
                            std::string(quantity), Shown(quantity, value->value_si),
                            point_.regime));
      }
      if (value->value_si > slack_si) CheckHumidityFalls(*value);
    }
  }

  void CheckHumidityFalls(const SiValue& removed) {
    const std::optional<Humidity> in = HumidityOf(manifest_, point_, "entering");
    const std::optional<Humidity> out = HumidityOf(manifest_, point_, "leaving");
    if (!in || !out) return;
    const double rise = out->ratio - in->ratio;
    const double allowed = in->slack + out->slack;
    if (!(rise > allowed)) return;
    Add("water removed from air that grows damper", rise,
        absl::StrFormat(
            "%s is %s, and by %s and %s the humidity ratio rises by %.2f g/kg "
            "(readings allow %.2f); look whether the two are swapped",
            removed.quantity, Shown(removed.quantity, removed.value_si), in->measured,
            out->measured, 1000 * rise, 1000 * allowed));
  }

  void CheckRatio(std::string_view ratio, std::string_view above,
                  std::string_view below) {
    const SiValue* const stated = point_.FindValue(ratio);
    const std::optional<double> numerator = point_.Find(above);
    const std::optional<double> denominator = point_.Find(below);
    if (stated == nullptr || stated->computed || !numerator || !denominator) return;
    if (!(std::fabs(*denominator) > 0)) return;
    const double expected = *numerator / *denominator;
    const double apart = std::fabs(stated->value_si - expected);
    if (!(apart > kStatedRatioSlackFraction * std::fabs(expected))) return;
    Add("ratio is not that of its figures", apart / std::fabs(expected),
        absl::StrFormat("%s is given as %.4g, and %s over %s is %.4g; look which figures "
                        "the ratio was made of",
                        std::string(ratio), stated->value_si, std::string(above),
                        std::string(below), expected));
  }

  const document::LineManifest& manifest_;
  const document::Mode& mode_;
  const document::TestPoint& point_;
  const bool heating_;
  std::vector<Doubt> doubts_;
};

}  // namespace

std::vector<Doubt> CheckHeat(const document::LineManifest& manifest,
                             const document::Mode& mode,
                             const document::TestPoint& point) {
  return Heat(manifest, mode, point).Run();
}

}  // namespace ratebound::screen
