// Evaluates the performance map of one stage: what the unit does at given conditions, how
// sure that is, and whether it was tested there.
//
// Example:
//   ASSIGN_OR_RETURN(StageModel model, StageModel::Create(map));
//   ASSIGN_OR_RETURN(Estimate power, model.Evaluate("power_input", conditions_si));
//   power.value_si;                                            // W
//   ASSIGN_OR_RETURN(FootingAnswer footing, model.Footing(conditions_si));
//   footing.reason;      // "entering_water_temp of 45 degC is above the tested range,
//   ..."
//
// Conditions are in SI and in the order of map().conditions. Values come from the table
// surfaces; a claim takes the proof surfaces and another way (engine/claim).
//
// Derived quantities, where capacity and power have surfaces and the quantity has none
// itself:
//   coefficient_of_performance, energy_efficiency_ratio (W/W inside; cooling only)
//       capacity / power
//   heat_rejection (cooling), heat_absorbed (heating)
//       capacity + power, capacity - power: the balance of the whole unit, so only where
//       capacity is total_capacity or heating_capacity, which count the fan, and power is
//       power_input; heat that the cabinet loses to the air around is left out
//   leaving_water_temp, leaving_condenser_water_temp
//       entering temperature + heat_rejection / (density * specific heat * flow), or
//       - heat_absorbed / (...), where temperature and flow are conditions, fitted or
//       held
//
// Standard errors of derived quantities are of first order and add up linearly, as if the
// errors of capacity and power conspired. Correlated errors cannot do worse, so the
// figure is on the safe side; measured errors of both share instruments and days, so
// independence would be a guess. Degrees of freedom are the lesser of the two.
//
// Footing:
//   tested        within kSamePointFraction of each tested range of a tested point
//   interpolated  inside every tested range; leverage at most the greatest among the
//   points; the
//                 nearest tested point within nearest_point_fraction of each tested range
//   extrapolated  anything else, or a held condition away from its value; with the reason
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_MAP_STAGE_MODEL_H_
#define RATEBOUND_ENGINE_MAP_STAGE_MODEL_H_

#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/measure.h"
#include "engine/document/points.h"
#include "engine/map/model_surface.h"
#include "engine/quantity/unit.h"

namespace ratebound::map {

inline constexpr double kSamePointFraction = 0.005;

struct Estimate {
  double value_si = 0;
  std::optional<double> standard_error_si;  // empty where it cannot be estimated
  double degrees_of_freedom = 0;            // of the standard error
};

struct FootingAnswer {
  document::Footing footing = document::Footing::kUnspecified;
  std::string reason;  // one sentence
};

class StageModel {
 public:
  // INVALID_ARGUMENT for a map whose sizes, ranges or exponents do not fit together,
  // whatever its origin.
  static absl::StatusOr<StageModel> Create(document::StageMap map);

  const document::StageMap& map() const { return map_; }
  // Fitted and derived, by name.
  std::vector<std::string> AvailableQuantities() const;
  bool Has(std::string_view quantity) const;

  // INVALID_ARGUMENT for another number of conditions, values that are not finite, or a
  // quantity that the map does not give (the message lists those it gives, or why not).
  // FAILED_PRECONDITION where a derived quantity has no value: power or flow not above 0.
  absl::StatusOr<Estimate> Evaluate(std::string_view quantity,
                                    std::span<const double> conditions_si) const;
  // values_si[i] = Evaluate(quantity, row i of the columns), the same bits. Errors as
  // Evaluate, of the first row at fault; values_si is then unspecified.
  absl::Status EvaluateColumns(std::string_view quantity,
                               std::span<const std::span<const double>> columns_si,
                               std::span<double> values_si) const;

  // `held_si` gives held conditions where the asker states them; others are taken as
  // held. `units` are those that the reason is written in, by quantity; SI for others.
  // INVALID_ARGUMENT as Evaluate, or for a held condition that the map does not hold.
  using UnitsByQuantity = std::map<std::string, quantity::Unit, std::less<>>;
  absl::StatusOr<FootingAnswer> Footing(std::span<const double> conditions_si,
                                        std::span<const document::SiValue> held_si = {},
                                        const UnitsByQuantity& units = {}) const;
  // Without reasons.
  absl::Status FootingColumns(std::span<const std::span<const double>> columns_si,
                              std::span<document::Footing> footings) const;

 private:
  struct Fitted {
    std::string quantity;
    ModelSurface surface;
    double degrees_of_freedom = 0;
  };
  enum class Formula { kRatio, kHeat, kLeavingTemperature };
  // A condition, or the value at which it is held.
  struct Input {
    int condition = -1;
    double held_si = 0;
  };
  struct Derived {
    std::string quantity;
    Formula formula = Formula::kRatio;
    Input entering_temp;  // of kLeavingTemperature
    Input flow;           // of kLeavingTemperature
  };

  StageModel() = default;
  absl::Status AddSurface(const document::Surface& surface);
  void AddDerived();
  std::optional<Input> FindInput(std::string_view quantity) const;
  const Fitted* FindFitted(std::string_view quantity) const;
  const Derived* FindDerived(std::string_view quantity) const;
  absl::Status UnknownQuantity(std::string_view quantity) const;
  absl::Status CheckConditions(std::span<const double> conditions_si) const;
  absl::StatusOr<double> Combine(const Derived& derived, double capacity_w,
                                 double power_w, double entering_c,
                                 double flow_m3_per_s) const;
  std::string DescribeOutside(std::span<const double> conditions_si,
                              const UnitsByQuantity& units) const;
  double Leverage(std::span<const double> conditions_si) const;
  FootingAnswer FootingInside(std::span<const double> conditions_si, bool explain,
                              const UnitsByQuantity& units) const;

  document::StageMap map_;
  std::vector<Fitted> fitted_;
  std::vector<Derived> derived_;
  std::vector<double> range_si_;  // tested width of each condition
  // Leverage of the table surface of capacity, or of the first one there is; empty
  // without.
  std::optional<ModelSurface> leverage_;
  double greatest_leverage_ = 0;
};

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_STAGE_MODEL_H_
