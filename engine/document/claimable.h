// Which quantities a claim on a mode may be about: those that its surfaces give and those
// that follow from them.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CLAIMABLE_H_
#define RATEBOUND_ENGINE_DOCUMENT_CLAIMABLE_H_

#include <string>
#include <vector>

#include "engine/document/line.h"

namespace ratebound::document {

// Capacity, power and the other responses of the mode.
std::vector<std::string> FittedQuantities(const Mode& mode);

// Those above, and what engine/claim/expression.h makes of them:
//   coefficient_of_performance, energy_efficiency_ratio   of any mode
//   heat_rejection, heat_absorbed        where capacity and power are those of the whole
//                                        unit: total_capacity (cooling) or
//                                        heating_capacity, and power_input
//   leaving_water_temp, leaving_condenser_water_temp, water_temperature_difference
//                                        where the water's flow and, for a leaving
//                                        temperature, the entering one are conditions or
//                                        held, too
//   leaving_air_dew_point                where barometric_pressure is held and
//                                        leaving_air_humidity_ratio, or leaving_air_db
//                                        and leaving_air_wb, are responses
//   sensible_heat_ratio                  where sensible_capacity is a response beside
//                                        total_capacity
std::vector<std::string> ClaimableQuantities(const Mode& mode);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CLAIMABLE_H_
