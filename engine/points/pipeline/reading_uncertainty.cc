#include "engine/points/pipeline/reading_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using document::AccuracyDistribution;

// Figures without a coverage factor are taken as expanded at about 95 % (JCGM
// 100, 6.3.3).
constexpr double kUsualCoverageFactor = 2;

// A figure in its own unit as a difference in SI; 0 for an unknown unit, which reading
// the manifest has refused.
double DifferenceSi(double figure, const std::string& unit) {
  const auto found = quantity::FindUnit(unit);
  return found.ok() ? quantity::DifferenceToSi(figure, *found) : 0;
}

Component FromAccuracy(const document::Instrument& instrument,
                       const document::Accuracy& accuracy, double reading_si, int input) {
  const double figure_si =
      accuracy.relative_fraction.value_or(0) * std::fabs(reading_si) +
      (accuracy.absolute ? DifferenceSi(*accuracy.absolute, accuracy.unit) : 0);
  std::string name = absl::StrCat(instrument.id, ", ", accuracy.name);
  Component component;
  switch (accuracy.distribution) {
    case AccuracyDistribution::kNormal:
      component = FromExpanded(std::move(name), input, figure_si,
                               accuracy.coverage_factor.value_or(kUsualCoverageFactor));
      break;
    case AccuracyDistribution::kRectangular:
      component = FromHalfWidth(std::move(name), input, figure_si);
      break;
    case AccuracyDistribution::kTriangular:
      component =
          FromHalfWidth(std::move(name), input, figure_si, Distribution::kTriangular);
      break;
    case AccuracyDistribution::kArcsine:
      component =
          FromHalfWidth(std::move(name), input, figure_si, Distribution::kArcsine);
      break;
  }
  if (accuracy.degrees_of_freedom) {
    component.degrees_of_freedom = *accuracy.degrees_of_freedom;
  }
  component.systematic = !accuracy.random;
  if (!accuracy.shared_reference.empty()) {
    component.shared = accuracy.shared_reference;
  } else if (component.systematic) {
    component.shared = absl::StrCat(instrument.id, "/", accuracy.name);
  }
  return component;
}

const document::Instrument* FindInstrument(const document::LineManifest& manifest,
                                           std::string_view id) {
  for (const document::Instrument& instrument : manifest.instruments) {
    if (instrument.id == id) return &instrument;
  }
  return nullptr;
}

// The instrument that a file's columns name for the means of a quantity; empty for none.
std::string InstrumentIn(const std::vector<document::Column>& columns,
                         std::string_view quantity) {
  for (const document::Column& column : columns) {
    if (column.quantity == quantity && !column.instrument.empty() &&
        column.statistic == document::ReadingStatistic::kMean) {
      return column.instrument;
    }
  }
  return "";
}

}  // namespace

std::optional<double> ReadingOf(const document::SiValue& value) {
  return value.computed ? value.lab_value_si : std::optional<double>(value.value_si);
}

int PointInputs::IndexOf(std::string_view quantity) const {
  const auto found = std::lower_bound(quantities.begin(), quantities.end(), quantity);
  return found != quantities.end() && *found == quantity
             ? static_cast<int>(found - quantities.begin())
             : -1;
}

const document::Instrument* ReadingUncertainty::InstrumentOf(
    std::string_view file, std::string_view quantity) const {
  std::string id;
  for (const document::PointFile& points : manifest_.point_files) {
    if (points.path == file) id = InstrumentIn(points.columns, quantity);
  }
  for (const document::LogFile& log : manifest_.log_files) {
    if (log.path == file) id = InstrumentIn(log.columns, quantity);
  }
  if (id.empty()) id = InstrumentIn(manifest_.columns, quantity);
  if (!id.empty()) return FindInstrument(manifest_, id);
  for (const document::Instrument& instrument : manifest_.instruments) {
    if (std::find(instrument.reads.begin(), instrument.reads.end(), quantity) !=
        instrument.reads.end()) {
      return &instrument;
    }
  }
  return nullptr;
}

bool ReadingUncertainty::KnowsAnything(const document::TestPoint& point) const {
  if (!manifest_.instruments.empty()) return true;
  return std::any_of(point.values.begin(), point.values.end(),
                     [](const document::SiValue& value) {
                       return value.standard_deviation_si && value.reading_count > 1;
                     });
}

void ReadingUncertainty::AddReading(const document::TestPoint& point,
                                    const document::SiValue& value, double reading_si,
                                    int input, std::vector<Component>& components) const {
  const document::Instrument* const instrument = InstrumentOf(point.file, value.quantity);
  if (instrument != nullptr) {
    for (const document::Accuracy& accuracy : instrument->accuracies) {
      components.push_back(FromAccuracy(*instrument, accuracy, reading_si, input));
    }
    if (instrument->resolution) {
      components.push_back(FromResolution(
          absl::StrCat(instrument->id, ", resolution"), input,
          DifferenceSi(*instrument->resolution, instrument->resolution_unit)));
    }
  } else {
    for (const document::SystematicUncertainty& entry :
         manifest_.systematic_uncertainties) {
      if (entry.quantity != value.quantity) continue;
      Component component = FromExpanded(
          "systematic uncertainty of the manifest", input,
          entry.absolute_si + entry.relative_fraction * std::fabs(reading_si),
          kUsualCoverageFactor);
      component.systematic = true;
      components.push_back(std::move(component));
    }
  }
  if (value.standard_deviation_si && value.reading_count > 1) {
    components.push_back(FromReadings("scatter of the readings", input,
                                      *value.standard_deviation_si, value.reading_count));
  }
}

absl::StatusOr<PointInputs> ReadingUncertainty::Of(
    const document::TestPoint& point) const {
  std::vector<std::string> quantities;
  std::vector<double> values_si;
  std::vector<std::string> unknown;
  std::vector<Component> components;
  for (const document::SiValue& value : point.values) {
    const std::optional<double> reading_si = ReadingOf(value);
    if (!reading_si) continue;
    const size_t before = components.size();
    AddReading(point, value, *reading_si, static_cast<int>(quantities.size()),
               components);
    if (components.size() == before) unknown.push_back(value.quantity);
    quantities.push_back(value.quantity);
    values_si.push_back(*reading_si);
  }
  std::vector<Correlation> correlations;
  const auto index = [&](const std::string& quantity) {
    return std::find(quantities.begin(), quantities.end(), quantity) - quantities.begin();
  };
  for (const document::ReadingCorrelation& entry : manifest_.reading_correlations) {
    const auto first = static_cast<size_t>(index(entry.first_quantity));
    const auto second = static_cast<size_t>(index(entry.second_quantity));
    if (first == quantities.size() || second == quantities.size()) continue;
    correlations.push_back({.first = static_cast<int>(first),
                            .second = static_cast<int>(second),
                            .coefficient = entry.coefficient,
                            .systematic = true});
  }
  const int input_count = static_cast<int>(quantities.size());
  ASSIGN_OR_RETURN(InputUncertainty uncertainty,
                   InputUncertainty::Create(input_count, std::move(components),
                                            std::move(correlations)));
  return PointInputs{std::move(quantities), std::move(values_si), std::move(uncertainty),
                     std::move(unknown)};
}

}  // namespace ratebound::points
