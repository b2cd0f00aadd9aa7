#include "engine/points/pipeline/reading_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/points/instruments.h"

namespace ratebound::points {
namespace {

using document::AccuracyDistribution;

Component FromAccuracy(const document::Instrument& instrument,
                       const document::Accuracy& accuracy, double reading_si, int input) {
  const double figure_si = FigureSi(accuracy, reading_si);
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

// A value does not keep the heading that it stood under, so that two columns of the line
// for one quantity must agree on the instrument.
void CheckOneInstrument(const document::LineManifest& manifest,
                        const document::Column& column, base::FaultList& faults) {
  const bool is_of_line =
      std::any_of(manifest.columns.begin(), manifest.columns.end(),
                  [&](const document::Column& each) { return &each == &column; });
  for (size_t i = 0; is_of_line && i < manifest.columns.size(); ++i) {
    const document::Column& other = manifest.columns[i];
    if (other.quantity != column.quantity || other.statistic != column.statistic ||
        other.instrument == column.instrument) {
      continue;
    }
    faults.Add({.file = "line.textproto",
                .field = absl::StrCat("columns[", i, "].instrument"),
                .message = absl::StrCat("'", column.header, "' reads ", column.quantity,
                                        ", too, by another instrument"),
                .remedy = "write the headings among the columns of their files"});
  }
}

// A cause that one reading alone has is that reading's own, so that a correlation may
// speak of it.
void ForgetLonelyCauses(std::vector<Component>& components) {
  std::map<std::string, int> members;
  for (const Component& component : components) ++members[component.shared];
  for (Component& component : components) {
    if (members[component.shared] == 1) component.shared.clear();
  }
}

// Why two inputs cannot have a coefficient; empty where they can.
std::string WhyNotCorrelated(const std::vector<Component>& components, int first,
                             int second, const std::vector<std::string>& quantities) {
  for (const int input : {first, second}) {
    if (std::none_of(components.begin(), components.end(), [&](const Component& c) {
          return c.input == input && c.systematic && c.shared.empty();
        })) {
      return absl::StrCat("nothing systematic is known of ",
                          quantities[static_cast<size_t>(input)],
                          " but what it shares with other readings");
    }
  }
  for (const Component& a : components) {
    for (const Component& b : components) {
      if (a.input == first && b.input == second && a.systematic && !a.shared.empty() &&
          a.shared == b.shared) {
        return absl::StrCat(a.name, " and ", b.name, " are one error already");
      }
    }
  }
  return "";
}

}  // namespace

int PointInputs::IndexOf(std::string_view quantity) const {
  const auto found = std::lower_bound(quantities.begin(), quantities.end(), quantity);
  return found != quantities.end() && *found == quantity
             ? static_cast<int>(found - quantities.begin())
             : -1;
}

bool ReadingUncertainty::KnowsAnything(const document::TestPoint& point,
                                       bool reduced) const {
  if (!manifest_.instruments.empty()) return true;
  if (reduced && !manifest_.systematic_uncertainties.empty()) return true;
  return std::any_of(point.values.begin(), point.values.end(),
                     [](const document::SiValue& value) {
                       return value.standard_deviation_si && value.reading_count > 1;
                     });
}

void ReadingUncertainty::AddReading(const document::TestPoint& point,
                                    const document::SiValue& value, double reading_si,
                                    int input, std::vector<Component>& components) const {
  const document::Instrument* const instrument =
      InstrumentOf(manifest_, point.file, value.quantity);
  if (instrument != nullptr) {
    for (const document::Accuracy& accuracy : instrument->accuracies) {
      components.push_back(FromAccuracy(*instrument, accuracy, reading_si, input));
    }
    if (instrument->resolution) {
      components.push_back(FromResolution(absl::StrCat(instrument->id, ", resolution"),
                                          input, ResolutionSi(*instrument)));
    }
  } else {
    for (const document::SystematicUncertainty& entry :
         manifest_.systematic_uncertainties) {
      if (entry.quantity != value.quantity) continue;
      Component component = FromExpanded(
          entry.source.empty() ? "stated by the manifest" : entry.source, input,
          entry.absolute_si + entry.relative_fraction * std::fabs(reading_si),
          kUsualCoverageFactor);
      component.systematic = true;
      components.push_back(std::move(component));
    }
  }
}

absl::StatusOr<PointInputs> ReadingUncertainty::Of(const document::TestPoint& point,
                                                   Use use) const {
  std::vector<std::string> quantities;
  std::vector<double> values_si;
  std::vector<std::string> unknown;
  std::vector<Component> components;
  base::FaultList faults;
  for (const document::SiValue& value : point.values) {
    const std::optional<double> reading_si = value.reading_si();
    if (!reading_si) continue;
    if (const document::Column* const column =
            ColumnOf(manifest_, point.file, value.quantity)) {
      CheckOneInstrument(manifest_, *column, faults);
    }
    const int input = static_cast<int>(quantities.size());
    const size_t before = components.size();
    AddReading(point, value, *reading_si, input, components);
    if (components.size() == before) unknown.push_back(value.quantity);
    if (value.standard_deviation_si && value.reading_count > 1) {
      components.push_back(FromReadings("scatter of the readings", input,
                                        *value.standard_deviation_si,
                                        value.reading_count));
      constexpr int kLeastForT = 4;
      if (use == Use::kDraws && value.reading_count < kLeastForT) {
        components.back().degrees_of_freedom = kExactlyKnown;
      }
    }
    quantities.push_back(value.quantity);
    values_si.push_back(*reading_si);
  }
  if (quantities.empty()) return absl::InvalidArgumentError("nothing was read");
  ForgetLonelyCauses(components);
  std::vector<Correlation> correlations;
  const auto index = [&](const std::string& quantity) {
    return std::find(quantities.begin(), quantities.end(), quantity) - quantities.begin();
  };
  for (size_t i = 0; i < manifest_.reading_correlations.size(); ++i) {
    const document::ReadingCorrelation& entry = manifest_.reading_correlations[i];
    const auto first = static_cast<size_t>(index(entry.first_quantity));
    const auto second = static_cast<size_t>(index(entry.second_quantity));
    if (first == quantities.size() || second == quantities.size()) continue;
    std::string why = WhyNotCorrelated(components, static_cast<int>(first),
                                       static_cast<int>(second), quantities);
    if (!why.empty()) {
      faults.Add({.file = "line.textproto",
                  .field = absl::StrCat("reading_correlations[", i, "]"),
                  .message = std::move(why),
                  .remedy =
                      "say how the two go together once: by one reference or "
                      "instrument, or by a coefficient between errors of their own"});
      continue;
    }
    correlations.push_back({.first = static_cast<int>(first),
                            .second = static_cast<int>(second),
                            .coefficient = entry.coefficient,
                            .systematic = true});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  const int input_count = static_cast<int>(quantities.size());
  auto uncertainty = InputUncertainty::Create(input_count, std::move(components),
                                              std::move(correlations));
  if (!uncertainty.ok()) {
    for (base::Fault fault : base::FaultsOf(uncertainty.status())) {
      // Inputs are numbers there, which mean nothing to who wrote the manifest.
      if (fault.field == "correlations") {
        fault.file = "line.textproto";
        fault.field = "reading_correlations";
        fault.message =
            "the coefficients contradict each other: no errors can go together so";
      }
      faults.Add(std::move(fault));
    }
    return faults.ToStatus();
  }
  return PointInputs{std::move(quantities), std::move(values_si), *std::move(uncertainty),
                     std::move(unknown)};
}

}  // namespace ratebound::points
