#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(MinimumOutcome::kNotKnown) + 1 ==
              v1::MINIMUM_OUTCOME_NOT_KNOWN);

static void Read(const v1::MinimumKey& from, MinimumKey& to, base::FaultList&) {
  to.name = from.name();
  to.value = from.value();
}

static void Write(const MinimumKey& from, v1::MinimumKey* to) {
  to->set_name(from.name);
  to->set_value(from.value);
}

static void Read(const v1::MinimumLevel& from, MinimumLevel& to,
                 base::FaultList& faults) {
  to.procedure_families = Plainly(from.procedure_families());
  to.metric_unit = from.metric_unit();
  to.equipment_classes = Plainly(from.equipment_classes());
  if (from.has_capacity_low())
    Read(from.capacity_low(), to.capacity_low.emplace(), faults);
  if (from.has_capacity_high())
    Read(from.capacity_high(), to.capacity_high.emplace(), faults);
  to.phase_counts = Plainly(from.phase_counts());
  ReadAll(from.keys(), to.keys, faults);
  to.valid_from = from.valid_from();
  to.valid_until = from.valid_until();
  if (from.has_value()) to.value = from.value();
  to.not_known = from.not_known();
  to.at_most = from.at_most();
  Read(from.citation(), to.citation, faults);
}

static void Write(const MinimumLevel& from, v1::MinimumLevel* to) {
  Fill(from.procedure_families, to->mutable_procedure_families());
  to->set_metric_unit(from.metric_unit);
  Fill(from.equipment_classes, to->mutable_equipment_classes());
  if (from.capacity_low.has_value())
    Write(*from.capacity_low, to->mutable_capacity_low());
  if (from.capacity_high.has_value())
    Write(*from.capacity_high, to->mutable_capacity_high());
  Fill(from.phase_counts, to->mutable_phase_counts());
  WriteAll(from.keys, to->mutable_keys());
  to->set_valid_from(from.valid_from);
  to->set_valid_until(from.valid_until);
  if (from.value.has_value()) to->set_value(*from.value);
  if (!from.value.has_value()) to->set_not_known(from.not_known);
  to->set_at_most(from.at_most);
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::MinimumLevels& from, MinimumLevels& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.document = from.document();
  to.edition = from.edition();
  ReadAll(from.levels(), to.levels, faults);
  to.notes = Plainly(from.notes());
}

void Write(const MinimumLevels& from, v1::MinimumLevels* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_document(from.document);
  to->set_edition(from.edition);
  WriteAll(from.levels, to->mutable_levels());
  Fill(from.notes, to->mutable_notes());
}

void Read(const v1::MinimumVerdict& from, MinimumVerdict& to, base::FaultList& faults) {
  to.minimum_levels = from.minimum_levels();
  to.outcome = ReadEnum<MinimumOutcome>(from.outcome(), "MinimumVerdict.outcome", faults);
  to.day = from.day();
  if (from.has_level()) to.level = from.level();
  to.valid_from = from.valid_from();
  to.valid_until = from.valid_until();
  to.reason = from.reason();
  to.clause = from.clause();
  to.basis =
      ReadEnum<Basis, Unspecified::kKept>(from.basis(), "MinimumVerdict.basis", faults);
}

void Write(const MinimumVerdict& from, v1::MinimumVerdict* to) {
  to->set_minimum_levels(from.minimum_levels);
  to->set_outcome(WriteEnum<v1::MinimumOutcome>(from.outcome));
  to->set_day(from.day);
  if (from.level.has_value()) to->set_level(*from.level);
  to->set_valid_from(from.valid_from);
  to->set_valid_until(from.valid_until);
  to->set_reason(from.reason);
  to->set_clause(from.clause);
  to->set_basis(WriteEnum<v1::Basis, Unspecified::kKept>(from.basis));
}

}  // namespace ratebound::document
