#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_line_parts.h"

namespace ratebound::document {
namespace {

// The quantities that columns say an instrument reads, by its id.
using ColumnReadings = std::map<std::string, std::set<std::string>>;

template <typename Owner>
void AddColumns(const Owner& owner, ColumnReadings& readings) {
  for (const v1::Column& column : owner.columns()) {
    if (column.instrument().empty() || column.quantity().empty()) continue;
    readings[column.instrument()].insert(column.quantity());
  }
}

ColumnReadings ReadingsOfColumns(const v1::LineManifest& manifest) {
  ColumnReadings readings;
  AddColumns(manifest, readings);
  for (const v1::PointFile& file : manifest.point_files()) AddColumns(file, readings);
  for (const v1::LogFile& log : manifest.log_files()) AddColumns(log, readings);
  return readings;
}

// One quantity of each dimension that an instrument reads. Unknown ones have been
// reported.
using Dimensions = std::map<quantity::Dimension, const quantity::Quantity*>;

class InstrumentCheck {
 public:
  explicit InstrumentCheck(const v1::LineManifest& manifest)
      : manifest_(manifest), columns_(ReadingsOfColumns(manifest)) {}

  void Check(const Node& node) {
    using L = v1::LineManifest;
    for (const auto& [instrument, names] : columns_) {
      read_.insert(names.begin(), names.end());
    }
    Unique ids("instrument");
    for (int i = 0; i < manifest_.instruments_size(); ++i) {
      const Node child = node.Child(L::kInstrumentsFieldNumber, i);
      CheckInstrument(manifest_.instruments(i), child);
      ids.Check(child, v1::Instrument::kIdFieldNumber, manifest_.instruments(i).id());
    }
    for (int i = 0; i < manifest_.reading_correlations_size(); ++i) {
      CheckCorrelation(manifest_.reading_correlations(i),
                       node.Child(L::kReadingCorrelationsFieldNumber, i));
    }
  }

 private:
  void CheckInstrument(const v1::Instrument& instrument, const Node& node) {
    using I = v1::Instrument;
    node.Require({I::kIdFieldNumber});
    CheckId(node, I::kIdFieldNumber, instrument.id());
    CheckDays(instrument, node);
    const Dimensions dimensions = DimensionsOf(instrument);
    for (int i = 0; i < instrument.reads_size(); ++i) {
      const std::string& name = instrument.reads(i);
      CheckQuantity(node, I::kReadsFieldNumber, name, Use::kAny, i);
      const auto [first, is_new] = readers_.try_emplace(name, instrument.id());
      if (is_new || name.empty()) continue;
      node.Fault(I::kReadsFieldNumber,
                 absl::StrCat("'", base::Printable(name), "' is read by '",
                              base::Printable(first->second), "' already"),
                 "keep one; a column names the instrument that reads it elsewhere", i);
    }
    if (instrument.has_resolution()) {
      CheckAbove(node, I::kResolutionFieldNumber, instrument.resolution(), 0);
      node.Require({I::kResolutionUnitFieldNumber});
      CheckUnitOfReadings(dimensions, I::kResolutionUnitFieldNumber,
                          instrument.resolution_unit(), "a resolution", node);
    } else if (!instrument.resolution_unit().empty()) {
      node.Fault(I::kResolutionUnitFieldNumber, "there is no resolution", "leave it out");
    }
    Unique names("accuracy");
    for (int i = 0; i < instrument.accuracies_size(); ++i) {
      const Node accuracy = node.Child(I::kAccuraciesFieldNumber, i);
      CheckAccuracy(instrument.accuracies(i), dimensions, accuracy);
      names.Check(accuracy, v1::Accuracy::kNameFieldNumber,
                  instrument.accuracies(i).name());
    }
  }

  static void CheckDays(const v1::Instrument& instrument, const Node& node) {
    using I = v1::Instrument;
    const bool from =
        CheckDay(node, I::kCalibratedOnFieldNumber, instrument.calibrated_on());
    const bool to = CheckDay(node, I::kDueOnFieldNumber, instrument.due_on());
    if (!from || !to || instrument.calibrated_on() <= instrument.due_on()) return;
    node.Fault(I::kDueOnFieldNumber,
               absl::StrCat("the days are reversed: ", instrument.due_on(), " is before ",
                            instrument.calibrated_on()));
  }

  Dimensions DimensionsOf(const v1::Instrument& instrument) {
    std::set<std::string> names(instrument.reads().begin(), instrument.reads().end());
    read_.insert(names.begin(), names.end());
    // Columns speak of the first of the instruments that have the id.
    names.merge(columns_[instrument.id()]);
    columns_.erase(instrument.id());
    Dimensions dimensions;
    for (const std::string& name : names) {
      const auto quantity = quantity::FindQuantity(name);
      if (quantity.ok()) dimensions.try_emplace((*quantity)->dimension, *quantity);
    }
    return dimensions;
  }

  // One figure for all that the instrument reads.
  static void CheckUnitOfReadings(const Dimensions& dimensions, int field,
                                  const std::string& unit, std::string_view what,
                                  const Node& node) {
    if (dimensions.empty()) CheckAnyUnit(node, field, unit);
    for (const auto& [dimension, quantity] : dimensions) {
      CheckUncertaintyUnit(node, field, unit, *quantity, what);
    }
  }

