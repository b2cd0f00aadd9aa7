// Numbers of a season as they come from the file, the climate or the user.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_VALUES_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_VALUES_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/season.h"
#include "engine/rating/procedure_inputs.h"

namespace ratebound::rating {

class SeasonValues {
 public:
  // Refers to all, which must outlive it.
  SeasonValues(const document::BinSeason& season, const document::Climate& climate,
               const ProcedureInputs& inputs)
      : season_(season), climate_(climate), inputs_(inputs) {}

  // In the season's unit of temperature; a plain number, with percent as its part; W; h.
  // Nothing where an input is not given: such a one that may not be missing is kept, and
  // told by Missing. FAILED_PRECONDITION where a unit does not fit.
  absl::StatusOr<std::optional<double>> Temperature(const document::SeasonNumber& number);
  absl::StatusOr<std::optional<double>> Plain(const document::SeasonNumber& number);
  absl::StatusOr<std::optional<double>> PowerW(const document::SeasonNumber& number);
  absl::StatusOr<std::optional<double>> Hours(const document::SeasonNumber& number);

  // An input by its name, that may be missing.
  absl::StatusOr<std::optional<double>> PlainInput(const std::string& name) const;
  absl::StatusOr<std::optional<double>> HoursInput(const std::string& name) const;
  // The number as the user wrote it, whatever its unit.
  std::optional<double> RawInput(const std::string& name) const;

  void AddMissing(const std::string& input);
  // FAILED_PRECONDITION with all required inputs that were asked for and not given.
  absl::Status Missing() const;

 private:
  enum class Kind { kTemperature, kPlain, kPower, kHours };
  absl::StatusOr<std::optional<double>> Get(const document::SeasonNumber& number,
                                            Kind kind);
  absl::StatusOr<std::optional<double>> Input(const std::string& name, Kind kind) const;
  absl::StatusOr<double> Turned(double value, const std::string& unit, Kind kind,
                                std::string_view what) const;

  const document::BinSeason& season_;
  const document::Climate& climate_;
  const ProcedureInputs& inputs_;
  std::vector<std::string> missing_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_VALUES_H_
