#include "engine/claim/tested_account.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"

namespace ratebound::claim {
namespace {

using document::ConditionBox;

std::string Short(double value) { return absl::StrFormat("%.6g", value); }

double PartVolume(const ConditionBox& part, const ConditionBox& whole) {
  double volume = 1;
  for (size_t i = 0; i < part.low_si.size(); ++i) {
    const double width = whole.high_si[i] - whole.low_si[i];
    if (width > 0) volume *= (part.high_si[i] - part.low_si[i]) / width;
  }
  return volume;
}

}  // namespace

std::string PercentText(double fraction) {
  return absl::StrFormat("%.1f %%", 100 * fraction);
}

void TestedAccount::Add(const AlternativeTested& tested, const ConditionBox& box) {
  const double volume = PartVolume(box, region_.pieces().box);
  if (tested.inside) nothing_tested_ = false;
  if (tested.fraction < 1) {
    any_untested_ = true;
    const double untested = volume * (1 - tested.fraction);
    const auto known = std::find_if(untested_by_box_.begin(), untested_by_box_.end(),
                                    [&](const auto& each) { return each.first == box; });
    if (known == untested_by_box_.end()) {
      untested_by_box_.push_back({box, untested});
    } else {
      known->second = std::max(known->second, untested);
    }
  }
  for (map::UntestedBox part : tested.untested) {
    part.region_fraction *= volume;
    AddUntested(part);
  }
}

double TestedAccount::Fraction() const {
  if (nothing_tested_) return 0;
  double untested_fraction = 0;
  for (const auto& [box, fraction] : untested_by_box_) untested_fraction += fraction;
  // Parts may overlap: a fraction all the same.
  const double tested = std::clamp(1 - untested_fraction, 0.0, 1.0);
  return any_untested_ && tested == 1 ? std::nextafter(1.0, 0.0) : tested;
}

void TestedAccount::AddUntested(const map::UntestedBox& box) {
  document::UntestedPart part{.region = region_.RangesOf(box.low_si, box.high_si),
                              .region_fraction = box.region_fraction};
  if (box.condition >= 0) {
    const size_t i = box.condition;
    const document::MeasureRange& range = region_.range(i);
    part.why = absl::StrCat(range.quantity, " was tested from ",
                            Short(region_.InUnit(i, map_.tested_low_si[i])), " to ",
                            Short(region_.InUnit(i, map_.tested_high_si[i])), " ",
                            range.unit, " (", PercentText(box.region_fraction),
                            " of the region is outside)");
  } else {
    part.why =
        absl::StrCat("inside the tested ranges, but too far from the tested points (",
                     PercentText(box.region_fraction), " of the region)");
  }
  if (std::find(untested_.begin(), untested_.end(), part) == untested_.end()) {
    untested_.push_back(std::move(part));
  }
}

}  // namespace ratebound::claim
