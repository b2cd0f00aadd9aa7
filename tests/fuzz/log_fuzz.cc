// Any bytes as a log, in two ways of chunking: the intake must neither crash nor hang,
// what it refuses it must explain, and both ways must come to the same.
#include <cstdlib>
#include <string_view>

#include "engine/base/fault.h"
#include "engine/points/log/log_intake.h"

namespace {

using namespace ratebound;

document::LineManifest Manifest() {
  document::LineManifest manifest;
  document::Unit unit{.id = "u"};
  unit.nominal_capacity.value_si = 10000;
  unit.modes.push_back({.id = "m",
                        .capacity_quantity = "heating_capacity",
                        .power_quantity = "power_input",
                        .conditions = {"outdoor_air_db"},
                        .stages = {{.id = "1"}, {.id = "2"}}});
  manifest.units.push_back(std::move(unit));
  return manifest;
}

// The first byte picks the cut and the format of stamps.
document::LogFile Plan(uint8_t choice) {
  constexpr const char* kFormats[] = {"s", "iso8601", "%m/%d %H:%M:%S", "%H:%M"};
  document::LogFile log{.path = "logs/f.csv", .unit = "u", .mode = "m", .stage = "1"};
  log.off_stages = {"0"};
  log.time = {.header = "t", .format = kFormats[choice / 4 % 4]};
  log.stuck_after_s = choice >= 128 ? 5 : 0;
  if (choice % 16 >= 8) {
    log.ignored_spans = {{.first_line = 4, .last_line = 6, .reason = "r"}};
  }
  switch (choice % 4) {
    case 0:
      log.frost_cycles = {.signal = "power_input",
                          .threshold = 1,
                          .least_cycles = 1,
                          .least_time_s = 2,
                          .most_time_s = 100};
      break;
    case 1:
      log.on_off_cycles = document::OnOffCycles{
          .signal = "power_input", .threshold = 1, .warm_up_cycles = 1};
      break;
    default:
      log.steady_windows = {.length_s = 3, .delay_after_change_s = 1};
      log.steady_windows->tolerances = {
          {.quantity = "outdoor_air_db",
           .greatest_spread =
               document::ToleranceFigure{
                   .absolute = 1, .unit = "delta_K", .absolute_si = 1},
           .greatest_standard_deviation =
               document::ToleranceFigure{.relative_fraction = 0.1}}};
      log.steady_windows->change_on = {"outdoor_air_db"};
  }
  return log;
}

absl::StatusOr<points::LogResult> Cut(const document::LogFile& log,
                                      std::string_view bytes, size_t chunk) {
  static const document::LineManifest manifest = Manifest();
  auto intake = points::LogIntake::Create(
      manifest, log, {}, {}, points::SteadyReference{.capacity_w = 9, .power_w = 3});
  if (!intake.ok()) std::abort();
  while (!bytes.empty()) {
    const size_t size = bytes.size() < chunk ? bytes.size() : chunk;
    if (!intake->Feed(bytes.substr(0, size)).ok()) break;
    bytes.remove_prefix(size);
  }
  return intake->Finish();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  if (size < 2) return 0;
  const document::LogFile log = Plan(data[0]);
  // Inputs rarely guess a whole header, so half of them get one.
  std::string text = data[1] % 2 == 0
                         ? "t,outdoor_air_db[degC],power_input[W],heating_capacity[W]\n"
                         : "";
  text.append(reinterpret_cast<const char*>(data) + 2, size - 2);
  const auto whole = Cut(log, text, text.size() + 1);
  const auto parts = Cut(log, text, 1 + data[1] / 2 % 16);
  if (whole.ok() != parts.ok()) std::abort();
  if (!whole.ok()) {
    if (base::FaultsOf(whole.status()).empty()) std::abort();
    if (whole.status().message() != parts.status().message()) std::abort();
    return 0;
  }
  if (!(whole->report == parts->report) || whole->points != parts->points ||
      whole->findings != parts->findings) {
    std::abort();
  }
  for (const document::TestPoint& point : whole->points) {
    if (point.line < 2 || point.last_line <= point.line) std::abort();
    for (const document::SiValue& value : point.values) {
      if (!(value.value_si - value.value_si == 0) || value.reading_count < 1)
        std::abort();
    }
  }
  return 0;
}
