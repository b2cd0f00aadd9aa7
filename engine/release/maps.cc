#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"
#include "engine/release/work.h"

namespace ratebound::release {

absl::StatusOr<Maps> Maps::Create(std::vector<document::StageMap> maps) {
  Maps result;
  for (document::StageMap& map : maps) {
    ASSIGN_OR_RETURN(map::StageModel model, map::StageModel::Create(std::move(map)));
    result.models_.push_back(std::move(model));
  }
  return result;
}

std::vector<const map::StageModel*> Maps::Find(std::string_view unit,
                                               std::string_view mode,
                                               std::string_view stage) const {
  std::vector<const map::StageModel*> found;
  for (const map::StageModel& model : models_) {
    if (model.map().unit == unit && model.map().mode == mode &&
        model.map().stage == stage) {
      found.push_back(&model);
    }
  }
  return found;
}

std::string DataDigest(std::span<const document::TestPoint> points, std::string_view unit,
                       std::string_view mode, std::string_view stage) {
  document::Sha256 digest;
  for (const document::TestPoint& point : points) {
    if (!point.accepted() || point.unit != unit || point.mode != mode ||
        point.stage != stage) {
      continue;
    }
    // Ends are marked by a byte that no id holds, so that no two lists of points run
    // together.
    for (const std::string* part :
         {&point.id, &point.block, &point.specimen, &point.regime}) {
      digest.Update(*part);
      digest.Update(std::string_view("\0", 1));
    }
    for (const document::SiValue& value : point.values) {
      digest.Update(value.quantity);
      digest.Update("=");
      digest.Update(base::ShortestText(value.value_si));
      digest.Update(std::string_view("\0", 1));
    }
    digest.Update("\n");
  }
  return digest.FinishHex();
}

}  // namespace ratebound::release
