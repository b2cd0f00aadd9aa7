#include "engine/points/log/log_plan_checks.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {
namespace {

class Checker {
 public:
  Checker(const document::LogFile& log, base::FaultList& faults)
      : log_(log), faults_(faults) {}

  void Fault(std::string field, std::string message, std::string remedy = "") {
    faults_.Add({.file = log_.path,
                 .field = std::move(field),
                 .message = std::move(message),
                 .remedy = std::move(remedy)});
  }
  void Quantity(const std::string& field, const std::string& name) {
    const auto found = quantity::FindQuantity(name);
    if (!found.ok()) Fault(field, std::string(found.status().message()));
  }
  void Positive(const std::string& field, double value) {
    if (!(value > 0) || !std::isfinite(value)) {
      Fault(field, absl::StrCat("is ", base::ShortestText(value)),
            "give a number above 0");
    }
  }
  void NotNegative(const std::string& field, double value) {
    if (!(value >= 0) || !std::isfinite(value)) {
      Fault(field, absl::StrCat("is ", base::ShortestText(value)),
            "give a number that is not negative");
    }
  }

 private:
  const document::LogFile& log_;
  base::FaultList& faults_;
};

template <typename Entry>
const Entry* FindId(const std::vector<Entry>& entries, const std::string& id,
                    const std::string& field, Checker& check) {
  std::vector<std::string> known;
  for (const Entry& entry : entries) {
    if (entry.id == id) return &entry;
    known.push_back(entry.id);
  }
  check.Fault(field, absl::StrCat("unknown ", field, " '", base::Printable(id), "'",
                                  base::DidYouMean(id, known)));
  return nullptr;
}

void CheckCycles(const document::LogFile& log, Checker& check) {
  if (const auto& frost = log.frost_cycles) {
    check.Positive("frost_cycles.least_cycles", frost->least_cycles);
    check.NotNegative("frost_cycles.least_time_s", frost->least_time_s);
    check.Positive("frost_cycles.most_time_s", frost->most_time_s);
    if (frost->most_time_s < frost->least_time_s) {
      check.Fault("frost_cycles.most_time_s", "is below least_time_s");
    }
    if (!std::isfinite(frost->threshold)) {
      check.Fault("frost_cycles.threshold", "is no number");
    }
  }
  if (const auto& on_off = log.on_off_cycles) {
    check.NotNegative("on_off_cycles.warm_up_cycles", on_off->warm_up_cycles);
    if (!std::isfinite(on_off->threshold)) {
      check.Fault("on_off_cycles.threshold", "is no number");
    }
  }
}

}  // namespace

base::FaultList CheckLogPlan(const document::LineManifest& manifest,
                             const document::LogFile& log,
                             std::span<const document::TestTolerance> method_tolerances) {
  base::FaultList faults;
  Checker check(log, faults);
  const document::Unit* unit = FindId(manifest.units, log.unit, "unit", check);
  if (unit != nullptr) FindId(unit->modes, log.mode, "mode", check);
  const int cuts = (log.steady_windows ? 1 : 0) + (log.frost_cycles ? 1 : 0) +
                   (log.on_off_cycles ? 1 : 0);
  if (cuts != 1) {
    check.Fault("cut", absl::StrCat("has ", cuts, " ways of cutting"),
                "give one of steady_windows, frost_cycles and on_off_cycles");
  }
  if (log.time.longest_step_s) {
    check.Positive("time.longest_step_s", *log.time.longest_step_s);
  }
  check.NotNegative("stuck_after_s", log.stuck_after_s);
  for (const std::string& name : log.may_stand_still) {
    check.Quantity("may_stand_still", name);
  }
  if (const auto& windows = log.steady_windows) {
    check.Positive("steady_windows.length_s", windows->length_s);
    check.NotNegative("steady_windows.delay_after_change_s",
                      windows->delay_after_change_s);
    for (const std::string& name : windows->change_on) {
      check.Quantity("steady_windows.change_on", name);
    }
    for (const document::Measure& aim : windows->set_points) {
      check.Quantity("steady_windows.set_points", aim.quantity);
    }
    for (const document::TestTolerance& tolerance : windows->tolerances) {
      check.Quantity("steady_windows.tolerances", tolerance.quantity);
    }
    for (const document::TestTolerance& tolerance : method_tolerances) {
      check.Quantity("steady_windows.method", tolerance.quantity);
    }
  }
  CheckCycles(log, check);
  return faults;
}

}  // namespace ratebound::points
