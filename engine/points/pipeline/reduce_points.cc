#include "engine/points/pipeline/reduce_points.h"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/points/pipeline/mode_plans.h"
#include "engine/points/pipeline/point_figures.h"
#include "engine/points/point_checks.h"

namespace ratebound::points {
namespace {

using document::Finding;
using document::Severity;
using document::SiValue;
using document::TestPoint;

class Reducer {
 public:
  Reducer(const document::LineManifest& manifest, const ModePlans& plans)
      : plans_(plans), uncertainty_(manifest), factors_(kCoverage) {}

  void Reduce(TestPoint& point) {
    if (!point.accepted()) return;
    const ModePlans::Entry* const entry = plans_.For(point);
    // Ingest leaves conditions to us wherever the mode has a reduction.
    const ModePlans::Entry* const declared = plans_.Find(point.unit, point.mode);
    const bool knows = uncertainty_.KnowsAnything(point, entry != nullptr);
    if (entry != nullptr || (knows && !point.values.empty())) {
      auto figures = FiguresOf(uncertainty_, entry, point);
      if (!figures.ok()) return Refuse(point, figures.status());
      TakeOver(*figures, point);
      if (knows) SetUncertainty(*figures, point);
      Warn(figures->warnings, point);
    }
    if (declared != nullptr) CheckConditions(*declared->mode, point);
  }

  absl::StatusOr<std::vector<Finding>> Take() {
    if (!faults_.empty()) return faults_.ToStatus();
    for (const auto& [mode, missing] : missing_) {
      findings_.push_back(
          {.severity = Severity::kWarning,
           .subject = mode,
           .message = absl::StrCat(
               "nothing says how sure these readings are, and the uncertainty of what is "
               "computed from them leaves them out: ",
               absl::StrJoin(missing, ", "), "; give them an instrument")});
    }
    return std::move(findings_);
  }

 private:
  void Refuse(const TestPoint& point, const absl::Status& status) {
    std::vector<base::Fault> faults = base::FaultsOf(status);
    if (faults.empty()) faults.push_back({.message = std::string(status.message())});
    for (base::Fault& fault : faults) {
      if (fault.file.empty()) {
        fault.file = point.file;
        fault.line = point.line;
        fault.message = absl::StrCat("point '", point.id, "': ", fault.message);
      } else if (!told_.insert(fault.ToString()).second) {
        continue;  // of the manifest, and the same for every point
      }
      faults_.Add(std::move(fault));
    }
  }

  void Warn(std::vector<std::string>& warnings, const TestPoint& point) {
    for (std::string& warning : warnings) {
      findings_.push_back({.severity = Severity::kWarning,
                           .subject = point.id,
                           .message = std::move(warning),
                           .file = point.file,
                           .line = point.line});
    }
  }

  // Puts what was computed among the values, in the order of their names.
  static void TakeOver(const PointFigures& figures, TestPoint& point) {
    for (size_t j = figures.inputs.quantities.size(); j < figures.quantities.size();
         ++j) {
      const std::string& quantity = figures.quantities[j];
      const auto place =
          std::lower_bound(point.values.begin(), point.values.end(), quantity,
                           [](const SiValue& value, const std::string& name) {
                             return value.quantity < name;
                           });
      if (place == point.values.end() || place->quantity != quantity) {
        point.values.insert(
            place,
            {.quantity = quantity, .value_si = figures.values_si[j], .computed = true});
        continue;
      }
      place->lab_value_si = place->reading_si();
      place->value_si = figures.values_si[j];
      place->computed = true;
    }
  }

  void CheckConditions(const document::Mode& mode, const TestPoint& point) {
    for (const std::string& condition : AllConditions(mode)) {
      if (point.FindValue(condition) != nullptr) continue;
      faults_.Add({.file = point.file,
                   .line = point.line,
                   .message = absl::StrCat("point '", point.id, "': ", condition,
                                           ", a condition of mode ", mode.id,
                                           ", was neither measured nor computed"),
                   .remedy = "give the value, or drop the point with a reason"});
    }
  }

  void SetUncertainty(const PointFigures& figures, TestPoint& point) {
    const InputUncertainty& inputs = figures.inputs.uncertainty;
    const size_t count = figures.quantities.size();
    std::vector<double> weights(static_cast<size_t>(inputs.weight_count()));
    inputs.Weigh(inputs.standard_uncertainties(), weights);
    std::vector<double> loadings(count * static_cast<size_t>(inputs.factor_count()));
    std::vector<OutputUncertainty> outputs(count);
    Propagate(inputs, weights, figures.gradients, loadings, outputs);
    // Computed values come last and overwrite the reading of the same name.
    for (size_t row = 0; row < count; ++row) {
      const Knowledge knowledge = KnowledgeOf(figures, row);
      for (SiValue& value : point.values) {
        if (value.quantity != figures.quantities[row]) continue;
        if (knowledge.any) {
          value.uncertainty = ToValueUncertainty(outputs[row], factors_);
        } else {
          value.uncertainty.reset();
        }
        if (value.computed && knowledge.any && !knowledge.missing.empty()) {
          missing_[absl::StrCat(point.unit, "/", point.mode)].insert(
              knowledge.missing.begin(), knowledge.missing.end());
        }
      }
    }
  }

  const ModePlans& plans_;
  const ReadingUncertainty uncertainty_;
  const CoverageFactors factors_;
  base::FaultList faults_;
  std::set<std::string> told_;
  std::vector<Finding> findings_;
  std::map<std::string, std::set<std::string>> missing_;  // by unit/mode
};

}  // namespace

absl::StatusOr<std::vector<Finding>> ReducePoints(
    const document::LineManifest& manifest,
    std::span<const document::MeasurementMethod> methods,
    std::vector<TestPoint>& points) {
  ASSIGN_OR_RETURN(const ModePlans plans, ModePlans::Create(manifest, methods));
  Reducer reducer(manifest, plans);
  for (TestPoint& point : points) reducer.Reduce(point);
  return reducer.Take();
}

}  // namespace ratebound::points
