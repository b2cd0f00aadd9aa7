// How fast a laboratory's log becomes test points: LogIntake with stamps, screening, all
// columns and quasi-steady windows, from a file on disk in chunks of 64 KiB.
//
//   log_bench --data DIR           writes DIR/log.csv where it is missing and prints one
//                                  JSON line; log_peer.py DIR reads the same file
//   log_bench --memory DIR MB      writes a log of that size, reads it once and prints
//                                  the greatest resident set
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/points/log/log_intake.h"
#include "engine/quantity/unit.h"
#include "tests/testing/random.h"

namespace {

using namespace ratebound;

constexpr int64_t kBytes = 50'000'000;
constexpr int kRuns = 5;
constexpr size_t kChunk = 64 << 10;

using File = std::unique_ptr<std::FILE, int (*)(std::FILE*)>;

struct Channel {
  const char* heading;
  const char* quantity;
  const char* unit;
  double level;
  double scatter;
  int decimals;
};
// What a chamber's logger writes each second.
constexpr Channel kChannels[] = {
    {"entering_air_db[degF]", "entering_air_db", "degF", 80, 0.03, 2},
    {"entering_air_wb[degF]", "entering_air_wb", "degF", 67, 0.03, 2},
    {"leaving_air_db[degF]", "leaving_air_db", "degF", 58, 0.05, 2},
    {"leaving_air_wb[degF]", "leaving_air_wb", "degF", 56, 0.05, 2},
    {"outdoor_air_db[degF]", "outdoor_air_db", "degF", 95, 0.05, 2},
    {"outdoor_air_wb[degF]", "outdoor_air_wb", "degF", 75, 0.05, 2},
    {"power_input[W]", "power_input", "W", 2900, 4, 1},
    {"compressor_power[W]", "compressor_power", "W", 2400, 4, 1},
    {"indoor_fan_power[W]", "indoor_fan_power", "W", 380, 1, 1},
    {"nozzle_pressure_drop[in_wg_4c]", "nozzle_pressure_drop", "in_wg_4c", 1.2, 0.003, 4},
    {"external_static_pressure[in_wg_4c]", "external_static_pressure", "in_wg_4c", 0.2,
     0.002, 4},
    {"suction_pressure[psia]", "suction_pressure", "psia", 150, 0.2, 2},
    {"discharge_pressure[psia]", "discharge_pressure", "psia", 400, 0.4, 2},
    {"liquid_line_temp[degF]", "liquid_line_temp", "degF", 100, 0.1, 2},
    {"barometric_pressure[inHg]", "barometric_pressure", "inHg", 29.5, 0.002, 4},
    {"supply_voltage[V]", "supply_voltage", "V", 230, 0.2, 2},
};

// An hour of each of 10 levels, so that windows are found and rows rejected.
bool WriteLog(const std::string& path, int64_t bytes) {
  if (File(std::fopen(path.c_str(), "rb"), std::fclose)) return true;
  File file(std::fopen(path.c_str(), "wb"), std::fclose);
  if (!file) return false;
  testing::Random random("LOG_BENCH");
  std::string rows = "time";
  for (const Channel& channel : kChannels) {
    absl::StrAppendFormat(&rows, ",%s", channel.heading);
  }
  rows += "\n";
  int64_t written = 0;
  for (int64_t s = 0; written < bytes; ++s) {
    absl::StrAppendFormat(&rows, "2026-%02d-%02dT%02d:%02d:%02d", 1 + s / 86400 / 28 % 12,
                          1 + s / 86400 % 28, s / 3600 % 24, s / 60 % 60, s % 60);
    const double level = 1 + 0.01 * static_cast<double>(s / 3600 % 10);
    for (const Channel& channel : kChannels) {
      absl::StrAppendFormat(&rows, ",%.*f", channel.decimals,
                            channel.level * level + channel.scatter * random.Normal());
    }
    rows += "\n";
    if (rows.size() > (1 << 20) || written + static_cast<int64_t>(rows.size()) >= bytes) {
      if (std::fwrite(rows.data(), 1, rows.size(), file.get()) != rows.size())
        return false;
      written += static_cast<int64_t>(rows.size());
      rows.clear();
    }
  }
  return true;
}

document::LineManifest Manifest() {
  document::LineManifest manifest;
  document::Unit unit{.id = "u"};
  unit.nominal_capacity.value_si = 10000;
  unit.modes.push_back({.id = "cooling",
                        .capacity_quantity = "total_capacity",
                        .power_quantity = "power_input",
                        .conditions = {"outdoor_air_db", "entering_air_wb"},
                        .stages = {{.id = "full"}}});
  manifest.units.push_back(std::move(unit));
  return manifest;
}

document::LogFile Plan() {
  document::LogFile log{
      .path = "logs/log.csv", .unit = "u", .mode = "cooling", .stage = "full"};
  log.time = {.header = "time", .format = "iso8601", .longest_step_s = 1e9};
  document::SteadyWindows windows{.length_s = 600};
  const auto add = [&](const char* quantity, double spread, const char* unit) {
    document::ToleranceFigure figure{.absolute = spread, .unit = unit};
    figure.absolute_si = quantity::DifferenceToSi(spread, *quantity::FindUnit(unit));
    windows.tolerances.push_back({.quantity = quantity, .greatest_spread = figure});
  };
  add("entering_air_db", 2.0, "delta_degF");
  add("entering_air_wb", 1.0, "delta_degF");
  add("outdoor_air_db", 2.0, "delta_degF");
  add("outdoor_air_wb", 1.0, "delta_degF");
  add("external_static_pressure", 0.05, "in_wg_4c");
  document::ToleranceFigure two_percent{.relative_fraction = 0.02};
  for (const char* quantity : {"supply_voltage", "nozzle_pressure_drop"}) {
    windows.tolerances.push_back({.quantity = quantity, .greatest_spread = two_percent});
  }
  windows.tolerances.push_back(
      {.quantity = "power_input", .greatest_standard_deviation = two_percent});
  log.steady_windows = std::move(windows);
  return log;
}

struct Read {
  double megabytes_a_second = 0;  // 0 where something is wrong
  size_t windows = 0;
  int64_t rows = 0;
};

Read ReadLog(const std::string& path) {
  const auto start = std::chrono::steady_clock::now();
  File file(std::fopen(path.c_str(), "rb"), std::fclose);
  auto intake = points::LogIntake::Create(Manifest(), Plan(), {}, {});
  if (!file || !intake.ok()) return {};
  std::vector<char> chunk(kChunk);
  double bytes = 0;
  for (;;) {
    const size_t size = std::fread(chunk.data(), 1, chunk.size(), file.get());
    if (size == 0) break;
    bytes += static_cast<double>(size);
    if (!intake->Feed({chunk.data(), size}).ok()) break;
  }
  const auto result = intake->Finish();
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", std::string(result.status().message()).c_str());
    return {};
  }
  return {bytes / 1e6 / seconds.count(), result->points.size(), result->report.row_count};
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 4 && std::strcmp(argv[1], "--memory") == 0) {
    const std::string path = absl::StrFormat("%s/log-%s.csv", argv[2], argv[3]);
    if (!WriteLog(path, std::atoll(argv[3]) * 1'000'000)) return 3;
    const Read read = ReadLog(path);
    rusage usage = {};
    getrusage(RUSAGE_SELF, &usage);
    std::printf(
        "{\"name\":\"log-memory\",\"megabytes\":%s,\"rows\":%lld,\"windows\":%zu,"
        "\"peak_resident_kib\":%ld}\n",
        argv[3], static_cast<long long>(read.rows), read.windows, usage.ru_maxrss);
    return read.windows > 0 ? 0 : 3;
  }
  if (argc != 3 || std::strcmp(argv[1], "--data") != 0) {
    std::fprintf(stderr, "usage: log_bench --data DIR | --memory DIR MB\n");
    return 2;
  }
  const std::string path = std::string(argv[2]) + "/log.csv";
  if (!WriteLog(path, kBytes)) {
    std::fprintf(stderr, "cannot write below %s\n", argv[2]);
    return 3;
  }
  std::vector<double> rates;
  Read read;
  for (int run = 0; run < kRuns; ++run) {
    read = ReadLog(path);
    rates.push_back(read.megabytes_a_second);
  }
  std::sort(rates.begin(), rates.end());
  std::printf("{\"name\":\"log\",\"unit\":\"MB/s\",\"ours\":%.0f,\"windows\":%zu}\n",
              rates[rates.size() / 2], read.windows);
  return rates.front() > 0 && read.windows > 0 ? 0 : 3;
}
