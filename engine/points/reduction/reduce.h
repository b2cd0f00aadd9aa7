// Raw laboratory readings of one test point to capacities, by published methods held as
// data (engine/document/method.h; ratings/procedures/methods).
//
// Example:
//   ASSIGN_OR_RETURN(ReductionPlan plan, ReductionPlan::Create(mode, methods));
//   Readings<double> readings(plan);
//   for (const document::SiValue& v : point.values) readings.Set(plan, v.quantity,
//                                                                v.value_si);
//   Results<double> results;
//   StepRecorder steps;                       // optional: every intermediate value
//   RETURN_IF_ERROR(Reduce(plan, readings, results, &steps));
//   results.Find(plan, "total_capacity");     // W, net
//
// What is computed, where the manifest's Reduction (engine/document/reduction.h) names
// the methods and the readings are there:
//   air side      states of entering and leaving air, air flow in each of its forms, net
//                 and gross total, sensible and latent capacity or heating capacity,
//                 moisture_removal, sensible_heat_ratio; nozzle_throat_velocity
//   liquid sides  capacity, heat_rejection or heat_absorbed
//   both          capacity on the manifest's basis, and heat_balance: the second side's
//                 capacity less the first's, to the first's. From a rejected heat the
//                 cooling capacity is rejection less power_input, from an absorbed one
//                 the heating capacity is absorption plus power_input.
//   corrections   power_input and capacity for fans and pumps, last of all
//   refrigerant   saturated_suction_temp and saturated_discharge_temp from pressures,
//                 superheat, subcooling
// power_input is indoor_fan_power + outdoor_section_power where it was not read itself.
// The barometer is read, or follows from altitude, or is that of the standard
// atmosphere, which the steps say.
//
// Readings and results are in SI, one for each name of inputs() and outputs(), in that
// order; empty where not read or not computable. In between, each method is evaluated in
// its own units with its own constants, which are never replaced by exact conversions.
//
// Errors: INVALID_ARGUMENT, all faults together, naming the quantity and the limit: a
// reading that is missing (with what would serve), not finite or negative where that
// cannot be, a wet bulb or dew point above the dry bulb by more than the slack, more
// water than the air can hold, a liquid out of the range of its properties. Throat
// velocities outside the method's range are warnings. Whether two sides are in balance is
// for the screen to judge.
//
// Derivatives are those of the formulas; the discharge coefficient, which is iterated,
// takes the implicit derivative.
//
// Same bits for one point, for its value in a dual number and for a column of points.
// Thread-safety: a plan is const after creation; functions are pure.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCE_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCE_H_

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/number/dual.h"
#include "engine/points/reduction/step_recorder.h"

namespace ratebound::points {

struct PlanCore;  // inside

struct ReductionOptions {
  // How far a wet bulb or dew point may stand above the dry bulb, in K, and be taken as
  // equal to it: what the thermometers may differ by in saturated air.
  double wet_bulb_slack_k = 0;
};

class ReductionPlan {
 public:
  // INVALID_ARGUMENT, all faults together: a method that is not among `methods`, is of
  // another kind, or lacks or does not know a number, rule or input (method_names.h); a
  // quantity that does not exist or measures something else; a mode without a reduction.
  static absl::StatusOr<ReductionPlan> Create(
      const document::Mode& mode, std::span<const document::MeasurementMethod> methods,
      const ReductionOptions& options = {});

  // Quantities that may be read, in a fixed order, without doubles.
  const std::vector<std::string>& inputs() const { return inputs_; }
  // Quantities that may be computed, in a fixed order. power_input may be in both: read,
  // and corrected.
  const std::vector<std::string>& outputs() const { return outputs_; }
  // -1 where the name is not among them.
  int InputIndex(std::string_view quantity) const;
  int OutputIndex(std::string_view quantity) const;
  // How far the two sides may differ, as a fraction; empty where no method says it.
  std::optional<double> balance_limit_fraction() const;
  // "air-enthalpy-37-2009: latent_heat = 1061 Btu/lb (MEMORY)", of the numbers and rules
  // in use that were not read in the published text.
  const std::vector<std::string>& unconfirmed() const { return unconfirmed_; }

  const PlanCore& core() const { return *core_; }  // inside

 private:
  ReductionPlan() = default;
  std::shared_ptr<const PlanCore> core_;
  std::vector<std::string> inputs_;
  std::vector<std::string> outputs_;
  std::vector<std::string> unconfirmed_;
};

// By the plan's inputs().
template <class T>
struct Readings {
  explicit Readings(const ReductionPlan& plan) : values(plan.inputs().size()) {}
  std::vector<std::optional<T>> values;

  // False where the plan does not read the quantity.
  bool Set(const ReductionPlan& plan, std::string_view quantity, const T& value_si) {
    const int i = plan.InputIndex(quantity);
    if (i >= 0) values[i] = value_si;
    return i >= 0;
  }
};

// By the plan's outputs().
template <class T>
struct Results {
  std::vector<std::optional<T>> values;
  std::vector<std::string> warnings;

  std::optional<T> Find(const ReductionPlan& plan, std::string_view quantity) const {
    const int i = plan.OutputIndex(quantity);
    return i < 0 ? std::nullopt : values[i];
  }
};

// Inputs that one pass over dual numbers can tell apart.
inline constexpr int kGradientWidth = 8;

// T is double or number::Dual<kGradientWidth>.
template <class T>
absl::Status Reduce(const ReductionPlan& plan, const Readings<T>& readings,
                    Results<T>& results, StepRecorder* recorder = nullptr);

// The values with their gradients over all inputs, in as many passes as the readings
// need: gradients[output * inputs().size() + input], 0 where either is empty. This is
// the shape that Propagate (engine/points/uncertainty) takes.
absl::Status ReduceWithGradients(const ReductionPlan& plan,
                                 const Readings<double>& readings,
                                 Results<double>& results,
                                 std::vector<double>& gradients);

// Many points that were read alike. One column for each of inputs() (empty: not read)
// and of outputs() (empty: not wanted), all others of one length.
struct ColumnOutputs {
  std::vector<std::span<double>> values;
  // Combined standard uncertainties by JCGM 100, 5.1.2 (10), of independent inputs;
  // empty: not wanted.
  std::vector<std::span<double>> standard_uncertainties;
};

// Columns of results; nothing is recorded, and for the air side alone, above freezing,
// nothing allocated for each point. Where Reduce would refuse a point all its results are
// not-a-number; what Reduce leaves empty is not-a-number, too.
// `input_standard_uncertainties` is by inputs() and may be empty where
// out.standard_uncertainties is. Returns how many points were refused. INVALID_ARGUMENT
// for columns that do not fit, and where every point is refused, as for want of a
// reading: with the faults of the first.
//
// Measured against the same equations in NumPy: see DEVELOPERS.md, benchmarks.
absl::StatusOr<int64_t> ReduceColumns(
    const ReductionPlan& plan, std::span<const std::span<const double>> inputs,
    std::span<const double> input_standard_uncertainties, const ColumnOutputs& out);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_REDUCE_H_
