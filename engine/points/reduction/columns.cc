// Columns of points: the air side by kernels of several points at a time, all else and
// what the kernels leave (points below freezing, at the edge or refused) by one point at
// a time.
#include <algorithm>
#include <cmath>
#include <limits>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/points/reduction/column_kernels.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/reduce.h"

namespace ratebound::points {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
// Above the triple point, where dew and frost part.
constexpr double kLowestMoistureC = 0.02;
constexpr double kLeastPressureDropPa = 0.01;

using Columns = std::span<const std::span<const double>>;

class ColumnReduction {
 public:
  ColumnReduction(const ReductionPlan& plan, Columns inputs,
                  std::span<const double> input_uncertainties, const ColumnOutputs& out)
      : plan_(plan),
        core_(plan.core()),
        inputs_(inputs),
        input_uncertainties_(input_uncertainties),
        out_(out) {}

  absl::StatusOr<int64_t> Run() {
    RETURN_IF_ERROR(CheckShapes());
    ColumnJob job;
    const bool by_kernel = count_ > 0 && MakeJob(job);
    const ColumnKernel kernel = BestColumnKernel();
    Readings<double> readings(plan_);
    unsigned char left[kColumnBlock];
    int64_t refused = 0;
    for (long begin = 0; begin < count_; begin += kColumnBlock) {
      const long end = std::min<long>(begin + kColumnBlock, count_);
      if (by_kernel) {
        kernel(job, begin, end, wants_uncertainty_, left);
      } else {
        std::fill(std::begin(left), std::end(left), 1);
      }
      for (long i = begin; i < end; ++i) {
        if (left[i - begin] != 0 && !ReduceOne(i, readings)) ++refused;
      }
    }
    if (count_ > 0 && refused == count_) return first_refusal_;
    return refused;
  }

 private:
  bool IsRead(int input) const {
    return input != kNowhere && !inputs_[static_cast<size_t>(input)].empty();
  }
  double* Wanted(const std::vector<std::span<double>>& columns, size_t output) const {
    return columns.empty() || columns[output].empty() ? nullptr : columns[output].data();
  }

  absl::Status CheckLength(size_t length, const std::string& name) {
    if (length == 0) return absl::OkStatus();
    if (count_ < 0) count_ = static_cast<long>(length);
    if (static_cast<size_t>(count_) == length) return absl::OkStatus();
    return absl::InvalidArgumentError(
        absl::StrCat("column ", name, " holds ", length, " points and another ", count_));
  }

  absl::Status CheckShapes() {
    const size_t inputs = plan_.inputs().size();
    const size_t outputs = plan_.outputs().size();
    if (inputs_.size() != inputs) {
      return absl::InvalidArgumentError(
          absl::StrCat(inputs_.size(), " columns for a plan of ", inputs, " inputs"));
    }
    for (const auto* columns : {&out_.values, &out_.standard_uncertainties}) {
      if (!columns->empty() && columns->size() != outputs) {
        return absl::InvalidArgumentError(absl::StrCat(
            columns->size(), " columns for a plan of ", outputs, " outputs"));
      }
    }
    count_ = -1;
    for (size_t i = 0; i < inputs; ++i) {
      RETURN_IF_ERROR(CheckLength(inputs_[i].size(), plan_.inputs()[i]));
    }
    for (size_t i = 0; i < outputs; ++i) {
      for (const auto* columns : {&out_.values, &out_.standard_uncertainties}) {
        if (!columns->empty()) {
          RETURN_IF_ERROR(CheckLength((*columns)[i].size(), plan_.outputs()[i]));
        }
      }
    }
    count_ = std::max(count_, 0L);
    wants_uncertainty_ = std::any_of(
        out_.standard_uncertainties.begin(), out_.standard_uncertainties.end(),
        [](const std::span<double>& column) { return !column.empty(); });
    if (!wants_uncertainty_) return absl::OkStatus();
    if (input_uncertainties_.size() != inputs) {
      return absl::InvalidArgumentError(
          absl::StrCat(input_uncertainties_.size(),
                       " standard uncertainties for a plan of ", inputs, " inputs"));
    }
    for (const double u : input_uncertainties_) {
      if (!(u >= 0 && std::isfinite(u))) {
        return absl::InvalidArgumentError(
            absl::StrCat("a standard uncertainty is ", u, ", not 0 or above"));
      }
    }
    return absl::OkStatus();
  }

