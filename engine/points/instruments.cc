#include "engine/points/instruments.h"

#include <algorithm>
#include <cmath>

#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using document::AccuracyDistribution;

double DifferenceSi(double figure, const std::string& unit) {
  const auto found = quantity::FindUnit(unit);
  return found.ok() ? quantity::DifferenceToSi(figure, *found) : 0;
}

const document::Column* MeansIn(const std::vector<document::Column>& columns,
                                std::string_view quantity) {
  for (const document::Column& column : columns) {
    if (column.quantity == quantity &&
        column.statistic == document::ReadingStatistic::kMean) {
      return &column;
    }
  }
  return nullptr;
}

// How many standard uncertainties a figure is, squared.
double SquareOfFactor(const document::Accuracy& accuracy) {
  switch (accuracy.distribution) {
    case AccuracyDistribution::kNormal:
      break;
    case AccuracyDistribution::kRectangular:
      return 3;
    case AccuracyDistribution::kTriangular:
      return 6;
    case AccuracyDistribution::kArcsine:
      return 2;
  }
  const double factor = accuracy.coverage_factor.value_or(kUsualCoverageFactor);
  return factor * factor;
}

}  // namespace

const document::Column* ColumnOf(const document::LineManifest& manifest,
                                 std::string_view file, std::string_view quantity) {
  const document::Column* column = nullptr;
  for (const document::PointFile& points : manifest.point_files) {
    if (points.path == file) column = MeansIn(points.columns, quantity);
  }
  for (const document::LogFile& log : manifest.log_files) {
    if (log.path == file) column = MeansIn(log.columns, quantity);
  }
  return column != nullptr ? column : MeansIn(manifest.columns, quantity);
}

const document::Instrument* InstrumentOf(const document::LineManifest& manifest,
                                         std::string_view file,
                                         std::string_view quantity) {
  const document::Column* const column = ColumnOf(manifest, file, quantity);
  const bool is_named = column != nullptr && !column->instrument.empty();
  for (const document::Instrument& instrument : manifest.instruments) {
    if (is_named ? instrument.id == column->instrument
                 : std::find(instrument.reads.begin(), instrument.reads.end(),
                             quantity) != instrument.reads.end()) {
      return &instrument;
    }
  }
  return nullptr;
}

double FigureSi(const document::Accuracy& accuracy, double reading_si) {
  return accuracy.relative_fraction.value_or(0) * std::fabs(reading_si) +
         (accuracy.absolute ? DifferenceSi(*accuracy.absolute, accuracy.unit) : 0);
}

double ResolutionSi(const document::Instrument& instrument) {
  return instrument.resolution
             ? DifferenceSi(*instrument.resolution, instrument.resolution_unit)
             : 0;
}

double ExpandedSi(const document::Instrument& instrument, double reading_si) {
  // Half a step either way.
  const double step_si = ResolutionSi(instrument);
  double variance = step_si * step_si / 12;
  for (const document::Accuracy& accuracy : instrument.accuracies) {
    const double figure_si = FigureSi(accuracy, reading_si);
    variance += figure_si * figure_si / SquareOfFactor(accuracy);
  }
  return kUsualCoverageFactor * std::sqrt(variance);
}

}  // namespace ratebound::points
