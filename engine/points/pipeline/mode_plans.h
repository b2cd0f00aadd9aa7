// The reduction plans of a line, one for each mode that has a reduction.
//
// Thread-safety: const after creation; refers to the manifest, which must outlive it.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/points/reduction/reduce.h"

namespace ratebound::points {

class ModePlans {
 public:
  // INVALID_ARGUMENT with the faults of every mode, in the file line.textproto.
  static absl::StatusOr<ModePlans> Create(
      const document::LineManifest& manifest,
      std::span<const document::MeasurementMethod> methods);

  struct Entry {
    const document::Mode* mode = nullptr;
    ReductionPlan plan;
  };
  // Null where the unit or mode does not exist or has no reduction.
  const Entry* Find(std::string_view unit, std::string_view mode) const;

 private:
  ModePlans() = default;
  std::map<std::pair<std::string, std::string>, Entry, std::less<>> entries_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_
