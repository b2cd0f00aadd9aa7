// What the rows of one block span: any function of I - H_gg is read from it. Inside of
// BlockIntervals and of band_ratios.h.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_BLOCK_ROW_SPACE_H_
#define RATEBOUND_ENGINE_FIT_BLOCK_ROW_SPACE_H_

#include <span>
#include <vector>

#include "engine/fit/pivoted_qr.h"

namespace ratebound::fit {

// Q_g' Q_g = U L U' for the rows of Q that belong to a block: the columns of U that have
// a part of the rows' span, one vector of `terms` for each value.
struct RowSpace {
  std::vector<double> values;
  std::vector<std::vector<double>> vectors;
};

// `qr` has its Q; `rows` are those of the block, `terms` its columns.
RowSpace RowSpaceOf(const PivotedQr& qr, std::span<const int> rows, int terms);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_BLOCK_ROW_SPACE_H_
