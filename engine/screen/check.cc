#include "engine/screen/check.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/text.h"
#include "engine/points/stage_points.h"
#include "engine/quantity/vocabulary.h"
#include "engine/screen/balances.h"
#include "engine/screen/outliers.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;
using document::TestPoint;
using points::StagePoints;

class Screening {
 public:
  explicit Screening(const document::LineManifest& manifest) : manifest_(manifest) {}

  void CheckDropped(std::span<const TestPoint> test_points) {
    for (const TestPoint& point : test_points) {
      if (!point.accepted()) {
        Add(Severity::kNote, point, absl::StrCat("left out: ", point.dropped_reason));
      }
    }
  }

  void CheckStages(std::span<const StagePoints> groups) {
    for (const document::Unit& unit : manifest_.units) {
      for (const document::Mode& mode : unit.modes) {
        for (const document::Stage& stage : mode.stages) {
          bool any = false;
          for (const StagePoints& group : groups) {
            if (group.unit != &unit || group.mode != &mode || group.stage != stage.id)
              continue;
            any = true;
            CheckGroup(group);
          }
          if (!any) {
            Add(Severity::kFailure, absl::StrCat(unit.id, "/", mode.id, "/", stage.id),
                "no accepted points; nothing can be fitted");
          }
        }
      }
    }
  }

  std::vector<Finding> Take() { return std::move(findings_); }

  void Add(Severity severity, std::string subject, std::string message) {
    findings_.push_back({.severity = severity,
                         .subject = std::move(subject),
                         .message = std::move(message)});
  }

 private:
  void Add(Severity severity, const TestPoint& point, std::string message) {
    findings_.push_back({.severity = severity,
                         .subject = point.id,
                         .message = std::move(message),
                         .file = point.file,
                         .line = point.line});
  }

  void CheckGroup(const StagePoints& group) {
    const std::string name = points::NameOf(group);
    Describe(group, name);
    CheckSize(group, name);
    CheckSpecimens(group, name);
    CheckBlocks(group, name);
    if (!group.incomplete_point_ids.empty()) {
      Add(Severity::kWarning, name,
          absl::StrCat(
              group.incomplete_point_ids.size(), " point(s) without ",
              group.mode->capacity_quantity, " or ", group.mode->power_quantity,
              " are not fitted: ", absl::StrJoin(group.incomplete_point_ids, ", ")));
    }
    for (const TestPoint* point : group.points) {
      for (std::string& sentence : CheckBalances(manifest_, *group.mode, *point)) {
        Add(Severity::kWarning, *point, std::move(sentence));
      }
    }
    CheckRepeats(group);
    CheckOutliers(group);
  }

  void Describe(const StagePoints& group, const std::string& name) {
    std::vector<std::string> levels;
    for (size_t j = 0; j < group.columns.size(); ++j) {
      levels.push_back(absl::StrCat(group.mode->conditions[j], " ",
                                    points::CountLevels(group.columns[j])));
    }
    Add(Severity::kNote, name,
        absl::StrCat(group.points.size(), " points",
                     group.blocks.empty()
                         ? std::string(", no blocks named: taken as independent")
                         : absl::StrCat(" in ", group.block_names.size(), " block(s)"),
                     "; levels: ", absl::StrJoin(levels, ", ")));
  }

  void CheckSize(const StagePoints& group, const std::string& name) {
    const size_t conditions = group.columns.size();
    if (group.points.size() < conditions + 2) {
      Add(Severity::kFailure, name,
          absl::StrCat("a plane over ", conditions, " condition(s) needs at least ",
                       conditions + 2, " points; there are ", group.points.size()));
    }
    for (size_t j = 0; j < conditions; ++j) {
      const std::string& condition = group.mode->conditions[j];
      const auto [low, high] =
          std::minmax_element(group.columns[j].begin(), group.columns[j].end());
      if (*low == *high) {
        Add(Severity::kFailure, name,
            absl::StrCat(condition,
                         " has 1 level; a surface over it needs at least 2: test "
                         "more, or list it under held_conditions"));
        continue;
      }
      const auto quantity = quantity::FindQuantity(condition);
      if (quantity.ok() && (*quantity)->dimension == quantity::Dimension::kTemperature &&
          *high - *low < kLeastTemperatureSpanK) {
        Add(Severity::kWarning, name,
            absl::StrFormat(
                "%s spans %.2f K only, which is how set points scatter: test more "
                "levels, or list it under held_conditions",
                condition, *high - *low));
      }
    }
  }

