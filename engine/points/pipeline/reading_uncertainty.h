// What the manifest says of the uncertainty of a test point's readings, as components
// that can be carried through a reduction.
//
// Example:
//   const ReadingUncertainty uncertainty(manifest);
//   ASSIGN_OR_RETURN(PointInputs inputs, uncertainty.Of(point));
//   inputs.quantities[3];            // "entering_air_wb"
//   inputs.uncertainty;              // engine/points/uncertainty/propagation.h takes it
//   inputs.unknown;                  // readings whose instrument is not known
//
// Of each reading, added up:
//   - every accuracy of its instrument: the one that the column names, else the one that
//     `reads` the quantity. A systematic accuracy of one instrument is one error for all
//     that it reads; one with a shared_reference is one error for all that share it;
//   - the instrument's resolution, as a random error;
//   - the scatter of the readings that it is the mean of, where their standard deviation
//     and number are known (JCGM 100, 4.2.3);
//   - where it has no instrument, the manifest's systematic_uncertainties, taken as
//     normal with a coverage factor of 2.
//
// Thread-safety: const after construction; refers to the manifest, which must outlive it.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_READING_UNCERTAINTY_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_READING_UNCERTAINTY_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/points/uncertainty/input_uncertainty.h"

namespace ratebound::points {

// The readings of one point, without what was computed from them.
struct PointInputs {
  std::vector<std::string> quantities;  // in the order of their names
  std::vector<double> values_si;
  InputUncertainty uncertainty;
  // Quantities that nothing is said about but, at most, their scatter.
  std::vector<std::string> unknown;

  // -1 where the quantity was not read.
  int IndexOf(std::string_view quantity) const;
};

class ReadingUncertainty {
 public:
  explicit ReadingUncertainty(const document::LineManifest& manifest)
      : manifest_(manifest) {}

  // Whether there are instruments or scatter; for a point that is reduced
  // systematic_uncertainties serve, too. Of one that is not, what the manifest says
  // outright is taken outright (claim/margin.h).
  bool KnowsAnything(const document::TestPoint& point, bool reduced) const;

  // INVALID_ARGUMENT, in line.textproto, where accuracies and correlations contradict
  // each other; and for a point without readings.
  // For drawing, the scatter of fewer than four readings is taken as normal: the t
  // distribution of JCGM 101, 6.4.9, has no standard deviation there, and its tails reach
  // beyond what the laws of air and water hold for.
  enum class Use { kPropagation, kDraws };
  absl::StatusOr<PointInputs> Of(const document::TestPoint& point,
                                 Use use = Use::kPropagation) const;

 private:
  void AddReading(const document::TestPoint& point, const document::SiValue& value,
                  double reading_si, int input, std::vector<Component>& components) const;

  const document::LineManifest& manifest_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_READING_UNCERTAINTY_H_