  void CheckAccuracy(const v1::Accuracy& accuracy, const Dimensions& dimensions,
                     const Node& node) {
    using A = v1::Accuracy;
    node.Require(
        {A::kNameFieldNumber, A::kDistributionFieldNumber, A::kSourceFieldNumber});
    if (!accuracy.has_relative_fraction() && !accuracy.has_absolute()) {
      node.Fault(A::kRelativeFractionFieldNumber, "is missing, and so is 'absolute'",
                 "write one of them or both");
    }
    const auto temperature = dimensions.find(quantity::Dimension::kTemperature);
    CheckPart(node, A::kRelativeFractionFieldNumber, accuracy.relative_fraction(),
              temperature == dimensions.end() ? nullptr : temperature->second);
    if (accuracy.has_absolute()) {
      if (accuracy.absolute() < 0) {
        node.Fault(A::kAbsoluteFieldNumber, "is negative", "write it without a sign");
      }
      node.Require({A::kUnitFieldNumber});
      CheckUnitOfReadings(dimensions, A::kUnitFieldNumber, accuracy.unit(),
                          "an uncertainty", node);
    } else if (!accuracy.unit().empty()) {
      node.Fault(A::kUnitFieldNumber, "a part has no unit", "leave it out");
    }
    if (accuracy.has_coverage_factor()) {
      CheckAbove(node, A::kCoverageFactorFieldNumber, accuracy.coverage_factor(), 0);
      if (accuracy.distribution() > v1::ACCURACY_DISTRIBUTION_NORMAL) {
        node.Fault(A::kCoverageFactorFieldNumber,
                   "limits have no coverage factor: they are never exceeded",
                   "leave it out, or write ACCURACY_DISTRIBUTION_NORMAL");
      }
    }
    if (accuracy.has_degrees_of_freedom()) {
      CheckAbove(node, A::kDegreesOfFreedomFieldNumber, accuracy.degrees_of_freedom(), 0);
    }
    CheckShared(accuracy, node);
  }

  // Figures with one reference are one error, and one error is of one kind.
  void CheckShared(const v1::Accuracy& accuracy, const Node& node) {
    using A = v1::Accuracy;
    if (accuracy.shared_reference().empty()) return;
    const auto [found, is_new] =
        shared_.try_emplace(accuracy.shared_reference(), &accuracy);
    if (is_new) return;
    const v1::Accuracy& first = *found->second;
    std::string differs;
    if (first.distribution() != accuracy.distribution()) differs = "distribution";
    if (first.degrees_of_freedom() != accuracy.degrees_of_freedom()) {
      differs = "degrees_of_freedom";
    }
    if (first.random() != accuracy.random()) differs = "random";
    if (differs.empty()) return;
    node.Fault(
        A::kSharedReferenceFieldNumber,
        absl::StrCat("'", differs, "' is not that of another figure with the reference '",
                     base::Printable(accuracy.shared_reference()), "'"),
        "one error is of one kind: write the same, or name another reference");
  }

  void CheckCorrelation(const v1::ReadingCorrelation& correlation, const Node& node) {
    using C = v1::ReadingCorrelation;
    node.Require({C::kFirstQuantityFieldNumber, C::kSecondQuantityFieldNumber,
                  C::kCoefficientFieldNumber, C::kSourceFieldNumber});
    CheckBetween(node, C::kCoefficientFieldNumber, correlation.coefficient(), -1, 1);
    const bool first =
        CheckRead(node, C::kFirstQuantityFieldNumber, correlation.first_quantity());
    const bool second =
        CheckRead(node, C::kSecondQuantityFieldNumber, correlation.second_quantity());
    if (!first || !second) return;
    const auto pair =
        std::minmax(correlation.first_quantity(), correlation.second_quantity());
    if (pair.first == pair.second) {
      node.Fault(C::kSecondQuantityFieldNumber,
                 "is the same quantity, which goes together with itself", "name another");
    } else if (!pairs_.insert({pair.first, pair.second}).second) {
      node.Fault(C::kFirstQuantityFieldNumber,
                 absl::StrCat("the pair of '", pair.first, "' and '", pair.second,
                              "' is given twice"),
                 "keep one");
    }
  }

  // A known quantity that an instrument reads.
  bool CheckRead(const Node& node, int field, const std::string& name) const {
    if (CheckQuantity(node, field, name, Use::kAny) == nullptr) return false;
    if (read_.contains(name)) return true;
    node.Fault(field, absl::StrCat("no instrument reads '", name, "'"),
               "write it among the `reads` of one, or leave the correlation out");
    return false;
  }

  const v1::LineManifest& manifest_;
  ColumnReadings columns_;
  std::set<std::string> read_;                  // by any instrument
  std::map<std::string, std::string> readers_;  // by quantity
  std::map<std::string, const v1::Accuracy*> shared_;
  std::set<std::pair<std::string, std::string>> pairs_;
};

}  // namespace

void CheckInstruments(const v1::LineManifest& manifest, const Node& node) {
  InstrumentCheck(manifest).Check(node);
}

}  // namespace ratebound::document