  // One column of the kernel. False where a reading of it is missing.
  bool Bind(ColumnJob& job, AirColumn column, int input) const {
    if (!IsRead(input)) return false;
    const auto i = static_cast<size_t>(input);
    job.columns[column] = inputs_[i].data();
    job.low[column] = core_.quantities[i]->least_si;
    job.high[column] = core_.quantities[i]->greatest_si;
    if (wants_uncertainty_) job.standard_uncertainty[column] = input_uncertainties_[i];
    return true;
  }
  bool BindMoisture(ColumnJob& job, AirColumn column, const StateInputs& state,
                    HumidityReading& reading) const {
    for (size_t kind = 0; kind < state.moisture.size(); ++kind) {
      if (!Bind(job, column, state.moisture[kind])) continue;
      reading = static_cast<HumidityReading>(kind);
      if (reading == HumidityReading::kWetBulb || reading == HumidityReading::kDewPoint) {
        job.low[column] = std::max(job.low[column], kLowestMoistureC);
      }
      return reading != HumidityReading::kHumidityRatio;
    }
    return false;
  }

  // False where the kernels cannot serve these readings and outputs.
  bool MakeJob(ColumnJob& job) const {
    if (!core_.air.has_value() || !core_.liquids.empty() || !core_.corrections.empty()) {
      return false;
    }
    const AirPlan& air = *core_.air;
    job.constants = air.constants;
    job.inch_pound = air.inch_pound;
    const AirConstants& k = air.constants;
    if (!Bind(job, kEnteringDb, air.entering.db) ||
        !Bind(job, kLeavingDb, air.leaving.db) || !Bind(job, kFlow, air.flow) ||
        !BindMoisture(job, kEnteringMoisture, air.entering, job.pattern.entering)) {
      return false;
    }
    if (!BindMoisture(job, kLeavingMoisture, air.leaving, job.pattern.leaving)) {
      for (const int input : air.leaving.moisture) {
        if (IsRead(input)) return false;
      }
      if (!k.heating) return false;
      job.pattern.leaving_humidity_is_entering = true;
    }
    if (!Bind(job, kBarometer, core_.barometer)) {
      if (IsRead(core_.altitude)) return false;
      job.constant[kBarometer] = fluid::Si::kSeaLevelPressure;
    }
    if (k.flow == FlowReading::kNozzles) {
      job.low[kFlow] = std::max(job.low[kFlow], kLeastPressureDropPa);
      if (!Bind(job, kNozzleDb, air.nozzle_db)) return false;
    }
    if (k.duct_loss_w_per_k > 0 && !Bind(job, kAmbientDb, air.ambient_db)) return false;
    if (k.latent_from_condensate && !Bind(job, kCondensate, air.condensate)) return false;
    job.pattern.has_fan_power = Bind(job, kFanPower, air.fan_power);
    if (!job.pattern.has_fan_power && k.leaving_air_ahead_of_fan) return false;
    // Of these the kernels carry no derivatives.
    if (job.standard_uncertainty[kCondensate] > 0 ||
        job.standard_uncertainty[kFanPower] > 0) {
      return false;
    }
    // A reading that the air side has no use for would still be checked by Reduce.
    for (size_t i = 0; i < inputs_.size(); ++i) {
      if (inputs_[i].empty()) continue;
      const bool used =
          std::any_of(std::begin(job.columns), std::end(job.columns),
                      [&](const double* column) { return column == inputs_[i].data(); });
      if (!used) return false;
    }
    return BindResults(job);
  }

