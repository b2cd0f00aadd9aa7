// The reduction plans of a line, one for each mode that has a reduction.
//
// Thread-safety: const after creation; refers to the manifest, which must outlive it.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_

#include <map>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/points.h"
#include "engine/points/reduction/reduce.h"

namespace ratebound::points {

class ModePlans {
 public:
  // INVALID_ARGUMENT with the faults of every mode, in the file line.textproto.
  // Readings of humidity may stand above the dry bulb by what the manifest allows; drawn
  // ones, whose errors put them anywhere, are taken as saturated up to 5 K above.
  enum class Use { kReadings, kDraws };
  static absl::StatusOr<ModePlans> Create(
      const document::LineManifest& manifest,
      std::span<const document::MeasurementMethod> methods, Use use = Use::kReadings);

  struct Entry {
    const document::Mode* mode = nullptr;
    ReductionPlan plan;
  };
  // Null where the unit or mode does not exist or has no reduction.
  const Entry* Find(std::string_view unit, std::string_view mode) const;
  // What a point is reduced by. Null, too, for a dropped point, which stays as it was
  // read, and for one of frost cycles: its capacity was integrated from row to row, and
  // the means of its readings say nothing of it.
  const Entry* For(const document::TestPoint& point) const;

 private:
  ModePlans() = default;
  std::set<std::string, std::less<>> integrated_files_;
  std::map<std::pair<std::string, std::string>, Entry, std::less<>> entries_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_MODE_PLANS_H_
