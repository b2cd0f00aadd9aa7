#include "engine/screen/lab_figures.h"

#include <cmath>

#include "absl/strings/str_format.h"
#include "engine/screen/figures.h"

namespace ratebound::screen {

std::vector<Doubt> CheckLabFigures(const document::TestPoint& point) {
  std::vector<Doubt> doubts;
  for (const document::SiValue& value : point.values) {
    if (!value.computed || !value.lab_value_si) continue;
    const double apart_si = value.value_si - *value.lab_value_si;
    const double allowed_si = value.uncertainty
                                  ? value.uncertainty->expanded_si
                                  : kLabFigureFraction * std::fabs(*value.lab_value_si);
    if (!(std::fabs(apart_si) > allowed_si)) continue;
    doubts.push_back(
        {.kind = "not the lab's figure",
         .point = &point,
         .message = absl::StrFormat("%s computed from the readings is %s and the lab "
                                    "gives %s, %s apart, allowed "
                                    "%s; look at methods, corrections and units of both",
                                    value.quantity, Shown(value.quantity, value.value_si),
                                    Shown(value.quantity, *value.lab_value_si),
                                    ShownDifference(value.quantity, std::fabs(apart_si)),
                                    ShownDifference(value.quantity, allowed_si)),
         .weight = allowed_si > 0 ? std::fabs(apart_si) / allowed_si : 1e9});
  }
  return doubts;
}

}  // namespace ratebound::screen
