#include "engine/rating/season/season_values.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::rating {

using document::SeasonNumber;
using quantity::Dimension;

absl::StatusOr<double> SeasonValues::Turned(double value, const std::string& unit,
                                            Kind kind, std::string_view what) const {
  if (kind == Kind::kPlain) {
    if (unit.empty() || unit == "1") return value;
    if (unit == "%") return value / 100;
    return absl::FailedPreconditionError(
        absl::StrCat(base::Absl(what), " is a plain number, and has the unit ", unit));
  }
  const Dimension dimension = kind == Kind::kTemperature ? Dimension::kTemperature
                              : kind == Kind::kPower     ? Dimension::kPower
                                                         : Dimension::kTime;
  // No detour by SI where a value stands in the unit that is asked for.
  if (kind == Kind::kTemperature && unit == season_.temperature_unit) return value;
  if (kind == Kind::kHours && unit == "h") return value;
  const absl::StatusOr<quantity::Unit> found = quantity::FindUnit(unit, dimension);
  if (!found.ok()) {
    return absl::FailedPreconditionError(
        absl::StrCat(base::Absl(what), ": ", found.status().message()));
  }
  const double value_si = quantity::ToSi(value, *found);
  if (kind == Kind::kPower) return value_si;
  const std::string wanted = kind == Kind::kHours ? "h" : season_.temperature_unit;
  ASSIGN_OR_RETURN(const quantity::Unit to, quantity::FindUnit(wanted, dimension));
  return quantity::FromSi(value_si, to);
}

absl::StatusOr<std::optional<double>> SeasonValues::Input(const std::string& name,
                                                          Kind kind) const {
  const document::ProcedureInput* input = inputs_.Find(name);
  if (input == nullptr) return std::optional<double>();
  ASSIGN_OR_RETURN(const double value,
                   Turned(input->value, input->unit, kind, absl::StrCat("input ", name)));
  return value;
}

absl::StatusOr<std::optional<double>> SeasonValues::Get(const SeasonNumber& number,
                                                        Kind kind) {
  if (number.value.has_value()) {
    ASSIGN_OR_RETURN(const double value, Turned(number.value->value, number.value->unit,
                                                kind, "a number of the procedure"));
    return value;
  }
  if (!number.climate_value.empty()) {
    for (const document::ClimateValue& value : climate_.values) {
      if (value.name != number.climate_value) continue;
      ASSIGN_OR_RETURN(const double turned,
                       Turned(value.value.value, value.value.unit, kind,
                              absl::StrCat(value.name, " of climate ", climate_.id)));
      return turned;
    }
    return absl::InvalidArgumentError(
        absl::StrCat("climate ", climate_.id, " has no value ", number.climate_value));
  }
  ASSIGN_OR_RETURN(const std::optional<double> value, Input(number.input, kind));
  if (!value.has_value() && !number.may_be_missing) AddMissing(number.input);
  return value;
}

absl::StatusOr<std::optional<double>> SeasonValues::Temperature(
    const SeasonNumber& number) {
  return Get(number, Kind::kTemperature);
}

absl::StatusOr<std::optional<double>> SeasonValues::Plain(const SeasonNumber& number) {
  return Get(number, Kind::kPlain);
}

absl::StatusOr<std::optional<double>> SeasonValues::PowerW(const SeasonNumber& number) {
  return Get(number, Kind::kPower);
}

absl::StatusOr<std::optional<double>> SeasonValues::Hours(const SeasonNumber& number) {
  return Get(number, Kind::kHours);
}

absl::StatusOr<std::optional<double>> SeasonValues::PlainInput(
    const std::string& name) const {
  return Input(name, Kind::kPlain);
}

absl::StatusOr<std::optional<double>> SeasonValues::HoursInput(
    const std::string& name) const {
  return Input(name, Kind::kHours);
}

std::optional<double> SeasonValues::RawInput(const std::string& name) const {
  const document::ProcedureInput* input = inputs_.Find(name);
  if (input == nullptr) return {};
  return input->value;
}

void SeasonValues::AddMissing(const std::string& input) {
  if (std::find(missing_.begin(), missing_.end(), input) == missing_.end()) {
    missing_.push_back(input);
  }
}

absl::Status SeasonValues::Missing() const { return inputs_.Require(missing_); }

}  // namespace ratebound::rating
