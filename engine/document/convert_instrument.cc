#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(AccuracyDistribution::kArcsine) + 1 ==
              v1::ACCURACY_DISTRIBUTION_ARCSINE);

static void Read(const v1::Accuracy& from, Accuracy& to, base::FaultList& faults) {
  to.name = from.name();
  if (from.has_relative_fraction()) to.relative_fraction = from.relative_fraction();
  if (from.has_absolute()) to.absolute = from.absolute();
  to.unit = from.unit();
  to.distribution = ReadEnum<AccuracyDistribution>(from.distribution(),
                                                   "Accuracy.distribution", faults);
  if (from.has_coverage_factor()) to.coverage_factor = from.coverage_factor();
  if (from.has_degrees_of_freedom()) to.degrees_of_freedom = from.degrees_of_freedom();
  to.random = from.random();
  to.shared_reference = from.shared_reference();
  to.source = from.source();
}

static void Write(const Accuracy& from, v1::Accuracy* to) {
  to->set_name(from.name);
  if (from.relative_fraction.has_value())
    to->set_relative_fraction(*from.relative_fraction);
  if (from.absolute.has_value()) to->set_absolute(*from.absolute);
  to->set_unit(from.unit);
  to->set_distribution(WriteEnum<v1::AccuracyDistribution>(from.distribution));
  if (from.coverage_factor.has_value()) to->set_coverage_factor(*from.coverage_factor);
  if (from.degrees_of_freedom.has_value())
    to->set_degrees_of_freedom(*from.degrees_of_freedom);
  to->set_random(from.random);
  to->set_shared_reference(from.shared_reference);
  to->set_source(from.source);
}

void Read(const v1::Instrument& from, Instrument& to, base::FaultList& faults) {
  to.id = from.id();
  to.description = from.description();
  to.certificate = from.certificate();
  to.calibrated_on = from.calibrated_on();
  to.due_on = from.due_on();
  to.reads = Plainly(from.reads());
  if (from.has_resolution()) to.resolution = from.resolution();
  to.resolution_unit = from.resolution_unit();
  ReadAll(from.accuracies(), to.accuracies, faults);
}

void Write(const Instrument& from, v1::Instrument* to) {
  to->set_id(from.id);
  to->set_description(from.description);
  to->set_certificate(from.certificate);
  to->set_calibrated_on(from.calibrated_on);
  to->set_due_on(from.due_on);
  Fill(from.reads, to->mutable_reads());
  if (from.resolution.has_value()) to->set_resolution(*from.resolution);
  to->set_resolution_unit(from.resolution_unit);
  WriteAll(from.accuracies, to->mutable_accuracies());
}

void Read(const v1::ReadingCorrelation& from, ReadingCorrelation& to, base::FaultList&) {
  to.first_quantity = from.first_quantity();
  to.second_quantity = from.second_quantity();
  to.coefficient = from.coefficient();
  to.source = from.source();
}

void Write(const ReadingCorrelation& from, v1::ReadingCorrelation* to) {
  to->set_first_quantity(from.first_quantity);
  to->set_second_quantity(from.second_quantity);
  to->set_coefficient(from.coefficient);
  to->set_source(from.source);
}

}  // namespace ratebound::document
