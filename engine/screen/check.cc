#include "engine/screen/check.h"

#include <algorithm>
#include <iterator>
#include <string>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/points/stage_points.h"
#include "engine/screen/balances.h"
#include "engine/screen/calibration.h"
#include "engine/screen/coil.h"
#include "engine/screen/finding_list.h"
#include "engine/screen/impossibilities.h"
#include "engine/screen/lab_figures.h"
#include "engine/screen/repeats.h"
#include "engine/screen/stage_shape.h"
#include "engine/screen/surface_findings.h"
#include "engine/screen/tolerances.h"

namespace ratebound::screen {
namespace {

using document::LineManifest;
using document::MeasurementMethod;
using document::Severity;
using document::TestPoint;
using points::StagePoints;

class Screening {
 public:
  Screening(const LineManifest& manifest, std::span<const MeasurementMethod> methods,
            std::span<const TestPoint> test_points)
      : manifest_(manifest), methods_(methods), test_points_(test_points) {}

  std::vector<document::Finding> Run() {
    NoteDropped();
    const auto groups = points::GroupPoints(manifest_, test_points_, "");
    grouped_ = groups.ok();
    if (!groups.ok()) {
      for (const base::Fault& fault : base::FaultsOf(groups.status())) {
        findings_.AddFault(manifest_.id, fault);
      }
    }
    for (const document::Unit& unit : manifest_.units) {
      for (const document::Mode& mode : unit.modes) {
        for (const document::Stage& stage : mode.stages) {
          CheckStage(unit, mode, stage,
                     groups.ok() ? *groups : std::vector<StagePoints>());
        }
      }
    }
    CheckCurvePoints();
    CheckCalibration(manifest_, test_points_, findings_);
    return findings_.Take();
  }

 private:
  // Points that were dropped for one reason stand together, by file and line.
  void NoteDropped() {
    std::vector<const TestPoint*> dropped;
    for (const TestPoint& point : test_points_) {
      if (!point.accepted()) dropped.push_back(&point);
    }
    std::stable_sort(dropped.begin(), dropped.end(),
                     [](const TestPoint* a, const TestPoint* b) {
                       return std::tie(a->file, a->line) < std::tie(b->file, b->line);
                     });
    std::vector<std::pair<std::string, std::vector<const TestPoint*>>> reasons;
    for (const TestPoint* point : dropped) {
      auto found = std::find_if(reasons.begin(), reasons.end(), [&](const auto& entry) {
        return entry.first == point->dropped_reason;
      });
      if (found == reasons.end()) {
        found = reasons.insert(reasons.end(), {point->dropped_reason, {}});
      }
      found->second.push_back(point);
    }
    for (const auto& [reason, points] : reasons) {
      if (points.size() == 1) {
        findings_.Add(Severity::kNote, *points[0], absl::StrCat("left out: ", reason));
        continue;
      }
      std::vector<std::string> ids;
      for (const TestPoint* point : points) ids.push_back(point->id);
      findings_.Add(Severity::kNote, *points[0],
                    absl::StrCat(points.size(), " points left out: ", reason, " (",
                                 SpeltIds(ids), ")"));
    }
  }

  void CheckStage(const document::Unit& unit, const document::Mode& mode,
                  const document::Stage& stage, const std::vector<StagePoints>& groups) {
    const std::string name = absl::StrCat(unit.id, "/", mode.id, "/", stage.id);
    std::vector<const TestPoint*> accepted;
    for (const TestPoint& point : test_points_) {
      if (point.accepted() && point.unit == unit.id && point.mode == mode.id &&
          point.stage == stage.id) {
        accepted.push_back(&point);
      }
    }
    bool any = false;
    for (const StagePoints& group : groups) {
      if (group.unit != &unit || group.mode != &mode || group.stage != stage.id) continue;
      any = true;
      CheckShape(group, findings_);
    }
    CheckPoints(name, mode, accepted);
    for (const StagePoints& group : groups) {
      if (group.unit != &unit || group.mode != &mode || group.stage != stage.id) continue;
      CheckGroup(group);
    }
    // Points that lack a condition have been reported, and are points.
    if (!any && (accepted.empty() || grouped_)) {
      findings_.Add(Severity::kFailure, name,
                    "no accepted points; nothing can be fitted");
    }
  }

  // One point at a time, whether or not it can be fitted.
  void CheckPoints(const std::string& name, const document::Mode& mode,
                   const std::vector<const TestPoint*>& accepted) {
    std::vector<Doubt> doubts;
    const auto take = [&](std::vector<Doubt> more) {
      std::move(more.begin(), more.end(), std::back_inserter(doubts));
    };
    const MeasurementMethod* const steadiness = SteadinessMethodOf(mode, methods_);
    for (const TestPoint* point : accepted) {
      if (steadiness != nullptr) take(CheckTolerances(*steadiness, mode, *point));
      take(CheckBalances(manifest_, methods_, mode, *point));
      take(CheckOrders(manifest_, mode, *point));
      take(CheckHeat(manifest_, mode, *point));
      take(CheckLabFigures(*point));
    }
    findings_.AddDoubts(name, doubts);
    if (accepted.empty() || mode.steadiness_method.empty()) return;
    if (steadiness == nullptr) {
      findings_.Add(Severity::kNote, name,
                    absl::StrCat("test tolerances not judged: no method '",
                                 mode.steadiness_method, "' of steadiness is known"));
      return;
    }
    const std::vector<std::string> missing = NotJudged(*steadiness, accepted);
    if (missing.empty()) return;
    findings_.Add(
        Severity::kNote, name,
        absl::StrCat("test tolerances not judged in full: no spread or standard "
                     "deviation of the readings of ",
                     absl::StrJoin(missing, ", ")));
  }

  void CheckGroup(const StagePoints& group) {
    const std::string name = points::NameOf(group);
    findings_.AddDoubts(name, CheckCoil(manifest_, group));
    CheckRegime(manifest_, group, findings_);
    findings_.AddDoubts(name, CheckRepeats(group));
    CheckSurfaces(group, findings_);
  }

  // Points of curves have no mode, so that only what needs none is asked of them.
  void CheckCurvePoints() {
    std::vector<Doubt> doubts;
    for (const TestPoint& point : test_points_) {
      if (!point.accepted() || point.curve.empty()) continue;
      for (Doubt& doubt : CheckLabFigures(point)) doubts.push_back(std::move(doubt));
    }
    findings_.AddDoubts(manifest_.id, doubts);
  }

  const LineManifest& manifest_;
  std::span<const MeasurementMethod> methods_;
  std::span<const TestPoint> test_points_;
  bool grouped_ = false;
  FindingList findings_;
};

}  // namespace

std::vector<document::Finding> Screen(const LineManifest& manifest,
                                      std::span<const MeasurementMethod> methods,
                                      std::span<const TestPoint> test_points) {
  return Screening(manifest, methods, test_points).Run();
}

std::vector<document::Finding> Screen(const LineManifest& manifest,
                                      std::span<const TestPoint> test_points) {
  return Screen(manifest, {}, test_points);
}

}  // namespace ratebound::screen
