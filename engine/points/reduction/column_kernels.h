// The air side over columns of points, in one build for baseline x86-64 and one for AVX2
// with the same bits. Inside of ReduceColumns.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_H_

#include "engine/points/reduction/air_equations.h"

namespace ratebound::points {

// The readings of AirReadings, in its order.
enum AirColumn {
  kEnteringDb,
  kEnteringMoisture,
  kLeavingDb,
  kLeavingMoisture,
  kBarometer,
  kFlow,
  kNozzleDb,
  kAmbientDb,
  kCondensate,
  kFanPower,
  kAirColumns
};

// What comes out, in SI.
enum AirResult {
  kEnteringW,
  kLeavingW,
  kDryAirFlowResult,
  kStandardFlowResult,
  kAirFlowResult,
  kThroatVelocityResult,
  kTotalResult,  // of cooling or heating, net
  kSensibleResult,
  kLatentResult,
  kGrossTotalResult,
  kGrossSensibleResult,
  kRatioResult,
  kMoistureResult,
  kAirResults
};

struct ColumnJob {
  AirConstants constants;
  AirPattern pattern;
  bool inch_pound = false;
  // A column, or null for `constant`.
  const double* columns[kAirColumns] = {};
  double constant[kAirColumns] = {};
  // Inside these a point is computed here; outside it is left to the caller.
  double low[kAirColumns];
  double high[kAirColumns];
  double standard_uncertainty[kAirColumns] = {};

  double* values[kAirResults] = {};         // null: not wanted
  double* uncertainties[kAirResults] = {};  // null: not wanted

  [[gnu::always_inline]] bool wants(int result) const {
    return values[result] != nullptr || uncertainties[result] != nullptr;
  }
};

inline constexpr long kColumnBlock = 256;

// Points [begin, end), at most kColumnBlock of them. Sets left[i - begin] to 1 where a
// point is not computed: out of range, below freezing, or a moisture reading above its
// dry bulb. `with_uncertainty` fills `uncertainties`, too.
using ColumnKernel = void (*)(const ColumnJob& job, long begin, long end,
                              bool with_uncertainty, unsigned char* left);

extern const ColumnKernel kBaselineColumnKernel;
extern const ColumnKernel kAvx2ColumnKernel;  // only where the processor has AVX2

// The wider one that the processor has.
ColumnKernel BestColumnKernel();

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_H_
