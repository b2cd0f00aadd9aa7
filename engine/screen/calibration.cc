#include "engine/screen/calibration.h"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/points/instruments.h"

namespace ratebound::screen {
namespace {

using document::Instrument;
using document::LineManifest;
using document::Severity;
using document::TestPoint;

struct Use {
  std::vector<const TestPoint*> points;
  std::set<std::string> quantities;
};

class Calibrations {
 public:
  Calibrations(const LineManifest& manifest, FindingList& findings)
      : manifest_(manifest), findings_(findings) {}

  void Run(std::span<const TestPoint> points) {
    for (const TestPoint& point : points) {
      if (point.accepted()) Collect(point);
    }
    for (const Instrument& instrument : manifest_.instruments) {
      for (const auto& [day, use] : by_day_[instrument.id]) Judge(instrument, day, use);
    }
    for (const auto& [file, use] : without_day_) {
      findings_.Add(
          Severity::kNote, *use.points.front(),
          absl::StrCat("calibration not judged: ", use.points.size(), " point(s) of ",
                       file, " name no day of test, and instruments of ",
                       absl::StrJoin(use.quantities, ", "),
                       " have days they are due; give tested_on"));
    }
  }

 private:
  void Collect(const TestPoint& point) {
    for (const document::SiValue& value : point.values) {
      if (!value.reading_si()) continue;
      const Instrument* const instrument =
          points::InstrumentOf(manifest_, point.file, value.quantity);
      if (instrument != nullptr) Put(*instrument, point, value.quantity);
    }
  }

  void Put(const Instrument& instrument, const TestPoint& point,
           const std::string& quantity) {
    if (instrument.due_on.empty() && instrument.calibrated_on.empty()) return;
    if (!point.tested_on.empty()) {
      Put(by_day_[instrument.id][point.tested_on], point, quantity);
    } else if (!instrument.due_on.empty()) {
      Put(without_day_[point.file], point, quantity);
    }
  }

  static void Put(Use& use, const TestPoint& point, const std::string& quantity) {
    if (use.points.empty() || use.points.back() != &point) use.points.push_back(&point);
    use.quantities.insert(quantity);
  }

  // Days are ISO 8601 text, which compares as the days do (base/iso_date.h).
  void Judge(const Instrument& instrument, const std::string& day, const Use& use) {
    std::string fault;
    if (!instrument.due_on.empty() && instrument.due_on < day) {
      fault = absl::StrCat("was due on ", instrument.due_on);
    } else if (!instrument.calibrated_on.empty() && day < instrument.calibrated_on) {
      fault = absl::StrCat("was calibrated on ", instrument.calibrated_on);
    } else {
      return;
    }
    std::vector<std::string> ids;
    for (const TestPoint* point : use.points) ids.push_back(point->id);
    std::sort(ids.begin(), ids.end());
    findings_.Add(
        Severity::kWarning, *use.points.front(),
        absl::StrCat("calibration: instrument ", instrument.id,
                     instrument.certificate.empty()
                         ? ""
                         : absl::StrCat(" (certificate ", instrument.certificate, ")"),
                     " ", fault, ", and the test was on ", day, ": ",
                     absl::StrJoin(use.quantities, ", "), " of ", use.points.size(),
                     " point(s), ", SpeltIds(ids, 8),
                     "; calibrate it, and look whether it had drifted"));
  }

  const LineManifest& manifest_;
  FindingList& findings_;
  std::map<std::string, std::map<std::string, Use>> by_day_;
  std::map<std::string, Use> without_day_;
};

}  // namespace

void CheckCalibration(const LineManifest& manifest, std::span<const TestPoint> points,
                      FindingList& findings) {
  Calibrations(manifest, findings).Run(points);
}

}  // namespace ratebound::screen