  void CheckSpecimens(const StagePoints& group, const std::string& name) {
    if (group.specimens.size() < 2) return;
    if (const absl::Status status = points::CheckPooling(group); !status.ok()) {
      for (const base::Fault& fault : base::FaultsOf(status)) {
        findings_.push_back({.severity = Severity::kFailure,
                             .subject = name,
                             .message = absl::StrCat(fault.message, "; ", fault.remedy),
                             .file = fault.file,
                             .line = fault.line});
      }
      return;
    }
    Add(Severity::kNote, name,
        absl::StrCat(group.specimens.size(), " specimens are fitted together"));
  }

  // A full polynomial of degree d over n conditions has (n + d)! / (n! d!) terms.
  static size_t TermCount(size_t conditions, int degree) {
    size_t terms = 1;
    for (size_t k = 1; k <= static_cast<size_t>(degree); ++k) {
      terms = terms * (conditions + k) / k;
    }
    return terms;
  }

  void CheckBlocks(const StagePoints& group, const std::string& name) {
    if (group.blocks.empty()) return;
    // Undeclared, a proof takes at least one degree above a plane.
    const int degree = group.mode->declared_proof_degree.value_or(2);
    const size_t needed = TermCount(group.columns.size(), degree) + 1;
    if (group.block_names.size() >= needed) return;
    Add(Severity::kWarning, name,
        absl::StrCat(
            "points of one block are correlated: the uncertainty of a proof of degree ",
            degree, " over ", group.columns.size(), " condition(s) needs at least ",
            needed, " blocks; there are ", group.block_names.size()));
  }

  void CheckRepeats(const StagePoints& group) {
    std::vector<double> widths;
    for (const std::vector<double>& column : group.columns) {
      const auto [low, high] = std::minmax_element(column.begin(), column.end());
      widths.push_back(kRepeatFraction * (*high - *low));
    }
    for (size_t i = 0; i < group.points.size(); ++i) {
      for (size_t k = 0; k < i; ++k) {
        bool same = true;
        for (size_t j = 0; same && j < widths.size(); ++j) {
          same = std::fabs(group.columns[j][i] - group.columns[j][k]) <= widths[j];
        }
        if (same) CompareRepeats(*group.mode, *group.points[k], *group.points[i]);
      }
    }
  }

  void CompareRepeats(const document::Mode& mode, const TestPoint& first,
                      const TestPoint& second) {
    for (const std::string& response : {mode.capacity_quantity, mode.power_quantity}) {
      const double a = first.Find(response).value_or(0);
      const double b = second.Find(response).value_or(0);
      const double apart = std::fabs(a - b) / std::max(std::fabs(a), std::fabs(b));
      if (!(apart > kRepeatDisagreement)) continue;
      Add(Severity::kWarning, second,
          absl::StrFormat("repeats point %s (%s:%d), and %s is %.1f %% away from it",
                          first.id, first.file, first.line, response, 100 * apart));
    }
  }

  void CheckOutliers(const StagePoints& group) {
    for (const std::string& response :
         {group.mode->capacity_quantity, group.mode->power_quantity}) {
      std::vector<double> values;
      for (const TestPoint* point : group.points) {
        values.push_back(point->Find(response).value_or(0));
      }
      for (const Outlier& outlier : FindOutliers(group.columns, values)) {
        Add(Severity::kWarning, *group.points[outlier.row],
            absl::StrFormat(
                "outlier: %s is %.1f %% %s what the other points predict "
                "(studentised residual %.1f); look before it is used",
                response, 100 * std::fabs(outlier.miss_si / values[outlier.row]),
                outlier.miss_si > 0 ? "above" : "below", outlier.studentised));
      }
    }
  }

  const document::LineManifest& manifest_;
  std::vector<Finding> findings_;
};

}  // namespace

std::vector<Finding> Screen(const document::LineManifest& manifest,
                            std::span<const TestPoint> test_points) {
  Screening screening(manifest);
  screening.CheckDropped(test_points);
  const auto groups = points::GroupPoints(manifest, test_points, "");
  if (groups.ok()) {
    screening.CheckStages(*groups);
  } else {
    screening.Add(Severity::kFailure, manifest.id,
                  std::string(groups.status().message()));
  }
  return screening.Take();
}

}  // namespace ratebound::screen
