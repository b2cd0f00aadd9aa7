#include "engine/rating/test_tolerance.h"

#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/units.h"

namespace ratebound::rating {
namespace {

using document::LoadTolerance;
using document::TestTolerances;

absl::StatusOr<const LoadTolerance*> Find(const TestTolerances& tolerances,
                                          std::string_view id) {
  std::vector<std::string> known;
  for (const LoadTolerance& tolerance : tolerances.tolerances) {
    if (tolerance.id == id) return &tolerance;
    known.push_back(tolerance.id);
  }
  return absl::NotFoundError(absl::StrCat(tolerances.id, " has no tolerance '",
                                          base::Printable(std::string(id)),
                                          "'; there is ", absl::StrJoin(known, ", ")));
}

}  // namespace

absl::StatusOr<double> ToleranceFraction(const TestTolerances& tolerances,
                                         std::string_view id, double load_fraction,
                                         double difference_k) {
  ASSIGN_OR_RETURN(const LoadTolerance* tolerance, Find(tolerances, id));
  if (!(load_fraction > 0) || !(load_fraction <= 1)) {
    return absl::InvalidArgumentError(absl::StrCat("a load of ",
                                                   base::ShortestText(load_fraction),
                                                   " is not above 0 and at most 1"));
  }
  ASSIGN_OR_RETURN(const double difference,
                   FromSi("water_temperature_difference", difference_k,
                          tolerances.temperature_difference_unit));
  if (!(difference > 0)) {
    return absl::InvalidArgumentError("the temperature difference is not above 0");
  }
  if (tolerance->regardless_of_load) {
    return tolerance->constant.value + tolerance->over_difference.value / difference;
  }
  return tolerance->constant.value + tolerance->per_load->value * load_fraction +
         tolerance->over_difference.value / (difference * load_fraction);
}

absl::StatusOr<double> GreatestPressureDropPa(const TestTolerances& tolerances,
                                              double rated_pa) {
  if (!tolerances.pressure_drop) {
    return absl::FailedPreconditionError(
        absl::StrCat(tolerances.id, " has no tolerance of pressure drop"));
  }
  const document::PressureDropTolerance& drop = *tolerances.pressure_drop;
  ASSIGN_OR_RETURN(const double addition_pa,
                   ToSi("water_pressure_drop", drop.addition.value, drop.addition.unit));
  return std::max(drop.ratio.value * rated_pa, rated_pa + addition_pa);
}

}  // namespace ratebound::rating
