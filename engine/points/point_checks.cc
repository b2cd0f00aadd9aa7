#include "engine/points/point_checks.h"

#include <cmath>
#include <optional>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/ingest.h"
#include "engine/points/instruments.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using base::Absl;

// The expanded uncertainty of a reading, where the manifest gives one.
std::optional<double> UncertaintyK(const document::LineManifest& manifest,
                                   std::string_view file, std::string_view quantity,
                                   double value_c) {
  const document::Instrument* const instrument = InstrumentOf(manifest, file, quantity);
  if (instrument != nullptr && !instrument->accuracies.empty()) {
    return ExpandedSi(*instrument, value_c);
  }
  for (const document::SystematicUncertainty& u : manifest.systematic_uncertainties) {
    if (u.quantity == quantity) {
      return u.absolute_si + u.relative_fraction * std::fabs(value_c);
    }
  }
  return {};
}

struct HumidityPair {
  std::string_view lower;  // suffix of the quantity that cannot be above
  std::string_view upper;
  std::string_view lower_name;
  std::string_view upper_name;
};

constexpr HumidityPair kPairs[] = {
    {"_wb", "_db", "wet bulb", "dry bulb"},
    {"_dew_point", "_db", "dew point", "dry bulb"},
    {"_dew_point", "_wb", "dew point", "wet bulb"},
};
constexpr std::string_view kAirs[] = {"entering_air", "leaving_air", "outdoor_air",
                                      "return_air"};

}  // namespace

double HumiditySlackK(const document::LineManifest& manifest, std::string_view file,
                      std::string_view lower, std::string_view upper, double lower_c,
                      double upper_c) {
  const std::optional<double> low = UncertaintyK(manifest, file, lower, lower_c);
  const std::optional<double> high = UncertaintyK(manifest, file, upper, upper_c);
  return low || high ? low.value_or(0) + high.value_or(0) : kHumidityReadingSlackK;
}

std::vector<std::string> AllConditions(const document::Mode& mode) {
  std::vector<std::string> conditions = mode.conditions;
  for (const document::HeldCondition& held : mode.held_conditions) {
    conditions.push_back(held.quantity);
  }
  return conditions;
}

std::vector<PointFault> CheckValues(const document::LineManifest& manifest,
                                    const document::Mode& mode,
                                    const document::TestPoint& point) {
  std::vector<PointFault> faults;
  for (const document::HeldCondition& held : mode.held_conditions) {
    const std::optional<double> value = point.Find(held.quantity);
    if (!value || std::fabs(*value - held.value_si) <= held.tolerance_si) continue;
    std::string unit = held.unit;
    std::string read = base::ShortestText(*value);
    if (const auto found = quantity::FindUnit(held.unit); found.ok()) {
      read = absl::StrFormat("%.6g", quantity::FromSi(*value, *found));
    }
    faults.push_back(
        {held.quantity,
         absl::StrCat(held.quantity, " of ", read, " ", unit, " is further than ",
                      base::ShortestText(held.tolerance), " from ",
                      base::ShortestText(held.value), " ", unit, ", at which mode ",
                      mode.id, " is held"),
         "drop the point with a reason, widen the tolerance, or fit over the "
         "condition"});
  }
  for (std::string_view air : kAirs) {
    for (const HumidityPair& pair : kPairs) {
      const std::string lower = absl::StrCat(Absl(air), Absl(pair.lower));
      const std::string upper = absl::StrCat(Absl(air), Absl(pair.upper));
      const std::optional<double> low = point.Find(lower);
      const std::optional<double> high = point.Find(upper);
      if (!low || !high) continue;
      const double slack_k =
          HumiditySlackK(manifest, point.file, lower, upper, *low, *high);
      if (*low - *high <= slack_k) continue;
      faults.push_back(
          {lower,
           absl::StrFormat(
               "%s is %.2f K above %s, more than the %.2f K that they may differ by",
               lower, *low - *high, upper, slack_k),
           absl::StrCat("a ", Absl(pair.lower_name), " cannot be above its ",
                        Absl(pair.upper_name), ": check columns, units and the wick")});
    }
  }
  return faults;
}

}  // namespace ratebound::points
