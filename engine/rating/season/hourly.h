// Hourly outdoor temperatures of a site, from the bytes of a file, and bins of them.
//
// EPW is the open weather format of the EnergyPlus project (Auxiliary Programs manual,
// "EnergyPlus Weather File (EPW) Data Dictionary", from memory): 8 lines of header, then
// one line an hour of comma-separated fields; field 7 is the dry bulb in degC, 99.9 where
// it is missing.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<double> hours_c, ReadEpwTemperatures("site.epw",
//   bytes)); document::BinTable table = BinHours(hours_c, 1);
//
// INVALID_ARGUMENT with file and line for what cannot be read or cannot be a temperature;
// all faults together. Thread-safe.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_HOURLY_H_
#define RATEBOUND_ENGINE_RATING_SEASON_HOURLY_H_

#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/document/season.h"

namespace ratebound::rating {

// In degC. A missing hour is a fault: nothing is filled in.
absl::StatusOr<std::vector<double>> ReadEpwTemperatures(std::string_view name,
                                                        std::string_view bytes);

// The column under the heading `column`, in the unit that it is written in. One line of
// headings; fields may stand in double quotes.
absl::StatusOr<std::vector<double>> ReadCsvTemperatures(std::string_view name,
                                                        std::string_view bytes,
                                                        std::string_view column);

// The hours of a season's file, in `temperature_unit`.
absl::StatusOr<std::vector<double>> ReadHourly(const document::HourlyTemperatures& hourly,
                                               std::string_view temperature_unit,
                                               std::string_view bytes);

// Bins centred at whole multiples of `step`, halves to the warmer one, from the coldest
// that has hours to the warmest, each weighing its hours. With a step of 0 each hour is a
// bin of its own, in the order of the hours.
std::vector<document::Bin> BinHours(std::span<const double> hours, double step);

// Puts tables of bins in the place of the files that the climates of a season name.
// `bytes_of` gives the bytes of a path in the line folder, or NOT_FOUND. Nothing to do
// for other procedures.
absl::Status ReadSeasonFiles(
    const std::function<absl::StatusOr<std::string_view>(const std::string& path)>&
        bytes_of,
    document::Procedure& procedure);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_HOURLY_H_