  bool BindResults(ColumnJob& job) const {
    for (size_t id = 0; id < kOutputNames.size(); ++id) {
      const int index = core_.output_index[id];
      if (index == kNowhere) continue;
      double* const value = Wanted(out_.values, static_cast<size_t>(index));
      double* const uncertainty =
          Wanted(out_.standard_uncertainties, static_cast<size_t>(index));
      if (value == nullptr && uncertainty == nullptr) continue;
      const int result = ResultOf(static_cast<OutputId>(id), job);
      if (result < 0) return false;
      job.values[result] = value;
      job.uncertainties[result] = uncertainty;
    }
    return true;
  }

  int ResultOf(OutputId id, const ColumnJob& job) const {
    const bool fan = job.pattern.has_fan_power;
    switch (id) {
      case OutputId::kEnteringHumidityRatio:
        return kEnteringW;
      case OutputId::kLeavingHumidityRatio:
        return job.pattern.leaving_humidity_is_entering ? kNowhere : kLeavingW;
      case OutputId::kAirMassFlow:
        return kDryAirFlowResult;
      case OutputId::kStandardAirFlow:
        return kStandardFlowResult;
      case OutputId::kAirFlow:
        return kAirFlowResult;
      case OutputId::kNozzleThroatVelocity:
        return kThroatVelocityResult;
      case OutputId::kTotalCapacity:
      case OutputId::kHeatingCapacity:
        return kTotalResult;
      case OutputId::kSensibleCapacity:
        return kSensibleResult;
      case OutputId::kLatentCapacity:
        return kLatentResult;
      case OutputId::kGrossTotalCapacity:
      case OutputId::kGrossHeatingCapacity:
        return fan ? kGrossTotalResult : kNowhere;
      case OutputId::kGrossSensibleCapacity:
        return fan ? kGrossSensibleResult : kNowhere;
      case OutputId::kSensibleHeatRatio:
        return kRatioResult;
      case OutputId::kMoistureRemoval:
        return kMoistureResult;
      default:
        return kNowhere;
    }
  }

  bool ReduceOne(long point, Readings<double>& readings) {
    for (size_t i = 0; i < inputs_.size(); ++i) {
      if (!inputs_[i].empty())
        readings.values[i] = inputs_[i][static_cast<size_t>(point)];
    }
    const absl::Status status =
        wants_uncertainty_ ? ReduceWithGradients(plan_, readings, results_, gradients_)
                           : Reduce(plan_, readings, results_);
    const bool refused = !status.ok();
    if (refused && first_refusal_.ok()) first_refusal_ = status;
    const size_t inputs = inputs_.size();
    for (size_t output = 0; output < results_.values.size(); ++output) {
      const auto& result = results_.values[output];
      const bool there = !refused && result.has_value();
      if (double* const to = Wanted(out_.values, output))
        to[point] = there ? *result : kNan;
      if (double* const to = Wanted(out_.standard_uncertainties, output)) {
        double variance = 0;
        for (size_t i = 0; there && i < inputs; ++i) {
          const double part = gradients_[output * inputs + i] * input_uncertainties_[i];
          variance += part * part;
        }
        to[point] = there ? std::sqrt(variance) : kNan;
      }
    }
    return !refused;
  }

  const ReductionPlan& plan_;
  const PlanCore& core_;
  Columns inputs_;
  std::span<const double> input_uncertainties_;
  const ColumnOutputs& out_;
  long count_ = 0;
  bool wants_uncertainty_ = false;
  absl::Status first_refusal_;
  Results<double> results_;
  std::vector<double> gradients_;
};

}  // namespace

absl::StatusOr<int64_t> ReduceColumns(
    const ReductionPlan& plan, Columns inputs,
    std::span<const double> input_standard_uncertainties, const ColumnOutputs& out) {
  return ColumnReduction(plan, inputs, input_standard_uncertainties, out).Run();
}

}  // namespace ratebound::points
