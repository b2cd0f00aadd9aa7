#include "engine/screen/surface_findings.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/screen/outliers.h"

namespace ratebound::screen {
namespace {

using document::Severity;
using document::TestPoint;
using points::StagePoints;

class Surfaces {
 public:
  Surfaces(const StagePoints& group, FindingList& findings)
      : group_(group), name_(points::NameOf(group)), findings_(findings) {}

  void Run() {
    for (const std::string& response :
         {group_.mode->capacity_quantity, group_.mode->power_quantity}) {
      values_.clear();
      for (const TestPoint* point : group_.points) {
        values_.push_back(point->Find(response).value_or(0));
      }
      std::optional<ScreenedResponse> screened = ScreenResponse(group_.columns, values_);
      if (!screened) continue;
      const std::vector<OddBlock> odd = OddBlocks(group_.blocks, *screened);
      for (const OddBlock& day : odd) ReportDay(response, day);
      for (const Outlier& outlier : OutliersOf(*screened)) {
        if (!SharedWithDay(outlier, odd, *screened)) Report(response, outlier, *screened);
      }
      if (!highest_ || screened->degree > highest_->degree) {
        highest_ = std::move(screened);
      }
    }
    findings_.AddDoubts(name_, outliers_);
    if (highest_) ReportHanging(*highest_);
  }

 private:
  void ReportDay(const std::string& response, const OddBlock& day) {
    double middle = 0;
    for (const int row : day.rows) middle += values_[row];
    middle /= static_cast<double>(day.rows.size());
    const std::string& block = group_.block_names[static_cast<size_t>(day.block)];
    findings_.Add(
        Severity::kWarning, name_,
        absl::StrFormat(
            "day is off: %s of the %d points of block %s is %.1f %% %s what the other "
            "blocks predict (median; %s to %s); compare set-up, charge and calibration "
            "of that day",
            response, day.rows.size(), block.empty() ? "without a name" : block,
            100 * std::fabs(day.median_miss_si / middle),
            day.median_miss_si > 0 ? "above" : "below",
            group_.points[day.rows.front()]->id, group_.points[day.rows.back()]->id));
  }

  // Whether the point would be expected if its day were moved by the day's median miss.
  static bool SharedWithDay(const Outlier& outlier, const std::vector<OddBlock>& odd,
                            const ScreenedResponse& screened) {
    for (const OddBlock& day : odd) {
      if (std::find(day.rows.begin(), day.rows.end(), outlier.row) == day.rows.end()) {
        continue;
      }
      const double left = 1 - day.median_miss_si / outlier.miss_si;
      return std::fabs(left * outlier.studentised) <= screened.rows.limit;
    }
    return false;
  }

  void Report(const std::string& response, const Outlier& outlier,
              const ScreenedResponse& screened) {
    outliers_.push_back(
        {.kind = "outlier",
         .point = group_.points[outlier.row],
         .message = absl::StrFormat(
             "%s is %.1f %% %s what the other points predict (studentised residual %.1f, "
             "limit %.1f; leverage %.2f); look before it is used",
             response, 100 * std::fabs(outlier.miss_si / values_[outlier.row]),
             outlier.miss_si > 0 ? "above" : "below", outlier.studentised,
             screened.rows.limit, outlier.leverage),
         .weight = std::fabs(outlier.studentised)});
  }

  void ReportHanging(const ScreenedResponse& screened) {
    const std::vector<int> rows = HangingRows(group_.columns, screened);
    if (rows.empty()) return;
    std::vector<std::string> shown;
    for (const int row : rows) {
      shown.push_back(absl::StrFormat("%s (leverage %.2f)", group_.points[row]->id,
                                      screened.rows.leverages[row]));
    }
    findings_.Add(Severity::kNote, name_,
                  absl::StrFormat("a surface of degree %d hangs on %d point(s), mean "
                                  "leverage %.2f: %s; an error there goes unseen, so "
                                  "repeat them",
                                  screened.degree, rows.size(),
                                  screened.terms /
                                      static_cast<double>(screened.rows.leverages.size()),
                                  SpeltIds(shown, 8)));
  }

  const StagePoints& group_;
  const std::string name_;
  FindingList& findings_;
  std::vector<double> values_;
  std::vector<Doubt> outliers_;
  std::optional<ScreenedResponse> highest_;
};

}  // namespace

void CheckSurfaces(const StagePoints& group, FindingList& findings) {
  Surfaces(group, findings).Run();
}

}  // namespace ratebound::screen
