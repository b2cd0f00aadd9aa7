#include "engine/rating/figure_source.h"

namespace ratebound::rating {

int SourceDescription::Find(std::string_view quantity) const {
  for (size_t i = 0; i < quantities.size(); ++i) {
    if (quantities[i] == quantity) return static_cast<int>(i);
  }
  return -1;
}

}  // namespace ratebound::rating
