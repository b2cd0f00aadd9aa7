#include "engine/bound/box.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/fault.h"

namespace ratebound::bound {

absl::Status CheckBox(const Box& box, int variables) {
  base::FaultList faults;
  if (variables < 1 || variables > kMostVariables) {
    faults.Add({.field = "box",
                .message = absl::StrCat(variables, " variables"),
                .remedy = absl::StrCat("give 1 to ", kMostVariables)});
    return faults.ToStatus();
  }
  if (static_cast<int>(box.lo.size()) != variables ||
      static_cast<int>(box.hi.size()) != variables) {
    faults.Add({.field = "box",
                .message = absl::StrCat(box.lo.size(), " lower and ", box.hi.size(),
                                        " upper ends for ", variables, " variables"),
                .remedy = "give one of each for every variable"});
    return faults.ToStatus();
  }
  for (int i = 0; i < variables; ++i) {
    if (!std::isfinite(box.lo[i]) || !std::isfinite(box.hi[i])) {
      faults.Add(
          {.field = absl::StrCat("box side ", i),
           .message = absl::StrFormat("[%g, %g] is not finite", box.lo[i], box.hi[i]),
           .remedy = "give finite ends"});
    } else if (box.lo[i] > box.hi[i]) {
      faults.Add(
          {.field = absl::StrCat("box side ", i),
           .message = absl::StrFormat("[%g, %g] is reversed", box.lo[i], box.hi[i]),
           .remedy = "give the lower end first"});
    }
  }
  return faults.ToStatus();
}

}  // namespace ratebound::bound
