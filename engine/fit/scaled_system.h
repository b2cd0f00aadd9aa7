// A least-squares problem scaled for computing: rows by the square roots of their
// weights, columns and response by powers of two, which costs no digit and keeps squares
// in range. Inside of SolveLeastSquares.
//
// Thread-safety: as a std::vector. Memory is kept from one problem to the next.
#ifndef RATEBOUND_ENGINE_FIT_SCALED_SYSTEM_H_
#define RATEBOUND_ENGINE_FIT_SCALED_SYSTEM_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "engine/fit/design_matrix.h"
#include "engine/fit/pivoted_qr.h"
#include "engine/fit/refinement.h"

namespace ratebound::fit {

struct ScaledSystem {
  // In this order; sizes are the caller's to check. INVALID_ARGUMENT for values that are
  // not finite or above 1e150 in magnitude, and weights that are not above 0.
  absl::Status LoadWeights(std::span<const double> weights, int rows);
  absl::Status LoadDesign(const DesignMatrix& design,
                          std::span<const std::string> term_names);
  absl::Status LoadResponse(std::span<const double> response);

  bool weighted = false;
  std::vector<double> row_scale;     // square roots of the weights
  std::vector<double> column_scale;  // scaled column = column * column_scale
  double response_scale = 1;
  PivotedQr qr;
  AugmentedSystem augmented;
  std::vector<double> matrix_low;
  std::vector<double> leverage;  // qr.stride() long
};

// The name of a term in a message.
std::string TermText(std::span<const std::string> names, int term);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_SCALED_SYSTEM_H_
