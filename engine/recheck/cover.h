// Whether parts of a proof hold all of a box between them.
//
// Example:
//   const std::string left_out = LeftOut(box, shown, 2, piece_is_empty, conditions);
//   if (!left_out.empty()) ...      // "the range of outdoor_air_db"
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_COVER_H_
#define RATEBOUND_ENGINE_RECHECK_COVER_H_

#include <functional>
#include <string>
#include <vector>

namespace ratebound::recheck {

// Ends of a box, in scaled conditions.
struct Reach {
  std::vector<double> low;
  std::vector<double> high;
};

// What one part shows: a side of one way, or that some one of several ways keeps it.
struct Shown {
  const std::vector<double>* low = nullptr;
  const std::vector<double>* high = nullptr;
  size_t side = 0;
  int way = -1;  // -1: of several
};

// A condition over which something of the box is left out, empty where every point of it
// is held: where there is one side, by any part; where there are more, by parts of all
// sides of one way. Of no matter is what `is_empty` says has no point of the region.
std::string LeftOut(const Reach& box, const std::vector<Shown>& shown, size_t sides,
                    const std::function<bool(const Reach&)>& is_empty,
                    const std::vector<std::string>& conditions);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_COVER_H_
